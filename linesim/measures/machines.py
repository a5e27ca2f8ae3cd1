"""Robots, shared tools and carriers."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.ledger.ledger import Ledger
from linesim.measures.value import Value, share
from linesim.plan.plan import Plan
from linesim.plan.words import R_OFF, ROBOT_STATES


def robots(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield each robot's time by state, as shares of the time in which its calendar works."""
    for index, name in enumerate(plan.names.robot):
        row = ledger.robot_state[index]
        on = int(row.sum()) - int(row[R_OFF])
        for state, word in enumerate(ROBOT_STATES):
            if state != R_OFF:
                yield Value("robot_state", name, word, "share", share(int(row[state]), on))


def tools_and_carriers(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield the share of time in which a piece of each tool, or a carrier, was taken.

    They have no calendar and a break does not free them. The share is of the hours of the sections that use
    the tool, or of the one where jobs board the carrier, and in a row of its own of the clock.
    """
    clock = ledger.end - ledger.start
    for index, name in enumerate(plan.names.tool):
        pieces, hours = int(plan.equipment.tool_count[index]), int(ledger.tool_hours[index])
        busy, on_clock = int(ledger.tool_busy[index]), int(ledger.tool_busy_clock[index])
        yield Value("tool_busy", name, "", "share", share(busy, hours * pieces))
        yield Value("tool_busy_clock", name, "", "share", share(on_clock, clock * pieces))
    for index, name in enumerate(plan.names.carrier):
        pieces, hours = int(plan.carriers.count[index]), int(ledger.carrier_hours[index])
        busy, on_clock = int(ledger.carrier_busy[index]), int(ledger.carrier_busy_clock[index])
        yield Value("carrier_busy", name, "", "share", share(busy, hours * pieces))
        yield Value("carrier_busy_clock", name, "", "share", share(on_clock, clock * pieces))
        yield Value("carrier_short", name, "", "share", share(int(ledger.carrier_short[index]), hours))
