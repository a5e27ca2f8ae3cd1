"""When sections stood: each stop with the place and cause it is booked to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from linesim.ledger.ledger import Event
from linesim.plan.words import BLOCKED, STARVED


class StopSpan(NamedTuple):
    """A time in which a section should run by the calendar and stood, for one place and cause.

    Attributes:
        section: Section that stood.
        begin, end: From and to which tick.
        station: Station it is booked to; NONE for the section's own conveyor.
        cause: Index of the cause.
    """

    section: int
    begin: int
    end: int
    station: int
    cause: int

    @property
    def is_passed_on(self) -> bool:
        """Whether it only passes on what happened elsewhere."""
        return self.cause in (BLOCKED, STARVED)

    def within(self, start: int, end: int) -> int:
        """Return how much of it lies in a span [ticks]."""
        return max(0, min(self.end, end) - max(self.begin, start))


class Stops:
    """Listens to the log and keeps the stops."""

    def __init__(self, n_sections: int) -> None:
        self._open: list[tuple[int, int, int] | None] = [None] * n_sections
        self._closed: list[StopSpan] = []

    def take(self, event: Event) -> None:
        """Take a ``stop`` or ``restart``; a stop that follows on a stop has another cause."""
        self._close(event.section, event.time)
        if event.what == "stop":
            self._open[event.section] = (event.time, event.station, event.cause)

    def _close(self, section: int, now: int) -> None:
        found = self._open[section]
        if found is not None and found[0] < now:
            self._closed.append(StopSpan(section, found[0], now, found[1], found[2]))
        self._open[section] = None

    def all(self, end: int) -> tuple[StopSpan, ...]:
        """Return the stops up to ``end``, in order of their beginning."""
        for section in range(len(self._open)):
            self._close(section, end)
        return tuple(sorted(self._closed, key=lambda stop: (stop.begin, stop.section)))


def worst(stops: Sequence[StopSpan], start: int, end: int) -> StopSpan | None:
    """Return the stop that takes most of a span, of those that begin on the line itself if there are any."""
    own = [stop for stop in stops if not stop.is_passed_on and stop.within(start, end)]
    found = own or [stop for stop in stops if stop.within(start, end)]
    return max(found, key=lambda stop: stop.within(start, end), default=None)
