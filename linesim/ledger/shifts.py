"""The shifts of a run: the windows in which figures per shift are counted."""

from __future__ import annotations

from linesim.plan.plan import Plan
from linesim.plan.tables import NONE


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
