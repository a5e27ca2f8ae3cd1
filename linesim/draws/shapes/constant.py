"""Always the same time."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from linesim.draws.shapes.distribution import require
from linesim.plan.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class Constant:
    """A time that never varies: ``value_s`` [s], >= 0."""

    value_s: float

    def __post_init__(self) -> None:
        require(0 <= self.value_s < inf, "constant", "value must be >= 0 and finite", value=self.value_s)

    @property
    def mean_s(self) -> float:
        """Mean [s]."""
        return self.value_s

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]: none."""
        return 0.0

    @property
    def least_s(self) -> float:
        """Shortest time [s]."""
        return self.value_s

    @property
    def most_s(self) -> float:
        """Longest time [s]."""
        return self.value_s

    def quantile(self, u: FloatArray) -> FloatArray:
        """Return the value for every ``u``."""
        return np.full(u.shape, self.value_s)

    def cumulative(self, x: FloatArray) -> FloatArray:
        """Return 1 from the value on, 0 before it."""
        return (x >= self.value_s).astype(np.float64)
