"""Everything that one replication says, in one fixed order."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.ledger.ledger import Ledger
from linesim.measures.definitions import Value
from linesim.measures.output import feeders, line_stops, money, output, own_stops, quality, way_through
from linesim.measures.places import (
    bays,
    buffers,
    crew_time,
    faults,
    operator_load,
    robots,
    station_limits,
    station_states,
    tools_and_carriers,
)
from linesim.plan.plan import Plan

#: The families of measures, in the order of every table. A new family is a new file and a line here.
FAMILIES = (
    output,
    money,
    line_stops,
    own_stops,
    station_states,
    station_limits,
    crew_time,
    operator_load,
    robots,
    tools_and_carriers,
    buffers,
    way_through,
    quality,
    bays,
    faults,
    feeders,
)


def measure(plan: Plan, ledger: Ledger) -> tuple[Value, ...]:
    """Return the figures of one replication.

    Which rows there are, and their order, follows from the plan alone: every replication of
    a plan has the same ones, so that the k-th row of one belongs with the k-th of another.
    """
    return tuple(_all(plan, ledger))


def _all(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    for family in FAMILIES:
        yield from family(plan, ledger)
