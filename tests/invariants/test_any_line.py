"""What must hold of every line, on random ones that mix all that a scenario can say."""

import contextlib
import random
from typing import Any

import pytest
import simpy
from hypothesis import given, reject, settings

from linesim.draws.draws import Draws
from linesim.engine import run as run_module
from linesim.engine.clock import Clock
from linesim.engine.run import run_line
from linesim.errors import LineStuck
from linesim.ledger.ledger import WHAT, Event
from linesim.plan.build import build
from linesim.scenario import from_dict
from tests.drives import plain
from tests.invariants import accounts, happenings, hours
from tests.invariants.any_layout import SHIFT_MIN, Tables
from tests.invariants.any_line import any_line
from tests.lines import Ran, run_tables, tables
from tests.luck import Luck


class ShuffledTies(simpy.Environment):
    """Events of one instant come in random order: complete rules give the same ledger for every seed."""

    def __init__(self, seed: int) -> None:
        super().__init__()
        luck = random.Random(seed)
        self._eid = iter(lambda: luck.getrandbits(62), None)  # type: ignore[assignment]


class Unsorted(Clock):
    """A deliberately wrong clock: what is due at one instant is handed over as it comes."""

    def _ring(self, timeout: simpy.Event) -> None:
        self._due.append(timeout.value)
        if self._environment.peek() > self._environment.now:
            due, self._due = self._due, []
            self._instant(int(self._environment.now), due)


def moving(raw: Tables, **how: Any) -> Ran:
    """Return the line after its run; an example that locks itself up (as loops may) is put aside."""
    try:
        return run_tables(raw, **how)
    except LineStuck:
        reject()


@settings(max_examples=60)
@given(any_line())
def test_every_sum_closes(raw: Tables) -> None:
    """Accounts sum to the clock, stops to the time stood, jobs are kept, and events say the same."""
    ran = moving(raw)
    accounts.check_sums(ran.plan, ran.ledger)
    accounts.check_counts(ran)
    accounts.check_calls(ran)
    accounts.check_little(ran)
    hours.check_working_time(ran)
    accounts.check_states_from_events(ran)


@settings(max_examples=60)
@given(any_line())
def test_what_happens_can_happen(raw: Tables) -> None:
    """Nobody is in two places, tasks take their time in their order, conveyors run a takt between marks."""
    ran = moving(raw)
    for check in happenings.checks():
        check(ran)
    happenings.check_work(ran, Luck(ran.plan, 1, 1))


@settings(max_examples=40)
@given(any_line())
def test_ties_and_the_event_log_change_nothing(raw: Tables) -> None:
    """The order in which timers of one instant ring changes nothing, and neither does the event log."""
    ran = moving(raw)
    ledger = plain(ran.ledger)
    for seed in (1, 2):
        shuffled = run_tables(raw, environment=ShuffledTies(seed))
        assert plain(shuffled.ledger) == ledger
        assert shuffled.events == ran.events
    assert plain(run_tables(raw, with_events=False).ledger) == ledger


def test_the_lines_show_everything() -> None:
    """Among the random lines every kind of event happens, so that nothing is held only by name."""
    missing = set(WHAT)

    @settings(max_examples=600)  # stops looking once everything was seen; which lines come first may vary
    @given(any_line())
    def look(raw: Tables) -> None:
        if missing:
            missing.difference_update(event.what for event in moving(raw).events)

    look()
    assert not missing


#: Two robots of equal times that fail by one crew's hand: much falls on one instant.
TIES = """
[section.cell]
pacing = "free"
stations = ["A", "B"]
[station.A]
places = 2
[station.A.task.weld]
time = "4 s"
people = 0
fault = { chance = 0.5, found = "at once", tries = 2 }
[station.B.task.turn]
time = "2 s"
[station.B.task.test]
time = "2 s"
robot = "r"
[robot.r.failure.jam]
every = "8 s"
lasts = "4 s"
repaired_by = "b"
[crew.b]
people = 1
covers = ["B"]
"""


def test_a_clock_that_does_not_sort_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    """A clock that hands over an instant as it comes gives another line for another order of ties."""
    raw = tables(TIES, length="300 s")
    straight = run_tables(raw)
    for seed in range(5):
        assert run_tables(raw, environment=ShuffledTies(seed)).events == straight.events
    monkeypatch.setattr(run_module, "Clock", Unsorted)
    wrong = {run_tables(raw, environment=ShuffledTies(seed)).events for seed in range(5)}
    assert len(wrong) > 1


# Nothing stands in silence

#: What shows that something still moves.
_LIFE = frozenset({"enter", "leave", "task start", "task end", "buffer in", "bay in", "bay out", "line-on"})


def goes_on(raw: Tables, until: int, length: str) -> bool:
    """Return whether anything happens to a job from tick ``until`` on when the line runs on to ``length``."""
    plan = build(from_dict({**raw, "run": {**raw["run"], "warm_up": "0 min", "length": length}}))
    events: list[Event] = []
    # Should it lock itself up later, what went before still counts.
    with contextlib.suppress(LineStuck):
        run_line(plan, Draws(plan, 1, 1), events)
    return any(event.time >= until and event.what in _LIFE for event in events)


@settings(max_examples=30)
@given(any_line())
def test_a_line_that_ends_its_run_with_jobs_inside_would_go_on(raw: Tables) -> None:
    """A line with jobs inside that is not called stuck does something to a job when the run is longer."""
    ran = moving(raw)
    if ran.ledger.inside_end:
        day = 24 * 60 if "calendar" in raw else 0
        assert goes_on(raw, ran.ledger.end, f"{day + 2 * SHIFT_MIN} min")


def test_the_check_sees_a_line_that_stands_in_silence(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the engine's own check a locked loop would end its run in silence, and be seen here."""
    raw = tables(
        """
        flow = ["pre", "lane", "line"]
        [section.pre]
        pacing = "free"
        stations = ["P"]
        [section.line]
        pacing = "free"
        stations = ["A"]
        [buffer.lane]
        capacity = 1
        [station.P.task.put]
        time = "1 s"
        people = 0
        [station.A.task.test]
        time = "1 s"
        people = 0
        again = true
        fault = { chance = 1, found = "at once", tries = 1, right = "rework", repair = "5 s" }
        [bay.rework]
        section = "line"
        rejoin = "lane"
        [crew.r]
        people = 1
        covers = ["rework"]
        """,
        length="60 s",
    )
    with pytest.raises(LineStuck):
        run_tables(raw)
    monkeypatch.setattr(run_module, "check_moves", lambda s, plan: None)
    ran = run_tables(raw)
    assert ran.ledger.inside_end
    assert not goes_on(raw, ran.ledger.end, "300 s")
