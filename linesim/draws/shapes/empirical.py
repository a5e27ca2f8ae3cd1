"""Empirical: the measured times themselves."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

import numpy as np

from linesim.draws.shapes.distribution import require
from linesim.plan.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class Empirical:
    """Measured times, joined by straight lines.

    Of ``n`` sorted times, time ``i`` (from 0) is the quantile of ``(i + 1/2) / n``; between two of them
    the quantile runs in a straight line, and before the first and after the last it is flat. So

    - the mean is exactly the mean of the measured times, whatever ``n``;
    - nothing shorter or longer than what was measured ever comes;
    - a small change of ``u`` is a small change of the time, which plain redrawing of the measured
      values does not give (two alternatives then keep more in common).

    The standard deviation is a little below that of the measured times (the lines cut the corners).
    Plotting positions: A. Hazen, "Storage to be provided in impounding reservoirs", Transactions
    ASCE 77 (1914) 1539-1640.

    Args:
        times_s: Measured times [s], at least one, sorted, all >= 0.
    """

    times_s: tuple[float, ...]

    def __post_init__(self) -> None:
        times = self.times_s
        require(len(times) > 0, "empirical", "at least one time is needed", times=len(times))
        for i, (a, b) in enumerate(zip((0.0, *times), times, strict=False)):
            require(a <= b < inf, "empirical", "times must be >= 0 and sorted", place=i, before=a, time=b)

    @property
    def _shares(self) -> FloatArray:
        return (np.arange(len(self.times_s)) + 0.5) / len(self.times_s)

    @property
    def mean_s(self) -> float:
        """Mean [s]: that of the measured times."""
        return float(np.mean(self.times_s))

    @property
    def sd_s(self) -> float:
        """Standard deviation of what is drawn [s]."""
        off = np.asarray(self.times_s) - self.mean_s
        a, b = off[:-1], off[1:]
        ends = (off[0] ** 2 + off[-1] ** 2) / 2
        return sqrt(float(ends + np.sum(a * a + a * b + b * b) / 3) / off.size)

    @property
    def least_s(self) -> float:
        """Shortest measured time [s]."""
        return self.times_s[0]

    @property
    def most_s(self) -> float:
        """Longest measured time [s]."""
        return self.times_s[-1]

    def quantile(self, u: FloatArray) -> FloatArray:
        """Return times [s] on the line through the measured ones."""
        return np.interp(u, self._shares, self.times_s)

    def cumulative(self, x: FloatArray) -> FloatArray:
        """Return the share of times up to ``x`` [s]; it jumps where a measured time repeats."""
        times, n = np.asarray(self.times_s), len(self.times_s)
        last = np.searchsorted(times, x, side="right") - 1
        here = np.clip(last, 0, n - 1)
        step = np.append(np.diff(times), inf)[here]
        part = np.clip((x - times[here]) / np.where(step > 0, step, 1.0), 0, 1)
        share = (here + 0.5 + part) / n
        return np.where(last < 0, 0.0, np.where(last == n - 1, 1.0, share))
