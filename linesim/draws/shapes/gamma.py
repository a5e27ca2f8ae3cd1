"""Gamma, and its whole-numbered form, Erlang."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

import numpy as np
from scipy import special

from linesim.draws.shapes.distribution import array, require
from linesim.plan.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class Gamma:
    """A gamma time.

    Its shape number is ``1 / cv**2`` and its scale ``mean_s * cv**2``.

    Args:
        mean_s: Mean [s], > 0.
        cv: Standard deviation over mean, 0 to 100; below 1e-9 it counts as no spread at all.
    """

    mean_s: float
    cv: float

    def __post_init__(self) -> None:
        ok = 0 < self.mean_s < inf and 0 <= self.cv <= 100
        require(ok, "gamma", "mean must be > 0 and cv from 0 to 100", mean=self.mean_s, cv=self.cv)

    @property
    def _is_flat(self) -> bool:
        return self.cv < 1e-9

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]."""
        return self.mean_s * self.cv

    @property
    def least_s(self) -> float:
        """Shortest time [s]."""
        return self.mean_s if self._is_flat else 0.0

    @property
    def most_s(self) -> float:
        """Longest time [s]: no end."""
        return self.mean_s if self._is_flat else inf

    def quantile(self, u: FloatArray) -> FloatArray:
        """Return the inverse of the regularised lower incomplete gamma function, scaled."""
        if self._is_flat:
            return np.full(u.shape, self.mean_s)
        return self.mean_s * self.cv**2 * array(special.gammaincinv(1 / self.cv**2, u))

    def cumulative(self, x: FloatArray) -> FloatArray:
        """Return the share of times up to ``x`` [s]."""
        if self._is_flat:
            return (x >= self.mean_s).astype(np.float64)
        return array(special.gammainc(1 / self.cv**2, np.maximum(x, 0.0) / (self.mean_s * self.cv**2)))


@dataclass(frozen=True, slots=True)
class Erlang:
    """The sum of ``stages`` exponential times of equal mean.

    Args:
        mean_s: Mean of the sum [s], > 0.
        stages: Number of stages, a whole number from 1 to a million.
    """

    mean_s: float
    stages: float

    def __post_init__(self) -> None:
        ok = 0 < self.mean_s < inf and 1 <= self.stages <= 1e6 and self.stages == int(self.stages)
        found = {"mean": self.mean_s, "stages": self.stages}
        require(ok, "erlang", "mean must be > 0 and stages a whole number from 1 to 1000000", **found)

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]."""
        return self.mean_s / sqrt(self.stages)

    @property
    def least_s(self) -> float:
        """Shortest time [s]."""
        return 0.0

    @property
    def most_s(self) -> float:
        """Longest time [s]: no end."""
        return inf

    def quantile(self, u: FloatArray) -> FloatArray:
        """Return the gamma quantile with shape number ``stages``."""
        return self.mean_s / self.stages * array(special.gammaincinv(self.stages, u))

    def cumulative(self, x: FloatArray) -> FloatArray:
        """Return the share of times up to ``x`` [s]."""
        return array(special.gammainc(self.stages, np.maximum(x, 0.0) * (self.stages / self.mean_s)))
