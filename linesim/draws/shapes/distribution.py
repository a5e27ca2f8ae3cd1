"""What every shape of time can say of itself, and the care all of them take at the ends."""

from __future__ import annotations

from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from linesim.plan.arrays import FloatArray

LOWEST = 2.0**-54  #: Half a step of the grid on which uniform numbers lie.
HIGHEST = 1.0 - 2.0**-53  #: The last number of that grid.


class Distribution(Protocol):
    """A distribution of times [s], all >= 0."""

    @property
    def mean_s(self) -> float:
        """Mean [s]."""

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]."""

    @property
    def least_s(self) -> float:
        """Shortest time it can give [s]."""

    @property
    def most_s(self) -> float:
        """Longest time it can give [s]; infinite where it has no end."""

    def quantile(self, u: FloatArray) -> FloatArray:
        """Return the times [s] that a share ``u`` of all times stays below; 0 < u < 1, any shape."""

    def cumulative(self, x: FloatArray) -> FloatArray:
        """Return the share of times that are at most ``x`` [s], any shape."""


def inside(u: ArrayLike) -> FloatArray:
    """Return uniform numbers moved off 0 and 1, where a quantile may be infinite.

    Drawn numbers are 0, 2**-53, 2·2**-53, … 1 - 2**-53. A 0 becomes `LOWEST`, the middle between it and
    nothing at all; 1, which is never drawn, becomes `HIGHEST`. No other drawn number moves, and order
    is kept.

    Raises:
        ValueError: If a number is not in [0, 1].
    """
    numbers = np.asarray(u, dtype=np.float64)
    if not np.all((numbers >= 0) & (numbers <= 1)):
        raise ValueError("uniform numbers must be in [0, 1]")
    return np.clip(numbers, LOWEST, HIGHEST)


def array(values: object) -> FloatArray:
    """Return ``values`` as float64, as libraries without exact types hand them over."""
    return np.asarray(values, dtype=np.float64)


def require(holds: bool, shape: str, demand: str, **found: float) -> None:
    """Raise `ValueError` naming ``shape``, the demand and the numbers found, unless ``holds``."""
    if not holds:
        numbers = ", ".join(f"{name}={value:g}" for name, value in found.items())
        raise ValueError(f"{shape}: {demand}, got {numbers}")
