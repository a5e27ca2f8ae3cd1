"""The shifts of a run: the windows in which figures per shift are counted."""

from __future__ import annotations

import numpy as np

from linesim.plan.plan import Plan
from linesim.plan.tables import NONE, IntArray

HOUR = 3_600_000  #: Ticks.


def shift_windows(plan: Plan) -> list[tuple[int, int]]:
    """Return (start, end) of every whole shift between the warm-up and the end of the run, in ticks."""
    start, stop = plan.run.warm_up, plan.run.warm_up + plan.run.length
    if plan.run.calendar == NONE:
        n = plan.run.length // plan.run.shift
        return [(start + i * plan.run.shift, start + (i + 1) * plan.run.shift) for i in range(n)]
    calendar = plan.calendars[plan.run.calendar]
    windows = []
    for turn in range(start // calendar.period, stop // calendar.period + 1):
        for first, last in calendar.shifts:
            window = (turn * calendar.period + first, turn * calendar.period + last)
            if start <= window[0] and window[1] <= stop:
                windows.append(window)
    return sorted(windows)


def shift_hours(windows: IntArray) -> tuple[IntArray, IntArray]:
    """Return first and last tick of each hour of each shift, counted from its start.

    Args:
        windows: Start and end of each shift, shape ``(shifts, 2)``.

    Returns:
        Two tables of shape ``(shifts, hours of the longest shift)``; hours that a shift does not have are
        empty spans at its end.

    Examples:
        A shift of an hour and a half, and one of an hour:

        >>> begin, end = shift_hours(np.array([[0, 5_400_000], [5_400_000, 9_000_000]]))
        >>> (end - begin).tolist()
        [[3600000, 1800000], [3600000, 0]]
    """
    start, stop = windows[:, :1], windows[:, 1:]
    n_hours = -(-int((stop - start).max(initial=0)) // HOUR)
    begin = np.minimum(start + HOUR * np.arange(n_hours), stop)
    return begin, np.minimum(begin + HOUR, stop)


def shifts_a_day_and_week(plan: Plan) -> tuple[float, float]:
    """Return how many shifts a working day and a week have by the run's calendar; by the clock without one.

    A day begins when the first shift of the calendar does, so that a night shift belongs to the day before.
    """
    if plan.run.calendar == NONE:
        return 24 * HOUR / plan.run.shift, 7 * 24 * HOUR / plan.run.shift
    calendar = plan.calendars[plan.run.calendar]
    days = {first // (24 * HOUR) for first, _ in calendar.shifts}
    n = len(calendar.shifts) * 7 * 24 * HOUR / calendar.period
    return len(calendar.shifts) / max(1, len(days)), n


def working_time(plan: Plan) -> int:
    """Return the ticks between warm-up and end in which the scenario's own calendar works."""
    start, stop = plan.run.warm_up, plan.run.warm_up + plan.run.length
    if plan.run.calendar == NONE:
        return stop - start
    calendar = plan.calendars[plan.run.calendar]
    total = 0
    for turn in range(start // calendar.period, stop // calendar.period + 1):
        for first, last in calendar.on:
            first, last = turn * calendar.period + first, turn * calendar.period + last
            total += max(0, min(last, stop) - max(first, start))
    return total
