"""Exponential: time to the next of many rare mishaps."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from linesim.draws.shapes.distribution import array, require
from linesim.plan.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class Exponential:
    """A time without memory. ``mean_s`` [s], > 0."""

    mean_s: float

    def __post_init__(self) -> None:
        require(0 < self.mean_s < inf, "exponential", "mean must be > 0", mean=self.mean_s)

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]: equal to the mean."""
        return self.mean_s

    @property
    def least_s(self) -> float:
        """Shortest time [s]."""
        return 0.0

    @property
    def most_s(self) -> float:
        """Longest time [s]: no end."""
        return inf

    def quantile(self, u: FloatArray) -> FloatArray:
        """Return ``-mean ln(1 - u)``."""
        return array(-self.mean_s * np.log1p(-u))

    def cumulative(self, x: FloatArray) -> FloatArray:
        """Return the share of times up to ``x`` [s]."""
        return array(-np.expm1(-np.maximum(x, 0.0) / self.mean_s))
