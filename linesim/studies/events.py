"""The event log of one replication with names instead of numbers."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.draws.draws import Draws
from linesim.ledger.events import Event
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE
from linesim.studies.tables import Cell, csv_text
from linesim.ticks import seconds

COLUMNS = ("time_s", "what", "job", "section", "station", "task", "where", "who", "cause")


def events_csv(plan: Plan, seed: int, number: int) -> str:
    """Return everything that happens in one replication, one line an event.

    Args:
        plan: The line.
        seed: Seed of the run.
        number: Replication, counted from 1.
    """
    from linesim.engine.run import run_line

    events: list[Event] = []
    run_line(plan, Draws(plan, seed, number), events)
    return csv_text(COLUMNS, named(plan, events))


def named(plan: Plan, events: list[Event]) -> Iterator[tuple[Cell, ...]]:
    """Yield events with names; jobs are counted from 1, the warm-up is included."""
    names = plan.names
    places = {
        "buffer": names.buffer,
        "bay": names.bay,
        "fail": names.mode,
        "repaired": names.mode,
        "fault": names.fault,
        "found": names.fault,
        "walk": names.fault,
        "task": names.fault,
        "put": names.fault,
    }

    def name(known: tuple[str, ...], index: int) -> Cell:
        return None if index == NONE else known[index]

    for event in events:
        where = places.get(event.what, places.get(event.what.split(" ")[0], ()))
        yield (
            seconds(event.time),
            event.what,
            None if event.job == NONE else event.job + 1,
            name(names.section, event.section),
            name(names.station, event.station),
            name(names.task, event.task),
            name(where, event.where) if where else (None if event.where == NONE else event.where),
            ";".join(names.operator[o] for o in event.who) or None,
            name(names.cause, event.cause),
        )
