"""Levels kept step by step, for sums over spans that lie in the middle of a run."""

from __future__ import annotations

import numpy as np

from linesim.plan.arrays import IntArray


class StepAccount:
    """Every level that ``n`` quantities have been at, and from when on.

    It grows with each change: for things that change a few times an hour.
    """

    __slots__ = ("_steps",)

    def __init__(self, n: int) -> None:
        self._steps = [[(0, 0)] for _ in range(n)]

    def switch(self, i: int, level: int, now: int) -> None:
        """Note that quantity ``i`` is at ``level`` from ``now`` on."""
        self._steps[i].append((now, level))

    def restart(self, now: int) -> None:
        """Forget what was before ``now``."""
        self._steps = [[(now, steps[-1][1])] for steps in self._steps]

    def sums(self, begin: IntArray, end: IntArray) -> IntArray:
        """Return level times ticks in spans, shape ``(quantities, *shape of begin)``.

        Args:
            begin: First ticks, not before the last restart.
            end: Last ticks, of the same shape; none later than now.
        """
        rows = [_up_to(steps, end) - _up_to(steps, begin) for steps in self._steps]
        return np.array(rows, dtype=np.int64).reshape(len(self._steps), *begin.shape)


def _up_to(steps: list[tuple[int, int]], ticks: IntArray) -> IntArray:
    """Return level times ticks from the first step to each of ``ticks``."""
    at, level = np.array(steps, dtype=np.int64).T
    before = np.concatenate(([0], np.cumsum(level[:-1] * np.diff(at))))
    last = np.searchsorted(at, ticks, side="right") - 1
    return np.asarray(before[last] + level[last] * (ticks - at[last]), dtype=np.int64)
