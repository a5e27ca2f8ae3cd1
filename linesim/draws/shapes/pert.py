"""Beta-PERT: a guess with three numbers and soft ends."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

import numpy as np
from scipy import special

from linesim.draws.shapes.distribution import array, require
from linesim.plan.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class Pert:
    """A beta density between ``low_s`` and ``high_s`` that weighs ``mode_s`` four times, all [s].

    ``alpha = 1 + 4 (m - a) / (b - a)``, ``beta = 1 + 4 (b - m) / (b - a)``; the mean is
    ``(a + 4 m + b) / 6``. The standard deviation is the beta's own, ``sqrt((mean - a) (b - mean) / 7)``;
    the well-known ``(b - a) / 6`` is only near it. ``0 <= low_s <= mode_s <= high_s``.
    """

    low_s: float
    mode_s: float
    high_s: float

    def __post_init__(self) -> None:
        ok = 0 <= self.low_s <= self.mode_s <= self.high_s < inf
        found = {"low": self.low_s, "mode": self.mode_s, "high": self.high_s}
        require(ok, "pert", "0 <= low <= mode <= high must hold", **found)

    @property
    def _powers(self) -> tuple[float, float]:
        width = self.high_s - self.low_s
        return 1 + 4 * (self.mode_s - self.low_s) / width, 1 + 4 * (self.high_s - self.mode_s) / width

    @property
    def mean_s(self) -> float:
        """Mean [s]."""
        return (self.low_s + 4 * self.mode_s + self.high_s) / 6

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]."""
        return sqrt(max((self.mean_s - self.low_s) * (self.high_s - self.mean_s), 0.0) / 7)

    @property
    def least_s(self) -> float:
        """Shortest time [s]."""
        return self.low_s

    @property
    def most_s(self) -> float:
        """Longest time [s]."""
        return self.high_s

    def quantile(self, u: FloatArray) -> FloatArray:
        """Return the beta quantile of ``u``, stretched from ``low_s`` to ``high_s``."""
        width = self.high_s - self.low_s
        if not width:
            return np.full(u.shape, self.low_s)
        return self.low_s + width * array(special.betaincinv(*self._powers, u))

    def cumulative(self, x: FloatArray) -> FloatArray:
        """Return the share of times up to ``x`` [s]."""
        width = self.high_s - self.low_s
        if not width:
            return (x >= self.low_s).astype(np.float64)
        return array(special.betainc(*self._powers, np.clip((x - self.low_s) / width, 0, 1)))
