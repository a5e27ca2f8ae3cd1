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

    All are weighted by time, not by jobs that look in: by the working time of the section after the buffer,
    so that they stand beside its waits, and in rows of their own by time on the clock.
    """
    for index, name in enumerate(plan.names.buffer):
        capacity = int(plan.buffers.capacity[index])
        for suffix, levels in (("", ledger.buffer_level), ("_clock", ledger.buffer_level_clock)):
            ticks, of = levels[index], int(levels[index].sum())
            content = int(ticks @ np.arange(len(ticks)))
            at = [int(t) for t in ticks[: capacity + 1]] + [0] * (capacity + 1 - len(ticks))
            yield Value(f"buffer_level{suffix}", name, "", "jobs", share(content, of))
            yield Value(f"buffer_full{suffix}", name, "", "share", share(at[capacity], of if capacity else 0))
            yield Value(f"buffer_empty{suffix}", name, "", "share", share(at[0], of if capacity else 0))
            if not suffix and capacity <= MOST_LEVELS:
                for level, spent in enumerate(at):
                    yield Value("buffer_at", name, str(level), "share", share(spent, of))
