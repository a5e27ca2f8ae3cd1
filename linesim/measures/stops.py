"""What stops the line: minutes and number of stops, by section, station and cause."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.ledger.ledger import Ledger
from linesim.measures.clock import minutes_per_shift, shifts_worked
from linesim.measures.value import Value, share
from linesim.plan.plan import Plan
from linesim.plan.tables import CONVEYOR, STATION
from linesim.plan.words import C_RUNNING, C_STOPPED, STOP_CAUSES


def causes_of(plan: Plan, owner_kind: int, owner: int) -> tuple[int, ...]:
    """Return the causes that a station or section can be booked with, as indices, in table order.

    These are the causes every line knows and the disturbance words of that place; a
    ``parts`` disturbance of one station gives no row of zeros at all the others.
    """
    modes = plan.modes
    own = {
        int(modes.cause[m])
        for m in range(len(modes.owner))
        if modes.owner_kind[m] == owner_kind and modes.owner[m] == owner
    }
    return (*range(len(STOP_CAUSES)), *sorted(own - set(range(len(STOP_CAUSES)))))


def line_stops(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield minutes and stops per shift: each section's total, its own causes, its stations by cause.

    The rows of a section and its stations that carry a cause add up to the row of the
    section that carries none: a minute of stop has one place and one cause.
    """
    yield from _by_place(plan, ledger)
    for index, name in enumerate(plan.names.section):
        running = int(ledger.section_state[index, C_RUNNING])
        stopped = int(ledger.section_state[index, C_STOPPED])
        yield Value("availability", name, "", "share", share(running, running + stopped))


def _by_place(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    shifts = shifts_worked(plan, ledger)
    for index, name in enumerate(plan.names.section):
        ticks, counts = ledger.stop[index], ledger.stops[index]
        places = [(name, -1, causes_of(plan, CONVEYOR, index))] + [
            (plan.names.station[s], int(s), causes_of(plan, STATION, int(s)))
            for s in plan.sections.stations[index]
        ]
        yield Value("line_stop", name, "", "min/shift", minutes_per_shift(int(ticks.sum()), plan, ledger))
        for where, row, causes in places:
            for cause in causes:
                minutes = minutes_per_shift(int(ticks[row, cause]), plan, ledger)
                yield Value("line_stop", where, plan.names.cause[cause], "min/shift", minutes)
        yield Value("line_stops", name, "", "1/shift", share(int(counts.sum()), shifts))
        for where, row, causes in places:
            for cause in causes:
                yield Value(
                    "line_stops",
                    where,
                    plan.names.cause[cause],
                    "1/shift",
                    share(int(counts[row, cause]), shifts),
                )
