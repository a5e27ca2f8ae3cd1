"""Who works on what: every piece of work with the walk before it and its pauses."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

from linesim.ledger.ledger import Event
from linesim.report.replay.stays import OPEN


@dataclass(frozen=True, slots=True)
class WorkShown:
    """One piece of work at a station.

    Attributes:
        station, job, task: Where, on which job, and what.
        fault: Fault that it puts right, or NONE.
        who: Operators, by number; empty for a robot's work.
        walk: Tick at which they set out.
        begin: Tick at which the work began; equal to ``walk`` if nobody had to walk.
        end: Tick at which it ended or was broken off; `OPEN` if it had not when the log ends.
        is_left: Whether it was broken off.
        pauses: Spans in which it rested; the last may be `OPEN`.
    """

    station: int
    job: int
    task: int
    fault: int
    who: tuple[int, ...]
    walk: int
    begin: int
    end: int = OPEN
    is_left: bool = False
    pauses: tuple[tuple[int, int], ...] = ()


class _Open(NamedTuple):
    work: WorkShown
    paused: int = OPEN
    is_begun: bool = True


class WorkDone:
    """Listens to the log and keeps the pieces of work."""

    def __init__(self) -> None:
        self._open: dict[tuple[int, int, int, int], _Open] = {}
        self._closed: list[WorkShown] = []

    def take(self, event: Event) -> None:
        """Take a ``walk`` or ``task …``."""
        key, now = (event.station, event.job, event.task, event.where), event.time
        if event.what == "walk":
            self._open[key] = _Open(WorkShown(*key, event.who, now, now), is_begun=False)
        elif event.what == "task start":
            coming = self._open.get(key)
            work = WorkShown(*key, event.who, now, now) if coming is None else replace(coming.work, begin=now)
            self._open[key] = _Open(work)
        elif event.what == "task pause":
            self._open[key] = self._open[key]._replace(paused=now)
        elif event.what == "task resume":
            self._open[key] = _Open(_rested(self._open[key], now))
        elif event.what in ("task end", "task left"):
            self._close(self._open.pop(key), now, is_left=event.what == "task left")

    def _close(self, piece: _Open, now: int, *, is_left: bool = False) -> None:
        begin = piece.work.begin if piece.is_begun else now
        self._closed.append(replace(_rested(piece, now), begin=begin, end=now, is_left=is_left))

    def all(self) -> tuple[WorkShown, ...]:
        """Return every piece of work, by station and beginning."""
        for key in list(self._open):
            self._close(self._open.pop(key), OPEN)
        return tuple(sorted(self._closed, key=lambda w: (w.station, w.walk, w.begin, w.task, w.job, w.fault)))


def _rested(piece: _Open, now: int) -> WorkShown:
    """Return the work with the pause that ends at ``now``; one of no length is none."""
    if piece.paused in (OPEN, now):
        return piece.work
    return replace(piece.work, pauses=(*piece.work.pauses, (piece.paused, now)))
