"""Quantiles of independent values and their intervals by ranks, free of any distribution."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from linesim.stats.intervals import Interval, finite_values
from linesim.stats.student import binomial_at_most, normal_quantile, require_share


@dataclass(frozen=True, slots=True)
class Ranks:
    """Ranks (from 1) of the two values that bound a quantile, and the chance that they do.

    ``None`` where the list is too short to bound it on that side.
    """

    low: int | None
    high: int | None
    coverage: float


def rank_coverage(n: int, p: float, low: int | None, high: int | None) -> float:
    """Return the chance that quantile ``p`` lies between the values of two ranks (from 1) out of ``n``."""
    above = binomial_at_most(high - 1, n, p) if high is not None else 1.0
    below = binomial_at_most(low - 1, n, p) if low is not None else 0.0
    return above - below


def quantile_ranks(n: int, p: float, confidence: float = 0.95) -> Ranks:
    """Return the innermost ranks that miss quantile ``p`` by no more than half the error on each side.

    Args:
        n: Number of independent values, >= 1.
        p: Chance of a smaller value, between 0 and 1.
        confidence: Least chance of covering, between 0 and 1.
    """
    require_share("p", p)
    require_share("confidence", confidence)
    if n < 1:
        raise ValueError(f"n must be >= 1, got {n}")
    out = (1 - confidence) / 2
    low: int | None = None
    for rank in range(1, n + 1):
        if binomial_at_most(rank - 1, n, p) > out:
            break
        low = rank
    high: int | None = None
    for rank in range(n, 0, -1):
        if 1 - binomial_at_most(rank - 1, n, p) > out:
            break
        high = rank
    return Ranks(low, high, rank_coverage(n, p, low, high))


def normal_ranks(n: int, p: float, confidence: float = 0.95) -> Ranks:
    """Return the textbook ranks for long lists: ``floor(n p - z s)`` and ``ceil(n p + z s) + 1``.

    ``s = sqrt(n p (1 - p))``. A rank outside the list is ``None``.
    """
    spread = normal_quantile((1 + require_share("confidence", confidence)) / 2) * math.sqrt(n * p * (1 - p))
    low, high = math.floor(n * p - spread), math.ceil(n * p + spread) + 1
    inside_low, inside_high = (low if low >= 1 else None), (high if high <= n else None)
    return Ranks(inside_low, inside_high, rank_coverage(n, p, inside_low, inside_high))


def quantile(values: ArrayLike, p: float) -> float:
    """Return quantile ``p`` of the values, straight between neighbouring ranks (0 <= p <= 1)."""
    if not 0 <= p <= 1:
        raise ValueError(f"p must lie between 0 and 1, got {p}")
    return float(np.quantile(np.asarray(finite_values(values)), p))


def quantile_interval(values: ArrayLike, p: float, confidence: float = 0.95) -> Interval:
    """Return quantile ``p`` of independent values with the interval between two of them.

    Args:
        values: Independent values, one per replication, shape ``(n,)``.
        p: Chance of a smaller value, between 0 and 1.
        confidence: Least chance of covering; the ranks are chosen by the binomial law.

    Returns:
        The interval; a bound is ``None`` where the list is too short for it: 0.9 needs 36 values for an
        upper bound at 95 %.
    """
    ordered = sorted(finite_values(values))
    ranks = quantile_ranks(len(ordered), p, confidence)
    return Interval(
        quantile(ordered, p),
        None if ranks.low is None else ordered[ranks.low - 1],
        None if ranks.high is None else ordered[ranks.high - 1],
        None,
        None,
        len(ordered),
        confidence,
        "order statistics",
    )
