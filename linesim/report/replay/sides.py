"""The lines that a replay shows on one clock: one alone, or two with the same jobs and the same luck."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import groupby, zip_longest
from typing import Any, NamedTuple

from linesim.ledger.ledger import Event
from linesim.plan.tables import NONE
from linesim.report.replay.record import TOLD, ReplayRecord, record
from linesim.report.replay.stops import StopSpan
from linesim.report.replay.window import Window
from linesim.runs.trace import Watched


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
