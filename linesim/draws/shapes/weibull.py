"""Weibull: time to wear-out, or to early failure."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, inf, lgamma, sqrt

import numpy as np
from scipy import special

from linesim.draws.shapes.distribution import array, require
from linesim.plan.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class Weibull:
    """A Weibull time: ``P(X > x) = exp(-(x / scale)**power)``.

    Args:
        scale_s: Time that 36.8 % outlive [s], > 0.
        power: Form: above 1 it wears out, below 1 it fails early; 0.05 to a million.
    """

    scale_s: float
    power: float

    def __post_init__(self) -> None:
        ok = 0 < self.scale_s < inf and 0.05 <= self.power <= 1e6
        found = {"scale": self.scale_s, "power": self.power}
        require(ok, "weibull", "scale must be > 0 and power from 0.05 to 1000000", **found)

    @property
    def mean_s(self) -> float:
        """Mean [s]."""
        return self.scale_s * exp(lgamma(1 + 1 / self.power))

    @property
    def cv(self) -> float:
        """Standard deviation over mean; depends on the power alone."""
        return sqrt(float(special.expm1(lgamma(1 + 2 / self.power) - 2 * lgamma(1 + 1 / self.power))))

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]."""
        return self.mean_s * self.cv

    @property
    def least_s(self) -> float:
        """Shortest time [s]."""
        return 0.0

    @property
    def most_s(self) -> float:
        """Longest time [s]: no end."""
        return inf

    def quantile(self, u: FloatArray) -> FloatArray:
        """Return ``scale (-ln(1 - u)) ** (1 / power)``."""
        return array(self.scale_s * (-np.log1p(-u)) ** (1 / self.power))

    def cumulative(self, x: FloatArray) -> FloatArray:
        """Return the share of times up to ``x`` [s]."""
        return array(-np.expm1(-((np.maximum(x, 0.0) / self.scale_s) ** self.power)))
