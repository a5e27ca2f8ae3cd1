"""Side lines that feed the main line."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.ledger.ledger import Ledger
from linesim.measures.clock import TICKS_PER_HOUR
from linesim.measures.value import Value, share
from linesim.plan.plan import Plan


def feeders(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield how many units each feeder starts and hands to the main line."""
    hours = ledger.working_time / TICKS_PER_HOUR
    for index, name in enumerate(plan.names.feeder):
        yield Value("units_started", name, "", "units/h", share(int(ledger.units_in[index]), hours))
        yield Value("units_merged", name, "", "units/h", share(int(ledger.units_merged[index]), hours))
