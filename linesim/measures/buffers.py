"""How full the buffers are."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from linesim.ledger.ledger import Ledger
from linesim.measures.value import Value, share
from linesim.plan.plan import Plan

MOST_LEVELS = 40  #: Buffers with more places have no row per level.


def buffers(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield each buffer's mean level, the shares of time full and empty, and of each level.

    All are weighted by time on the clock, not by jobs that look in.
    """
    for index, name in enumerate(plan.names.buffer):
        ticks = ledger.buffer_level[index]
        capacity, clock = int(plan.buffers.capacity[index]), int(ticks.sum())
        at = [int(t) for t in ticks[: capacity + 1]] + [0] * (capacity + 1 - len(ticks))
        yield Value("buffer_level", name, "", "jobs", share(int(ticks @ np.arange(len(ticks))), clock))
        yield Value("buffer_full", name, "", "share", share(at[capacity], clock if capacity else 0))
        yield Value("buffer_empty", name, "", "share", share(at[0], clock if capacity else 0))
        if capacity <= MOST_LEVELS:
            for level, spent in enumerate(at):
                yield Value("buffer_at", name, str(level), "share", share(spent, clock))
