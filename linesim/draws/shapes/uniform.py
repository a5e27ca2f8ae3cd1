"""Uniform: only the ends are known."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

import numpy as np

from linesim.draws.shapes.distribution import require
from linesim.plan.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class Uniform:
    """Every time between ``low_s`` and ``high_s`` [s] is as likely; ``0 <= low_s <= high_s``."""

    low_s: float
    high_s: float

    def __post_init__(self) -> None:
        ok = 0 <= self.low_s <= self.high_s < inf
        require(ok, "uniform", "0 <= low <= high must hold", low=self.low_s, high=self.high_s)

    @property
    def mean_s(self) -> float:
        """Mean [s]."""
        return (self.low_s + self.high_s) / 2

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]."""
        return (self.high_s - self.low_s) / sqrt(12)

    @property
    def least_s(self) -> float:
        """Shortest time [s]."""
        return self.low_s

    @property
    def most_s(self) -> float:
        """Longest time [s]."""
        return self.high_s

    def quantile(self, u: FloatArray) -> FloatArray:
        """Return the time a share ``u`` of the way from low to high."""
        return self.low_s + u * (self.high_s - self.low_s)

    def cumulative(self, x: FloatArray) -> FloatArray:
        """Return the share of times up to ``x`` [s]."""
        width = self.high_s - self.low_s
        if not width:
            return (x >= self.low_s).astype(np.float64)
        return np.clip((x - self.low_s) / width, 0, 1)
