"""On every shipped line the measures of a replication add up as their definitions say."""

from collections import defaultdict
from pathlib import Path

import pytest

from linesim import load
from linesim.ledger.ledger import Ledger
from linesim.measures import measure
from linesim.plan.build import build
from linesim.plan.plan import Plan
from linesim.plan.tables import STATION
from linesim.plan.words import HANDED_ON
from tests.conftest import ROOT
from tests.drives import both_drives

LINES = tuple(
    path
    for folder in ("features", "textbook")
    for path in sorted((ROOT / "scenarios" / folder).glob("*.toml"))
)


@pytest.fixture(scope="module", params=LINES, ids=lambda path: path.stem)
def run(request: pytest.FixtureRequest) -> tuple[Plan, Ledger, dict[tuple[str, str, str], float | None]]:
    """Return plan, ledger and measures of one replication of a shipped line."""
    path: Path = request.param
    plan = build(load(path))
    ledger, _ = both_drives(plan, with_events=False)
    rows = measure(plan, ledger)
    found = {row[:3]: row.value for row in rows}
    assert len(found) == len(rows), "two rows with the same name"
    return plan, ledger, found


Run = tuple[Plan, Ledger, dict[tuple[str, str, str], float | None]]


def test_no_stop_is_left_out(run: Run) -> None:
    """Every booked minute has a row: the rows by place and cause add up to the section's total."""
    plan, _, found = run
    section_of = {
        name: plan.names.section[s] for name, s in zip(plan.names.station, plan.stations.section, strict=True)
    }
    parts: dict[tuple[str, str], float] = defaultdict(float)
    for (name, where, cause), value in found.items():
        if name in {"line_stop", "stop_turns"} and cause and value is not None:
            parts[name, section_of.get(where, where)] += value
    for section in plan.names.section:
        assert parts["line_stop", section] == pytest.approx(found["line_stop", section, ""], abs=1e-9)
        assert parts["stop_turns", section] + 1e-9 >= (found["line_stops", section, ""] or 0)


def test_own_stops_are_the_rows_that_pass_nothing_on(run: Run) -> None:
    """Own stops of the segment, its sections and stations are the minutes by cause without passed-on ones."""
    plan, _, found = run
    section_of = {
        name: plan.names.section[s] for name, s in zip(plan.names.station, plan.stations.section, strict=True)
    }
    own: dict[str, float] = defaultdict(float)
    for (m, where, cause), value in found.items():
        if m == "line_stop" and cause and cause not in HANDED_ON:
            for place in {where, section_of.get(where, where), "segment"}:
                own[place] += value or 0.0
    rows = {where: value for (m, where, _), value in found.items() if m == "own_stop"}
    assert {"segment", *plan.names.section} <= rows.keys()
    for where, value in rows.items():
        assert value == pytest.approx(own[where], abs=1e-9)


def test_shares_of_states_add_up_to_one(run: Run) -> None:
    """The states of each station, crew and robot, and the levels of each buffer, share out the whole time."""
    _, _, found = run
    wholes: dict[tuple[str, str], list[float | None]] = defaultdict(list)
    for (m, where, _), value in found.items():
        if m in {"station_state", "operator_state", "robot_state", "buffer_at"}:
            wholes[m, where].append(value)
    for key, values in wholes.items():
        if None not in values:
            assert sum(v for v in values if v is not None) == pytest.approx(1.0), key
        else:
            assert set(values) == {None}, key


def test_stops_and_availability_say_the_same(run: Run) -> None:
    """The stop minutes of a section per working minute of a shift are what its availability lacks."""
    plan, ledger, found = run
    for index, name in enumerate(plan.names.section):
        state = ledger.section_state[index]
        assert ledger.stop[index].sum() == state[1]
        if found["availability", name, ""] is not None:
            assert found["availability", name, ""] == pytest.approx(1 - state[1] / (state[0] + state[1]))


def test_disturbances_of_a_station_are_booked_to_it(run: Run) -> None:
    """A disturbance word is booked only where the scenario has it, so that no row is missing."""
    plan, ledger, _ = run
    modes = plan.modes
    allowed = {
        (int(modes.owner[m]), int(modes.cause[m]))
        for m in range(len(modes.owner))
        if modes.owner_kind[m] == STATION
    }
    booked = ledger.stop[:, :-1, 6:].sum(axis=0)
    assert all((s, c + 6) in allowed for s, c in zip(*booked.nonzero(), strict=True))


def test_shares_lie_between_nothing_and_all(run: Run) -> None:
    """No share is negative or above one."""
    plan, ledger, _found = run
    shares = [row for row in measure(plan, ledger) if row.unit == "share" and row.value is not None]
    assert shares
    assert not [row for row in shares if not 0 <= (row.value or 0) <= 1 + 1e-12]
