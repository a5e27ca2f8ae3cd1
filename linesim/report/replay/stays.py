"""Where every job is: one stay a place, from the log of what enters and leaves."""

from __future__ import annotations

from typing import NamedTuple

from linesim.ledger.ledger import Event
from linesim.plan.plan import Plan
from linesim.plan.tables import FREE, NONE, SECTION

SECTION_PLACE, STATION_PLACE, BUFFER_PLACE, BAY_PLACE = range(4)  #: Kinds of places.
OPEN = -1  #: End of what has not ended when the log does.


class Stay(NamedTuple):
    """One job in one place.

    Attributes:
        job: Number of the job, from 0; a feeder's unit has a number of its own.
        kind: A moving or indexed section, a free station, a buffer or a bay.
        place: Its index.
        begin, end: From and to which tick; `OPEN` if it has not left.
        mark: Moving and indexed sections: the mark with which it came on, less the stations it was ahead.
            Free stations and bays: the lowest position that was free.
    """

    job: int
    kind: int
    place: int
    begin: int
    end: int = OPEN
    mark: int = 0


class Places:
    """Which flow a place belongs to: 0 for the main line, 1, 2, … for the feeders."""

    def __init__(self, plan: Plan) -> None:
        self.section: dict[int, int] = {}
        self.buffer: dict[int, int] = {}
        for number, flow in enumerate((plan.flow, *plan.feeders.flows)):
            for kind, index in zip(flow.kind.tolist(), flow.index.tolist(), strict=True):
                (self.section if kind == SECTION else self.buffer)[index] = number
        self.bay = {b: self.section[s] for b, s in enumerate(plan.bays.section.tolist())}


class Stays:
    """Listens to the log and keeps where the jobs are."""

    def __init__(self, plan: Plan) -> None:
        self._flow = Places(plan)
        self._section = plan.stations.section.tolist()
        self._position = plan.stations.position.tolist()
        self._free = [pacing == FREE for pacing in plan.sections.pacing.tolist()]
        self._open: dict[tuple[int, int], Stay] = {}  # by flow and job
        self._slots: dict[tuple[int, int], set[int]] = {}  # taken, by kind and place
        self._between: list[dict[int, None]] = [{} for _ in range(1 + len(plan.feeders.flows))]
        self.closed: list[Stay] = []

    def take(self, event: Event, marks: list[list[int]]) -> None:
        """Take one event; ``marks`` are those that each section has passed."""
        what, now, job = event.what, event.time, event.job
        if what == "enter":
            section = self._section[event.station]
            flow = self._flow.section[section]
            if self._free[section]:
                self._move(flow, job, STATION_PLACE, event.station, now)
            else:
                mark = len(marks[section]) - self._position[event.station]
                self._move(flow, job, SECTION_PLACE, section, now, mark)
        elif what == "leave":
            self._leave(self._flow.section[self._section[event.station]], job, now)
        elif what == "buffer in":
            self._move(self._flow.buffer[event.where], job, BUFFER_PLACE, event.where, now)
        elif what == "buffer out":
            self._leave(self._flow.buffer[event.where], job, now)
        elif what == "bay in":
            self._move(self._flow.bay[event.where], job, BAY_PLACE, event.where, now)
        elif what == "line-off":
            self._leave(0, job, now)
            self._between[0].pop(job, None)
        elif what == "scrap":
            flow = event.where + 1 if event.where != NONE else 0
            self._leave(flow, job, now)
            self._between[flow].pop(job, None)
        elif what == "merge":
            # The unit has just been taken out of its last place and has entered no other.
            unit = next(iter(self._between[event.where + 1]))
            del self._between[event.where + 1][unit]

    def _move(self, flow: int, job: int, kind: int, place: int, now: int, mark: int = 0) -> None:
        old = self._open.get((flow, job))
        if old is not None and kind == SECTION_PLACE and (old.kind, old.place) == (kind, place):
            assert old.mark == mark, "a job moves with its section"
            return
        self._leave(flow, job, now)
        self._between[flow].pop(job, None)
        if kind in (STATION_PLACE, BAY_PLACE):
            taken = self._slots.setdefault((kind, place), set())
            mark = next(slot for slot in range(len(taken) + 1) if slot not in taken)
            taken.add(mark)
        self._open[flow, job] = Stay(job, kind, place, now, OPEN, mark)

    def _leave(self, flow: int, job: int, now: int) -> None:
        stay = self._open.pop((flow, job), None)
        if stay is None:
            return
        if stay.kind in (STATION_PLACE, BAY_PLACE):
            self._slots[stay.kind, stay.place].discard(stay.mark)
        self._between[flow][job] = None
        self.closed.append(stay._replace(end=now))

    def all(self) -> tuple[Stay, ...]:
        """Return every stay, by kind, place and begin."""
        found = [*self.closed, *self._open.values()]
        return tuple(sorted(found, key=lambda stay: (stay.kind, stay.place, stay.begin, stay.mark, stay.job)))
