"""What a replay shows, put together in one pass over the event log: stays, stops, work, states."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from linesim.ledger.ledger import Event
from linesim.plan.plan import Plan
from linesim.plan.tables import FREE, NONE, SECTION
from linesim.plan.words import BLOCKED, S_STARVED, STARVED
from linesim.report.replay.belts import Belt, Belts

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


Run = tuple[tuple[int, int], ...]  #: (tick from which, state), in order of time

#: What is told of a moment besides stays, work and stops.
TOLD = (
    "line-on", "line-off", "scrap", "merge", "redo", "open work", "fault", "found", "put right", "bay in",
    "bay out", "call", "help", "fail", "repaired", "on", "off",
)  # fmt: skip


class Note(NamedTuple):
    """One thing told of a moment; a part that says nothing is NONE.

    Attributes:
        time: Tick.
        what: Index in `TOLD`.
        job, station, task: Of which job, where, in which work.
        where: Bay, failure mode, fault, calendar or feeder, whichever ``what`` speaks of.
        who: Operator who comes to help.
    """

    time: int
    what: int
    job: int
    station: int
    task: int
    where: int
    who: int


@dataclass(frozen=True, eq=False)
class ReplayRecord:
    """Everything that happened, thing by thing; times are ticks from the start of the run.

    Attributes:
        end: Tick at which the log ends.
        belts: How far the conveyor of each section has come; None for a free section.
        duty: When each section comes on duty and goes off, in turn.
        stays: Where the jobs were, by kind and place.
        stops: When sections stood.
        work: Pieces of work, by station.
        stations, operators: What each was from when on.
        notes: What else is told, in the order in which it happened.
    """

    end: int
    belts: tuple[Belt | None, ...]
    duty: tuple[tuple[int, ...], ...]
    stays: tuple[Stay, ...]
    stops: tuple[StopSpan, ...]
    work: tuple[WorkShown, ...]
    stations: tuple[Run, ...]
    operators: tuple[Run, ...]
    notes: tuple[Note, ...]


def record(plan: Plan, events: Iterable[Event], end: int) -> ReplayRecord:
    """Return what an event log says, thing by thing.

    Args:
        plan: The line.
        events: Everything that happened, in order.
        end: Tick at which the log ends.
    """
    belts, stays, stops, work = Belts(plan), Stays(plan), Stops(len(plan.names.section)), WorkDone()
    stations: list[list[tuple[int, int]]] = [[(0, S_STARVED)] for _ in plan.names.station]
    operators: list[list[tuple[int, int]]] = [[(0, 0)] for _ in plan.names.operator]
    notes: list[Note] = []
    told = {what: i for i, what in enumerate(TOLD)}
    for event in events:
        what = event.what
        if what == "operator is":
            _switch(operators[event.who[0]], event.time, event.where)
        elif what == "station is":
            _switch(stations[event.station], event.time, event.where)
        elif what == "walk" or what.startswith("task"):
            work.take(event)
        elif what == "mark":
            belts.marks[event.section].append(event.time)
        elif what in ("stop", "restart"):
            stops.take(event)
            belts.stand(event.section, what == "stop", event.time)
        else:
            if what in ("on", "off"):
                belts.switch(event.where, what == "on", event.time)
            stays.take(event, belts.marks)
        if what in told:
            notes.append(_note(event, told[what]))
    return ReplayRecord(
        end=end,
        belts=belts.belts(),
        duty=belts.duty(),
        stays=stays.all(),
        stops=stops.all(end),
        work=work.all(),
        stations=tuple(tuple(run) for run in stations),
        operators=tuple(tuple(run) for run in operators),
        notes=tuple(notes),
    )


def _switch(run: list[tuple[int, int]], now: int, state: int) -> None:
    if run[-1][0] == now:
        run.pop()
    run.append((now, state))


def _note(event: Event, what: int) -> Note:
    who = event.who[0] if event.what == "help" else NONE
    return Note(event.time, what, event.job, event.station, event.task, event.where, who)
