"""Which part of which lines a replay shows on one clock: one alone, or two with the same jobs and luck."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import groupby, zip_longest
from typing import Any, NamedTuple

from linesim.errors import LinesimError
from linesim.ledger.ledger import Event
from linesim.ledger.shifts import shift_windows
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE
from linesim.report.replay.record import TOLD, ReplayRecord, StopSpan, record
from linesim.runs.trace import Watched
from linesim.ticks import Duration, seconds


class Window(NamedTuple):
    """A span of the run.

    Attributes:
        start, end: First and last tick, counted from the start of the run.
        shifts: Start and end of each whole shift of the run after its warm-up.
    """

    start: int
    end: int
    shifts: tuple[tuple[int, int], ...]


class WindowError(LinesimError):
    """The span that is asked for does not lie in the run."""

    status = 2


def window_of(
    plan: Plan, begin: Duration | None = None, length: Duration | None = None, *, at_start: bool = False
) -> Window:
    """Return the span of the run that a page shows.

    Args:
        plan: The line.
        begin: Where it begins, counted from the end of the warm-up; None for right there. Whole shifts are
            those of the run's calendar.
        length: How long it is; None for one shift, or what is left of a shorter run. A whole number of
            shifts from the start of a shift ends with a shift.
        at_start: Whether it begins with the run, warm-up and all, where ``begin`` does not say.

    Raises:
        WindowError: If it begins or ends outside the run, or has no length.
    """
    shifts = tuple(shift_windows(plan))
    first, last = plan.run.warm_up, plan.run.warm_up + plan.run.length
    skipped = _whole_shifts(begin)
    if begin is None:
        start = 0 if at_start else first
    elif skipped and skipped < len(shifts):
        start = shifts[skipped][0]
    else:
        start = first + begin.ticks
    if not start < last:
        raise WindowError(
            f"--from: {begin} after the warm-up lies beyond the run, which is {_hours(last - first)} long"
        )
    end = _end(start, shifts, length, last)
    if end == start:
        raise WindowError("--for: a page of no length shows nothing; write a time such as 2 h")
    if end > last:
        raise WindowError(
            f"--for: {length} from there ends {_hours(end - last)} after the run, which is "
            f"{_hours(last - first)} long after its warm-up"
        )
    return Window(start, end, shifts)


def _end(start: int, shifts: tuple[tuple[int, int], ...], length: Duration | None, last: int) -> int:
    n_shifts = 1 if length is None else _whole_shifts(length)
    at = next((i for i, (begin, _) in enumerate(shifts) if begin == start), None)
    if n_shifts and at is not None and at + n_shifts <= len(shifts):
        return shifts[at + n_shifts - 1][1]
    if length is not None:
        return start + length.ticks
    lengths = [end - begin for begin, end in shifts]
    return min(last, start + (lengths[0] if lengths else last - start))


def _whole_shifts(length: Duration | None) -> int:
    """Return how many whole shifts a length is, 0 if it is something else."""
    if length is None or length.unit != "shift" or length.amount != int(length.amount):
        return 0
    return int(length.amount)


def _hours(ticks: int) -> str:
    return f"{seconds(ticks) / 3600:.4g} h"


class ReplaySide(NamedTuple):
    """One line of a replay.

    Attributes:
        name: What it is called beside another one; empty where it stands alone.
        watched: Its replication.
        record: What happened in it, thing by thing.
        stops: The stops of which something lies in the window, in order of their beginning.
        band: Jobs made by each moment over replications, see `linesim.report.replay.day.band`; None for none.
    """

    name: str
    watched: Watched
    record: ReplayRecord
    stops: tuple[StopSpan, ...]
    band: Mapping[str, Any] | None = None

    def finished(self, window: Window) -> list[int]:
        """Return the ticks of a window at which jobs leave the line as finished."""
        off = TOLD.index("line-off")
        return [
            note.time
            for note in self.record.notes
            if note.what == off and window.start < note.time <= window.end
        ]


def side_of(
    watched: Watched, window: Window, name: str = "", band: Mapping[str, Any] | None = None
) -> ReplaySide:
    """Return a replication as a side of a replay."""
    found = record(watched.plan, watched.events, watched.until)
    stops = tuple(stop for stop in found.stops if stop.within(window.start, window.end))
    return ReplaySide(name, watched, found, stops, band)


def parting(one: Watched, other: Watched) -> int | None:
    """Return the tick at which something happens on one of two lines and not on the other; None if never.

    Things are the same if they happen at the same moment, to the same job, with the same names.
    """
    never = (min(one.until, other.until), ())
    for mine, others in zip_longest(_instants(one), _instants(other), fillvalue=never):
        if mine != others:
            first = min(mine[0], others[0])
            return first if first < never[0] else None
    return None


def _instants(watched: Watched) -> Iterator[tuple[int, tuple[Any, ...]]]:
    """Yield each moment with what happens at it, told by names."""
    names = watched.plan.names
    lists = (names.section, names.station, names.task, names.operator)

    def told(event: Event) -> tuple[str, ...]:
        section, station, task = (
            "" if index == NONE else some[index]
            for some, index in zip(lists, (event.section, event.station, event.task), strict=False)
        )
        return (event.what, str(event.job), section, station, task, *(names.operator[o] for o in event.who))

    seen = (event for event in watched.events if not event.what.endswith(" is"))
    for tick, some in groupby(seen, key=lambda event: event.time):
        yield tick, tuple(sorted(map(told, some)))
