"""A day in the life of a line: jobs made against the plan, how usual that is, and three moments of it."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np

from linesim.answers.wording import count_of
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE, SECTION
from linesim.report.replay.sides import ReplaySide, Window
from linesim.stats.intervals import mean_interval

POINTS = 48  #: Moments of the band, evenly over the window.
_MINUTE = 60_000


class Moment(NamedTuple):
    """A moment that is worth a look.

    Attributes:
        tick: When, from the start of the run.
        says: Why.
    """

    tick: int
    says: str


class DayCurve(NamedTuple):
    """Jobs over a window, by straight lines between moments.

    Attributes:
        at: Moments, ticks from the start of the window.
        jobs: Jobs by each.
        words: What they are.
    """

    at: tuple[int, ...]
    jobs: tuple[float, ...]
    words: str

    def by(self, tick: float) -> float:
        """Return how many jobs there are by a moment."""
        return float(np.interp(tick, self.at, self.jobs))


def planned(plan: Plan, window: Window) -> DayCurve:
    """Return how many jobs the plan has by which moment of a window.

    The jobs that the scenario's plan asks of a shift come evenly in the working time of the last section;
    where it asks for none, one job a takt of the slowest section.
    """
    spans, per_shift = _working(plan, window)
    pace = max((takt for takt in plan.sections.takt.tolist() if takt > 0), default=0)
    rate = plan.target / per_shift if plan.target is not None else 1 / pace if pace else 0.0
    at, jobs = [0], [0.0]
    for begin, end in spans:
        at += [begin - window.start, end - window.start]
        jobs += [jobs[-1], jobs[-1] + rate * (end - begin)]
    words = "planned" if plan.target is not None else "one a takt would be"
    return DayCurve(tuple(at), tuple(round(number, 3) for number in jobs), words)


def _working(plan: Plan, window: Window) -> tuple[list[tuple[int, int]], float]:
    """Return the working time of the last section in a window, and that of a shift on average [ticks]."""
    last = next(
        index
        for kind, index in reversed(list(zip(plan.flow.kind.tolist(), plan.flow.index.tolist(), strict=True)))
        if kind == SECTION
    )
    followed = int(plan.sections.calendar[last])
    if followed == NONE:
        return [(window.start, window.end)], float(plan.run.shift)
    calendar = plan.calendars[followed]
    spans = []
    for turn in range(window.start // calendar.period, window.end // calendar.period + 1):
        for first, last in calendar.on:
            begin = max(window.start, turn * calendar.period + first)
            end = min(window.end, turn * calendar.period + last)
            if begin < end:
                spans.append((begin, end))
    return spans, sum(last - first for first, last in calendar.on) / len(calendar.shifts)


def band(finished: Sequence[Sequence[int]], window: Window, confidence: float = 0.95) -> dict[str, Any]:
    """Return the mean of jobs made by each moment over replications, with its interval.

    Args:
        finished: Of each replication, the ticks at which jobs left the line as finished, in order.
        window: The part of the run.
        confidence: Of the interval at each moment.

    Returns:
        ``n`` replications, moments ``at`` from the start of the window, and ``mean``, ``low`` and ``high``.
    """
    at = np.linspace(window.start, window.end, POINTS + 1).round().astype(np.int64).tolist()
    before = [bisect_right(ticks, window.start) for ticks in finished]
    rows = [[bisect_right(ticks, t) - n for t in at] for ticks, n in zip(finished, before, strict=True)]
    intervals = [mean_interval(values, confidence) for values in np.array(rows, dtype=float).T]
    return {
        "n": len(rows),
        "at": [t - window.start for t in at],
        "mean": [round(one.mean, 1) for one in intervals],
        "low": [round(max(0.0, one.mean if one.low is None else one.low), 1) for one in intervals],
        "high": [round(one.mean if one.high is None else one.high, 1) for one in intervals],
    }


def moments(side: ReplaySide, window: Window) -> tuple[Moment, ...]:
    """Return the worst stop, the moment furthest behind the plan, and the longest wait for a finished job.

    Where the line is never a job behind its plan, the second worst stop stands in place of that moment.
    """
    plan = side.watched.plan
    off = side.finished(window)
    curve = planned(plan, window)
    own = [stop for stop in side.stops if not stop.is_passed_on] or list(side.stops)
    own.sort(key=lambda stop: -stop.within(window.start, window.end))
    found = []
    for stop, which in zip(own, ("the worst stop", "the second worst stop"), strict=False):
        lasts = f"{(stop.end - stop.begin) / _MINUTE:.1f} min"
        says = f"{plan.names.section[stop.section]} stands for {lasts}, {which}"
        found.append(Moment(max(window.start, stop.begin), says))
    behind = [(curve.by(t - window.start) - made, t) for made, t in enumerate([*off, window.end])]
    most, tick = max(behind, key=lambda one: (one[0], -one[1]))
    if round(most) >= 1:
        says = f"{count_of(round(most), 'job')} fewer than {curve.words}, the furthest behind"
        found[1:] = [Moment(tick, says)]
    spans, _ = _working(plan, window)
    ends = pairwise([window.start, *off, window.end])
    longest, since = max(
        ((_worked(spans, since, until), since) for since, until in ends), key=lambda one: one[0]
    )
    found.append(Moment(since, f"no job leaves for {longest / _MINUTE:.1f} min of work, the longest wait"))
    return tuple(found)


def _worked(spans: Sequence[tuple[int, int]], since: int, until: int) -> int:
    """Return how much of a span is working time."""
    return sum(max(0, min(end, until) - max(begin, since)) for begin, end in spans)
