"""Absurd sizes are refused at once, with the limit and how to raise it; large lines are fine."""

from copy import deepcopy
from typing import Any

import pytest

from linesim.errors import ScenarioError
from linesim.scenario import from_dict
from linesim.scenario.checks import hours
from tests.lines import tables

LINE = """
flow = ["A", "lane", "B"]
[section.A]
pacing = "moving"
stations = ["a1", "a2"]
[section.B]
pacing = "free"
stations = ["b1"]
[buffer.lane]
capacity = 2
[crew.team]
people = 1
covers = ["a1", "b1"]
[station.a1.task.fit]
time = "5 s"
[station.b1]
places = 2
[station.b1.task.fit]
time = "5 s"
"""
CALENDAR = {"day": {"shifts": ["06:00-14:00", "14:00-22:00", "22:00-06:00"]}}

#: What is asked for, as changes by path, and the place and limit that the refusal names.
ABSURD: dict[str, tuple[dict[str, Any], str, str]] = {
    "people": ({"crew.team.people": 10_001}, "crew", "10,001 people in all crews, and the limit is 10,000"),
    "stalls": ({"station.b1.places": 20_001}, "station", "20,001 places in free stations"),
    "full": ({"run.start": "full", "buffer.lane.capacity": 40_001}, "buffer", "20,001 jobs in the buffers"),
    "full to a level": (
        {"run.start": "full", "buffer.lane": {"capacity": 30_000, "level": 20_001}}, "buffer", "20,001 jobs"
    ),
    "buffers": (
        {"buffer": {**{f"b{k}": {"capacity": 10**6} for k in range(11)}, "lane": {"capacity": 2}}},
        "buffer", "11,000,002 places in all buffers, and the limit is 10,000,000",
    ),
    "short shifts": ({"run.shift": "0.005 s"}, "run.length", "120,000 shifts, warm-up included"),
    "long run": ({"run.length": "100001 shifts"}, "run.length", "100,001 shifts, warm-up included"),
    "long warm-up": ({"run.warm_up": "100001 shifts"}, "run.length", "shifts, warm-up included"),
    "ages": ({"calendar": CALENDAR, "run.length": "100001 shifts"}, "run.length", "100,001 shifts"),
    # 3 stations, a task each, 1 h / 10 s, a million times: 1.08e9; with a takt of 1 s ten times that.
    "replications": (
        {"run.length": "1 h", "takt": "1 s", "run.replications": 10**6}, "run.length",
        "10,800,000,000 tasks in all replications, and the limit is 10,000,000,000",
    ),
}  # fmt: skip


def changed(changes: dict[str, Any]) -> dict[str, Any]:
    """Return the line with some values of its own, without those of other names."""
    raw = deepcopy(tables(LINE, length="10 min"))
    for path, value in changes.items():
        spot = raw
        *way, last = path.split(".")
        for key in way:
            spot = spot.setdefault(key, {})
        spot[last] = value
    return raw


def refusal(raw: dict[str, Any], code: str = "too-much") -> tuple[str, str]:
    """Return place and message of the one problem of this code."""
    with pytest.raises(ScenarioError) as caught:
        from_dict(raw)
    (found,) = [problem for problem in caught.value.problems if problem.code == code]
    return found.place, found.message


@pytest.mark.parametrize("name", ABSURD)
def test_absurd_sizes_are_refused(name: str) -> None:
    """The refusal names the place, what was asked, the limit and the factor that lets it through."""
    changes, place, says = ABSURD[name]
    if name == "buffers":
        changes = {**changes, "flow": ["A", "lane", "B"]}
    found, message = refusal(changed(changes))
    assert found == place
    assert says in message
    assert message.endswith("raise all such limits with `limit_factor = 10` in `[run]`.")
    raised = changed({**changes, "run.limit_factor": 10})
    try:
        from_dict(raised)
    except ScenarioError as error:
        assert "too-much" not in {problem.code for problem in error.problems}  # noqa: PT017


def test_the_limit_itself_is_allowed() -> None:
    """A scenario at its limits loads: the limit is the most, not the first that is too much."""
    raw = changed(
        {
            "crew.team.people": hours.MOST_PEOPLE,
            "station.b1.places": hours.MOST_STANDING,
            "run.length": f"{hours.MOST_SHIFTS} shifts",
            "run.replications": 1,
            "takt": "60 s",
        }
    )
    assert from_dict(raw).run.limit_factor == 1


def test_the_factor_follows_what_is_asked() -> None:
    """What is asked for 30 times over needs a factor of 100."""
    _, message = refusal(changed({"crew.team.people": 300_000}))
    assert "limit_factor = 100`" in message


def test_the_factor_changes_no_figure() -> None:
    """Raising the limits leaves the fingerprint, and with it every kept replication, as it was."""
    plain, raised = (from_dict(changed(extra)) for extra in ({}, {"run.limit_factor": 10}))
    assert plain.fingerprint() == raised.fingerprint()


def test_300_stations_are_fine() -> None:
    """A line of 300 stations, 10,000 tasks and 300 people is no matter."""
    stations = [f"S{k}" for k in range(300)]
    raw = {
        "takt": "300 s", "flow": ["line"], "run": {"length": "5 shifts", "replications": 20},
        "section": {"line": {"pacing": "moving", "stations": stations}},
        "crew": {"team": {"people": 300, "covers": stations}},
        "station": {
            s: {"task": {f"t{k}": {"time": "5 s"} for k in range(34)}} for s in stations
        },
    }  # fmt: skip
    assert len(from_dict(raw).station) == 300
