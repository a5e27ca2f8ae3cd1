"""What stops the line: minutes and number of stops, by section, station and cause."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.ledger.ledger import Ledger
from linesim.measures.clock import minutes_per_shift, shifts_worked
from linesim.measures.value import SEGMENT, Value, share
from linesim.plan.arrays import IntArray
from linesim.plan.plan import Plan
from linesim.plan.tables import CONVEYOR, FREE, STATION
from linesim.plan.words import BLOCKED, C_RUNNING, C_STOPPED, STARVED, STOP_CAUSES


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

    The minutes of a section and its stations that carry a cause add up to the row of the section that
    carries none: a minute of stop has one place and one cause. Turns add up to as many as the section
    stopped or more: a stop that passes from one place or cause to another is a turn of each.
    """
    yield from _by_place(plan, ledger)
    for index, name in enumerate(plan.names.section):
        running = int(ledger.section_state[index, C_RUNNING])
        stopped = int(ledger.section_state[index, C_STOPPED])
        yield Value("availability", name, "", "share", share(running, running + stopped))


def own_stops(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield minutes of the stops that begin on the line: of all sections, of each, of its stations.

    What a section only passes on (no room ahead, no job comes) is left out, so that one event counts once
    however many sections come to stand for it. A station of a free section has no conveyor to stop.
    """
    begun = _begun(ledger)
    yield Value("own_stop", SEGMENT, "", "min/shift", own_minutes(plan, ledger))
    for index, name in enumerate(plan.names.section):
        ticks = begun[index].sum(axis=-1)
        yield Value("own_stop", name, "", "min/shift", minutes_per_shift(int(ticks.sum()), plan, ledger))
        for s in plan.sections.stations[index] if plan.sections.pacing[index] != FREE else ():
            minutes = minutes_per_shift(int(ticks[s]), plan, ledger)
            yield Value("own_stop", plan.names.station[s], "", "min/shift", minutes)


def own_minutes(plan: Plan, ledger: Ledger) -> float | None:
    """Return the minutes a shift of all stops that begin on the line; None in no working time."""
    return minutes_per_shift(int(_begun(ledger).sum()), plan, ledger)


def _begun(ledger: Ledger) -> IntArray:
    """Return the ticks of stop by section, place and cause, with none for what is only passed on."""
    ticks = ledger.stop.copy()
    ticks[..., [BLOCKED, STARVED]] = 0
    return ticks


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
        yield Value("line_stops", name, "", "1/shift", share(int(ledger.stands[index]), shifts))
        for where, row, causes in places:
            for cause in causes:
                yield Value(
                    "stop_turns",
                    where,
                    plan.names.cause[cause],
                    "1/shift",
                    share(int(counts[row, cause]), shifts),
                )
