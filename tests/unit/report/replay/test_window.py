"""Which part of a run a page shows: counted from the warm-up, in whole shifts where shifts are meant."""

import pytest

from linesim.plan.build import build
from linesim.plan.plan import Plan
from linesim.report.replay.sides import Window, WindowError, window_of
from linesim.report.replay.texts import clock
from linesim.scenario import load
from linesim.ticks import parse_duration
from tests.unit.report.replay.seen import SCENARIOS

HOUR = 3_600_000


@pytest.fixture(scope="module")
def weekly() -> Plan:
    """Return a plan with two shifts a day, a warm-up of one and five after it."""
    return build(load(SCENARIOS / "tractor/line.toml"))


@pytest.fixture(scope="module")
def plain() -> Plan:
    """Return a plan without a calendar: 10 h after 1 h of warm-up, shifts of 8 h."""
    return build(load(SCENARIOS / "textbook/fixed-position-stop.toml"))


def at(plan: Plan, begin: str | None = None, length: str | None = None) -> tuple[float, float]:
    """Return where a window begins and ends, in hours from the start of the run."""
    found = window_of(
        plan,
        None if begin is None else parse_duration(begin),
        None if length is None else parse_duration(length),
    )
    return found.start / HOUR, found.end / HOUR


def test_one_shift_after_the_warm_up(weekly: Plan, plain: Plan) -> None:
    """Without more being said a page shows the first shift after the warm-up."""
    assert at(weekly) == (8, 16)
    assert at(plain) == (1, 9)


def test_shifts_are_those_of_the_calendar(weekly: Plan) -> None:
    """Whole shifts leave out the nights between them; hours do not."""
    assert at(weekly, "1 shift") == (24, 32)
    assert at(weekly, "1 shift", "2 shifts") == (24, 40)
    assert at(weekly, "2 shifts", "90 min") == (32, 33.5)
    assert at(weekly, "2 h", "3 h") == (10, 13)
    assert at(weekly, None, "5 shifts") == (8, 64)


def test_a_short_run_is_shown_whole() -> None:
    """A run that holds no whole shift is shown to its end."""
    plan = build(load(SCENARIOS / "textbook/line-stop-trace.toml"))
    assert at(plan) == (0, 520 / 3600)


def test_what_lies_outside_the_run_is_refused(plain: Plan) -> None:
    """A window that begins or ends beyond the run, or has no length, is refused with what would be right."""
    for begin, length, said in (
        ("10 h", None, "--from: 10 h after the warm-up lies beyond the run, which is 10 h long"),
        ("5 h", "6 h", "--for: 6 h from there ends 1 h after the run"),
        (None, "0 s", "--for: a page of no length"),
    ):
        with pytest.raises(WindowError, match=said):
            at(plain, begin, length)


def test_the_clock_counts_within_shifts() -> None:
    """A moment is told as shift and time in it, and where no shift is, as time of the run."""
    window = Window(HOUR, 5 * HOUR, ((HOUR, 3 * HOUR), (4 * HOUR, 5 * HOUR)))
    assert clock(HOUR, window) == "shift 1, 0:00:00"
    assert clock(2 * HOUR + 61_900, window) == "shift 1, 1:01:01"
    assert clock(3 * HOUR, window) == "run 3:00:00"
    assert clock(4 * HOUR, window) == "shift 2, 0:00:00"
    assert clock(5 * HOUR, window) == "shift 2, 1:00:00"
