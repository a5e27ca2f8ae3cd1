"""Lognormal: skewed to the long side, as manual work is."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, log1p

import numpy as np
from scipy import special

from linesim.draws.shapes.distribution import array, require
from linesim.plan.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class Lognormal:
    """A time whose logarithm is normal.

    ``sigma**2 = ln(1 + cv**2)`` and ``mu = ln(mean) - sigma**2 / 2`` give the stated mean and
    coefficient of variation exactly.

    Args:
        mean_s: Mean [s], > 0.
        cv: Standard deviation over mean, >= 0.
    """

    mean_s: float
    cv: float

    def __post_init__(self) -> None:
        ok = 0 < self.mean_s < inf and 0 <= self.cv < inf
        require(ok, "lognormal", "mean must be > 0 and cv >= 0", mean=self.mean_s, cv=self.cv)

    @property
    def sigma(self) -> float:
        """Standard deviation of the logarithm."""
        return float(np.sqrt(log1p(self.cv**2)))

    @property
    def mu(self) -> float:
        """Mean of the logarithm of the time in seconds."""
        return float(np.log(self.mean_s)) - log1p(self.cv**2) / 2

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]."""
        return self.mean_s * self.cv

    @property
    def least_s(self) -> float:
        """Shortest time [s]: any above 0."""
        return 0.0 if self.cv else self.mean_s

    @property
    def most_s(self) -> float:
        """Longest time [s]: no end."""
        return inf if self.cv else self.mean_s

    def quantile(self, u: FloatArray) -> FloatArray:
        """Return ``exp(mu + sigma z)`` with ``z`` the normal quantile of ``u``."""
        if not self.cv:
            return np.full(u.shape, self.mean_s)
        return array(np.exp(self.mu + self.sigma * array(special.ndtri(u))))

    def cumulative(self, x: FloatArray) -> FloatArray:
        """Return the share of times up to ``x`` [s]."""
        if not self.cv:
            return (x >= self.mean_s).astype(np.float64)
        with np.errstate(divide="ignore"):
            z = (np.log(np.maximum(x, 0.0)) - self.mu) / self.sigma
        return array(special.ndtr(z))
