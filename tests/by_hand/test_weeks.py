"""Calendars over weeks: round the clock, over the night of Sunday, and week after week."""

from tests.lines import run

LINE = """
takt = "1 h"
[section.line]
pacing = "free"
stations = ["A"]
[station.A.task.fit]
time = "1 h"
people = 0
"""


def test_round_the_clock_is_no_calendar_at_all() -> None:
    """Three shifts without a gap, seven days: all as without a calendar, over more than a week."""
    calendar = """
        [calendar.always]
        days = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
        shifts = ["00:00-08:00", "08:00-16:00", "16:00-00:00"]
        """
    always, plain = run(LINE + calendar, length="200 h"), run(LINE, length="200 h")
    # Jobs end at 1 h, 2 h, ... 199 h; what ends with the run at 200 h is not counted any more.
    assert always.ledger.jobs_out == 199
    assert always.events[0].what == "on"  # the calendar itself is told, once
    assert always.events[1:] == plain.events


def test_the_second_week_is_like_the_first() -> None:
    """One shift on Friday and one on Monday, 2 h each: jobs come in the same hours of every week.

    Friday's is the later one: after it, the next change is Monday's, in the next turn of the week. Tick 0 is
    Monday 06:00. The second job of a shift is done as the shift ends; it is handed on when the next begins.
    """
    calendar = """
        [calendar.two]
        days = ["mon", "fri"]
        shifts = ["06:00-08:00"]
        """
    ran = run(LINE + calendar, length=f"{2 * 7 * 24 + 3} h")
    out = [e.time / 3_600_000 for e in ran.events if e.what == "line-off"]
    week = 7 * 24
    assert out == [1, 96, 97, week, week + 1, week + 96, week + 97, 2 * week, 2 * week + 1]


def test_working_time_and_shifts_of_two_weeks() -> None:
    """A run that begins within a shift counts whole shifts only, and all hours worked, week after week.

    Two shifts of 2 h a week, Monday and Friday at 06:00; the warm-up ends on Monday at 07:00, the run two
    weeks later: 1 h of the first Monday, 2 h each of Friday, Monday and Friday, 1 h of the last Monday.
    """
    calendar = """
        [calendar.two]
        days = ["mon", "fri"]
        shifts = ["06:00-08:00"]
        """
    ran = run(LINE + calendar + '[run]\nwarm_up = "1 h"\n', length=f"{14 * 24} h")
    hour, day = 3_600_000, 24 * 3_600_000
    assert ran.ledger.working_time == (1 + 2 + 2 + 2 + 1) * hour
    assert ran.ledger.windows.tolist() == [[d * day, d * day + 2 * hour] for d in (4, 7, 11)]
