"""Triangular: a guess with three numbers."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

import numpy as np

from linesim.draws.shapes.distribution import require
from linesim.plan.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class Triangular:
    """A density that rises in a line from ``low_s`` to ``mode_s`` and falls to ``high_s``, all [s].

    ``0 <= low_s <= mode_s <= high_s``. Mean ``(a + b + c) / 3``, variance
    ``(a² + b² + c² - ab - ac - bc) / 18``.
    """

    low_s: float
    mode_s: float
    high_s: float

    def __post_init__(self) -> None:
        ok = 0 <= self.low_s <= self.mode_s <= self.high_s < inf
        found = {"low": self.low_s, "mode": self.mode_s, "high": self.high_s}
        require(ok, "triangular", "0 <= low <= mode <= high must hold", **found)

    @property
    def mean_s(self) -> float:
        """Mean [s]."""
        return (self.low_s + self.mode_s + self.high_s) / 3

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]."""
        rise, fall = self.mode_s - self.low_s, self.high_s - self.mode_s
        return sqrt((rise * rise + rise * fall + fall * fall) / 18)

    @property
    def least_s(self) -> float:
        """Shortest time [s]."""
        return self.low_s

    @property
    def most_s(self) -> float:
        """Longest time [s]."""
        return self.high_s

    def quantile(self, u: FloatArray) -> FloatArray:
        """Return the quantile: a root from the low end below the mode, from the high end above it."""
        rise, fall, width = self.mode_s - self.low_s, self.high_s - self.mode_s, self.high_s - self.low_s
        up = self.low_s + np.sqrt(u * (width * rise))
        down = self.high_s - np.sqrt((1 - u) * (width * fall))
        return np.where(u * width < rise, up, down)

    def cumulative(self, x: FloatArray) -> FloatArray:
        """Return the share of times up to ``x`` [s]."""
        rise, fall, width = self.mode_s - self.low_s, self.high_s - self.mode_s, self.high_s - self.low_s
        low = np.clip(x - self.low_s, 0, None) ** 2 / (width * rise) if rise else np.zeros(x.shape)
        high = 1 - np.clip(self.high_s - x, 0, None) ** 2 / (width * fall) if fall else np.ones(x.shape)
        return np.where(x < self.low_s, 0.0, np.where(x < self.mode_s, low, high))
