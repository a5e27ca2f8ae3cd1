"""What one replication does interval by interval, from its very start."""

from __future__ import annotations

from collections.abc import Iterable
from types import MappingProxyType

import numpy as np

from linesim.draws.draws import Draws
from linesim.ledger.events import Event
from linesim.measures.output import TICKS_PER_HOUR
from linesim.plan.arrays import FloatArray
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE
from linesim.questions.warmup.hours import WorkingHours, averages, counts, interval_ticks
from linesim.runs.replication import Label, Recorder, Replication

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
