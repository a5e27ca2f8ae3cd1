"""A scenario changed as data: the same as the file with other values, and no slip makes a new thing."""

from typing import Any

import pytest

from linesim.errors import ScenarioError
from linesim.scenario import load, load_text, read_text
from tests.documents.pages import ROOT
from tests.lines import to
from tests.unit.scenario.lines import BASE, base, written

TRACTOR = ROOT / "scenarios" / "tractor" / "line.toml"

#: A slip, and the name that it is nearest to.
SLIPS = [
    ("crew.trm.people = 6", "trim"),
    ("option.clima.take = 0.5", "climate"),
    ("tool.cab-gn.count = 3", "cab-gun"),
    ("model.orchad.share = 0.5", "orchard"),
    ("station.F4.task.tork-axle.time = '70 s'", "torque-axle"),
    ("station.T77.late = 0.3", "T7"),
    ("section.frame.failure.lit.every = '9 h'", "lift"),
    ("orders.spacing.clime.at_most = 1", "climate"),
    ("buffer.bank-trm.capacity = 5", "bank-trim"),
]


@pytest.mark.parametrize(("line", "near"), SLIPS)
def test_a_slip_makes_nothing_new(line: str, near: str) -> None:
    """A name that the line does not have is refused with the nearest one, by --set and in Python alike."""
    with pytest.raises(ScenarioError) as found:
        load(TRACTOR, [line])
    for problem in (*found.value.problems, *_problems(line)):
        assert problem.code == "new-name" and f"it has {near}" in problem.message
        assert "--add" in problem.message
    assert found.value.problems[0].file == "--set"


def _problems(line: str) -> tuple[Any, ...]:
    with pytest.raises(ScenarioError) as found:
        load(TRACTOR).replace(to(line))
    return found.value.problems


def test_a_station_is_not_made_by_a_list() -> None:
    """A station that only the changed list of a section names is a new one, and has to be added."""
    with pytest.raises(ScenarioError, match='"A9" is not a station of this scenario'):
        base().replace({"section.main.stations": ["A1", "A9"]})
    added = base().replace(add={"section.main.stations": ["A1", "A2", "A3", "A4"]})
    assert list(added.station) == ["A1", "A2", "A3", "A4", "B1"]


def test_what_is_added_is_there_before_anything_is_changed() -> None:
    """A change may name what is added beside it; an addition of what is there is refused."""
    found = base().replace({"crew.spare.people": 2}, add={"crew.spare": {"people": 1, "covers": ["A1"]}})
    assert found.crew["spare"].people == 2
    for added in ({"crew.team.people": 5}, {"takt": "50 s"}):
        with pytest.raises(ScenarioError, match="nothing-new"):
            base().replace(add=added)
    with pytest.raises(ScenarioError, match="nothing-new"):
        read_text(BASE, add=["crew.team.people = 5"])
    read = read_text(BASE, sets=["tool.gun.count = 3"], add=["tool.gun.count = 1"])
    assert read.scenario.tool["gun"].count == 3


@pytest.mark.parametrize(
    "line",
    [
        "takt = '50 s'",
        "run.length = '2 shifts'",
        "run.shift = '6 h'",
        "section.trim.transfer = '7 s'",
        "buffer.lane.capacity = 0",
        "crew.team.people = 3",
        "station.A2.late = 25%",
        "station.A1.task.fit.time = { shape = 'uniform', low = '40 s', high = '60 s' }",
        "station.A1.task.fit.people = 2",
        "section.main.stations = ['A3', 'A2', 'A1']",
    ],
)
def test_a_change_is_what_the_file_would_have_said(line: str) -> None:
    """The content is that of the file with the line written into it, and unchanged parts are shared."""
    found = base().replace(to(line))
    assert found.fingerprint() == load_text(written(line.replace("25%", "0.25"))).fingerprint()
    assert found.fingerprint() == read_text(BASE, sets=[line]).scenario.fingerprint()
    assert found.as_dict() == load_text(written(line.replace("25%", "0.25"))).as_dict()


def test_a_day_of_other_shifts_makes_other_times() -> None:
    """Times told in shifts follow when the change makes a shift longer or shorter."""
    line = base().replace({"run.length": "2 shifts"})
    assert line.run.length.seconds == 57_600
    assert line.replace({"run.shift": "6 h"}).run.length.seconds == 43_200


def test_a_change_finds_the_bay_anew() -> None:
    """The bay that a station's open work goes to was never written, so a change need not take it back."""
    bays = (
        "bay.far = { section = 'trim', rejoin = 'out' }",
        "crew.team.covers = ['A1', 'A2', 'A3', 'B1', 'near', 'far']",
        "bay.near = { section = 'main', rejoin = 'out' }",
    )
    line = base(*bays)
    passing = line.replace({"station.A2.on_limit": "pass"})
    assert passing.station["A2"].open_to == "near"
    assert passing.replace({"bay.near.section": "trim"}).station["A2"].open_to == "far"
    assert passing.replace({"station.A2.on_limit": "stop"}).fingerprint() == line.fingerprint()


def test_a_change_names_no_file_and_no_nonsense() -> None:
    """A scenario that was read stands in no folder; a place without a name is none."""
    with pytest.raises(ScenarioError, match="names no file"):
        base().replace({"orders.file": "orders.csv"})
    for place in ("", "crew..people"):
        with pytest.raises(ValueError, match="is no place in a scenario"):
            base().replace({place: 3})


def test_shares_and_long_times_as_people_write_them() -> None:
    """40% is 0.4 wherever a share stands, and days and weeks are 24 and 168 hours."""
    found = base(
        "option.cab.take = '40%'", "station.A1.task.fit.time = { mean = '50 s', cv = '15%' }",
        "station.A2.late = '25%'", "model.a.share = '60%'", "model.b.share = 0.4", "run.length = '2 days'",
        "run.warm_up = '1 week'", "station.A1.task.fit.fault = { chance = '2%' }",
    )  # fmt: skip
    plain = base(
        "option.cab.take = 0.4", "station.A1.task.fit.time = { mean = '50 s', cv = 0.15 }",
        "station.A2.late = 0.25", "model.a.share = 0.6", "model.b.share = 0.4", "run.length = '48 h'",
        "run.warm_up = '168 h'", "station.A1.task.fit.fault = { chance = 0.02 }",
    )  # fmt: skip
    assert found.fingerprint() == plain.fingerprint()
    assert str(found.run.length) == "2 days" and str(found.run.warm_up) == "1 week"
