"""What a replay shows, put together in one pass over the event log."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from linesim.ledger.ledger import Event
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE
from linesim.plan.words import S_STARVED
from linesim.report.replay.belts import Belt, Belts
from linesim.report.replay.stays import Stay, Stays
from linesim.report.replay.stops import Stops, StopSpan
from linesim.report.replay.work import WorkDone, WorkShown

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
