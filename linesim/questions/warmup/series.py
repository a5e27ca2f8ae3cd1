"""What one replication does interval by interval of working time, from its very start.

What is noted of a replication stands in a file that imports only what decides figures too: `runs/program.py`.
"""

from __future__ import annotations

from collections.abc import Iterable
from types import MappingProxyType

import numpy as np

from linesim.draws.draws import Draws
from linesim.errors import WrongQuestionError
from linesim.ledger.ledger import Event
from linesim.measures.output import TICKS_PER_HOUR
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE, FloatArray, IntArray
from linesim.runs.replication import Label, Recorder, Replication

FEWEST_INTERVALS = 20  #: Of a run: four batches of five for MSER-5.
PER_SHIFT = 16  #: Intervals in a shift where jobs come often enough: half an hour of eight.
JOBS_IN_INTERVAL = 5  #: An interval is so many takts at least.


class WorkingHours:
    """The working time of a scenario's own calendar from tick 0 to the end of the run.

    Args:
        plan: The line.
    """

    def __init__(self, plan: Plan) -> None:
        stop = plan.run.warm_up + plan.run.length
        if plan.run.calendar == NONE:
            spans = [(0, stop)]
        else:
            calendar = plan.calendars[plan.run.calendar]
            weeks = range(stop // calendar.period + 1)
            spans = [
                (w * calendar.period + a, w * calendar.period + b) for w in weeks for a, b in calendar.on
            ]
        self._week = 0
        if plan.run.calendar != NONE:
            self._week = sum(b - a for a, b in plan.calendars[plan.run.calendar].on)
        kept = [(a, min(b, stop)) for a, b in sorted(spans) if a < stop]
        self._first = np.array([a for a, _ in kept], dtype=np.int64)
        self._length = np.array([b - a for a, b in kept], dtype=np.int64)
        self._before = np.concatenate([[0], np.cumsum(self._length)])

    @property
    def total(self) -> int:
        """Working time of the whole run [ticks]."""
        return int(self._before[-1])

    def cycle(self, interval: int, shift: int, measured: int) -> int:
        """Return the intervals after which working time repeats itself.

        A turn of the calendar, or else a shift, if what is measured holds two of them in whole intervals; or
        else a single interval.

        Args:
            interval: Length of an interval [ticks of working time].
            shift: Working time of an average shift [ticks].
            measured: Intervals measured.
        """
        for long in (self._week, shift):
            if long and long % interval == 0 and 2 * long <= measured * interval:
                return long // interval
        return 1

    def worked(self, times: IntArray) -> IntArray:
        """Return the working time before moments of the clock [ticks], same shape."""
        span = np.clip(np.searchsorted(self._first, times, side="right") - 1, 0, None)
        inside = np.clip(times - self._first[span], 0, self._length[span])
        return np.asarray(self._before[span] + inside, dtype=np.int64)

    def clock(self, worked: int) -> int:
        """Return the first moment of the clock before which so much was worked [ticks]."""
        span = int(np.searchsorted(self._before, worked, side="left")) - 1
        if span < 0:
            return 0
        return int(self._first[span] + worked - self._before[span])


def interval_ticks(plan: Plan, hours: WorkingHours) -> int:
    """Return the length of an interval [ticks of working time].

    A sixteenth of a shift, or more where that would hold fewer than `JOBS_IN_INTERVAL` jobs, or less where
    the run would have too few intervals.

    Raises:
        WrongQuestionError: If even intervals of one takt are too few.
    """
    shift, takt = plan.shift_ticks, int(plan.sections.takt.max())
    per_shift = max(1, min(PER_SHIFT, int(shift // (JOBS_IN_INTERVAL * takt))))
    interval = int(shift // per_shift)
    if hours.total // interval < FEWEST_INTERVALS:
        interval = max(takt, hours.total // FEWEST_INTERVALS)
    if hours.total // interval < FEWEST_INTERVALS:
        raise WrongQuestionError(
            f"run.length: the run holds fewer than {FEWEST_INTERVALS} takts, which is too short to see a "
            "start fade; make it longer."
        )
    return interval


def counts(worked: IntArray, interval: int, n: int) -> FloatArray:
    """Return how many moments fall into each of ``n`` intervals, shape ``(n,)``."""
    # A job that leaves at the last moment of an interval was made in it.
    number = np.clip((worked - 1) // interval, 0, None)
    return np.bincount(number[number < n], minlength=n)[:n].astype(np.float64)


def averages(worked: IntArray, levels: IntArray, interval: int, n: int) -> FloatArray:
    """Return the average over each of ``n`` intervals of a level that is 0 until it first changes.

    Args:
        worked: Moments of change, ascending [ticks], shape ``(changes,)``.
        levels: Level from each moment on, same shape.
        interval: Length of an interval [ticks].
        n: Number of intervals.
    """
    if not len(worked):
        return np.zeros(n)
    edges = np.arange(n + 1, dtype=np.int64) * interval
    held = np.concatenate([[0.0], np.cumsum(np.diff(worked) * levels[:-1])])
    last = np.searchsorted(worked, edges, side="right") - 1
    area = np.where(last >= 0, held[last] + (edges - worked[last]) * levels[last], 0.0)
    return np.asarray(np.diff(area) / interval)


#: Series that decide where to cut; how much sections stand is shown with them, too restless to decide.
DECIDING = frozenset({"finished", "inside"})
#: Name, unit and meaning of each series.
SERIES = (
    ("finished", "jobs/h", "Finished jobs per hour of working time"),
    ("inside", "jobs", "Jobs inside the segment"),
    ("stopped", "share", "Share of time in which a section stands, averaged over the sections"),
)
_SAID = MappingProxyType({"finished": "finished jobs", "inside": "jobs inside"})
_WANTED = frozenset({"line-on", "line-off", "scrap", "stop", "restart"})


class _Few(list[Event]):
    """Takes the whole event log and keeps what the series need."""

    def append(self, event: Event) -> None:
        """Keep an event if it is wanted."""
        if event.what in _WANTED:
            super().append(event)


def said_of(name: str) -> str:
    """Return what a series that decides is called in a sentence."""
    return _SAID[name]


def series(plan: Plan, seed: int, number: int, interval: int, drive: str = "simpy") -> FloatArray:
    """Return the series of a replication from tick 0 on, shape ``(series, intervals)``.

    Args:
        plan: The line.
        seed: Seed of the run.
        number: Replication, counted from 1.
        interval: Length of an interval [ticks of working time].
        drive: ``simpy`` or ``compiled``.
    """
    from linesim.engine.run import run_line

    events = _Few()
    run_line(plan, Draws(plan, seed, number), events, drive=drive)
    hours = WorkingHours(plan)
    n = hours.total // interval
    off = [event.time for event in events if event.what == "line-off"]
    finished = counts(hours.worked(np.array(off, dtype=np.int64)), interval, n) * TICKS_PER_HOUR / interval
    inside = averages(*_levels(hours, _inside(events)), interval, n)
    stopped = averages(*_levels(hours, _stopped(events)), interval, n) / len(plan.names.section)
    return np.stack([finished, inside, stopped])


def run_series(
    plan: Plan, seed: int, number: int, drive: str = "simpy"
) -> tuple[tuple[Label, ...], Replication]:
    """Return the series of a replication, one after the other as figures; see `Recorder`."""
    found = series(plan, seed, number, interval_ticks(plan, WorkingHours(plan)), drive)
    return _labels(found.shape[1]), Replication(number, tuple(found.ravel().tolist()), ())


NOTES = Recorder("series", run_series)  #: What `warmup` notes down.


def _labels(n: int) -> tuple[Label, ...]:
    return tuple(Label(name, str(k), "", unit) for name, unit, _ in SERIES for k in range(n))


def _inside(events: Iterable[Event]) -> list[tuple[int, int]]:
    """Return the moments at which the jobs inside change, and by how many; units of feeders are none."""
    steps = []
    for event in events:
        if event.what == "line-on" and event.where == NONE:
            steps.append((event.time, 1))
        elif event.what in ("line-off", "scrap"):
            steps.append((event.time, -1))
    return steps


def _stopped(events: Iterable[Event]) -> list[tuple[int, int]]:
    """Return the moments at which a section halts or goes on; another cause of the same stop is neither."""
    stands: set[int] = set()
    steps = []
    for event in events:
        if event.what == "stop" and event.section not in stands:
            stands.add(event.section)
            steps.append((event.time, 1))
        elif event.what == "restart" and event.section in stands:
            stands.remove(event.section)
            steps.append((event.time, -1))
    return steps


def _levels(hours: WorkingHours, steps: list[tuple[int, int]]) -> tuple[np.ndarray, np.ndarray]:
    times = np.array([moment for moment, _ in steps], dtype=np.int64)
    return hours.worked(times), np.cumsum(np.array([step for _, step in steps], dtype=np.int64))
