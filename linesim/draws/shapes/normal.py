"""Normal, cut at 0."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, inf, pi, sqrt

import numpy as np
from scipy import special

from linesim.draws.shapes.distribution import array, require
from linesim.plan.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class Normal:
    """A normal time, given that it is not negative.

    The part below 0 is cut off and the rest made whole, as if negative times were drawn again (but
    with one uniform number a time). The cut moves the mean up: with ``centre = 2 sd`` from 2 to
    2.055 sd. `mean_s` is the true mean.

    Args:
        centre_s: Mean before the cut [s], >= 0.
        spread_s: Standard deviation before the cut [s], >= 0.
    """

    centre_s: float
    spread_s: float

    def __post_init__(self) -> None:
        ok = 0 <= self.centre_s < inf and 0 <= self.spread_s < inf
        require(ok, "normal", "mean and sd must be >= 0", mean=self.centre_s, sd=self.spread_s)

    @property
    def kept(self) -> float:
        """Share of the uncut distribution that is not negative."""
        return float(special.ndtr(self.centre_s / self.spread_s)) if self.spread_s else 1.0

    @property
    def _lift(self) -> float:
        """How far the cut moves the mean, in units of the spread (inverse Mills ratio)."""
        if not self.spread_s:
            return 0.0
        return exp(-0.5 * (self.centre_s / self.spread_s) ** 2) / sqrt(2 * pi) / self.kept

    @property
    def mean_s(self) -> float:
        """Mean after the cut [s]."""
        return self.centre_s + self.spread_s * self._lift

    @property
    def sd_s(self) -> float:
        """Standard deviation after the cut [s]."""
        if not self.spread_s:
            return 0.0
        lift = self._lift
        return self.spread_s * sqrt(1 - lift * (lift + self.centre_s / self.spread_s))

    @property
    def least_s(self) -> float:
        """Shortest time [s]."""
        return 0.0 if self.spread_s else self.centre_s

    @property
    def most_s(self) -> float:
        """Longest time [s]: no end."""
        return inf if self.spread_s else self.centre_s

    def quantile(self, u: FloatArray) -> FloatArray:
        """Return the quantile of what the cut leaves.

        The share below is used in the lower half and the share above in the upper one, so neither
        tail loses digits.
        """
        if not self.spread_s:
            return np.full(u.shape, self.centre_s)
        cut = float(special.ndtr(-self.centre_s / self.spread_s))
        below, above = cut + u * self.kept, (1 - u) * self.kept
        low, high = special.ndtri(np.minimum(below, 0.5)), -special.ndtri(np.minimum(above, 0.5))
        return np.maximum(self.centre_s + self.spread_s * np.where(below < 0.5, low, high), 0.0)

    def cumulative(self, x: FloatArray) -> FloatArray:
        """Return the share of times up to ``x`` [s]."""
        if not self.spread_s:
            return (x >= self.centre_s).astype(np.float64)
        above = array(special.ndtr((self.centre_s - x) / self.spread_s))
        return np.where(x < 0, 0.0, 1 - above / self.kept)
