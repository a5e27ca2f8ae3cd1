"""What common draws do to the difference of two times, exactly."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from linesim.theory.laws import Law

How = Literal["independent", "common", "antithetic"]


@dataclass(frozen=True, slots=True)
class DrawnPair:
    """Correlation of two times and variance of their difference."""

    correlation: float
    difference_variance: float


def drawn_pair(first: Law, second: Law, how: How) -> DrawnPair:
    """Return correlation and variance of ``first - second`` for a way of drawing them.

    Args:
        first: Law of the one time, drawn by its quantile function.
        second: Law of the other.
        how: ``"common"``: one uniform number ``u`` for both; ``"antithetic"``: ``u`` and ``1 - u``;
            ``"independent"``: two.
    """
    if how == "independent":
        return DrawnPair(0.0, first.sd**2 + second.sd**2)
    # Integrate over u = 1 / (1 + exp(-sinh(t))): both ends are approached doubly exponentially fast.
    t = np.linspace(-4.1, 4.1, 4001)
    odds = np.exp(np.sinh(t))
    u, rest = odds / (1 + odds), 1 / (1 + odds)
    weight = u * rest * np.cosh(t) * (t[1] - t[0])
    keep = (u < 1) & (rest < 1)
    u, weight = u[keep], weight[keep]
    other = u if how == "common" else 1 / (1 + odds[keep])
    other = np.clip(other, None, 1 - 2**-53)
    product = float(
        np.sum(weight * (first.quantile(u) - first.mean) * (second.quantile(other) - second.mean))
    )
    return DrawnPair(product / (first.sd * second.sd), first.sd**2 + second.sd**2 - 2 * product)


def serial_mean_variance(phi: float, n: int, variance: float = 1.0) -> float:
    """Return the variance of the mean of ``n`` neighbours in a series with correlations ``phi ** lag``."""
    if not -1 < phi < 1 or n < 1:
        raise ValueError(f"need -1 < phi < 1 and n >= 1, got {phi} and {n}")
    return variance / n * (1 + 2 * math.fsum((1 - k / n) * phi**k for k in range(1, n)))


def serial_batch_correlation(phi: float, size: int) -> float:
    """Return the correlation of the means of neighbouring batches of ``size`` in such a series."""
    between = math.fsum((size - abs(k - size)) * phi**k for k in range(1, 2 * size)) / size**2
    return between / serial_mean_variance(phi, size)
