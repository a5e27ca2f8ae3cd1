"""Latin hypercubes: few runs spread evenly over many factors."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray


def latin_hypercube(points: int, factors: int, *, seed: int = 1, tries: int = 20) -> NDArray[np.float64]:
    """Return points in the unit cube of which each slice of each factor holds exactly one.

    Args:
        points: How many, >= 1; each factor is cut into as many equal slices.
        factors: How many, >= 1.
        seed: Same seed, same points.
        tries: Designs drawn; the one whose closest points are furthest apart is kept.

    Returns:
        Shape ``(points, factors)``, each strictly between 0 and 1, read-only.

    Notes:
        M. D. McKay, R. J. Beckman and W. J. Conover, Technometrics 21 (1979) 239-245.
    """
    if points < 1 or factors < 1 or tries < 1:
        raise ValueError(f"points, factors and tries must be >= 1, got {points}, {factors}, {tries}")
    luck = np.random.Generator(np.random.Philox(seed))
    best, widest = np.empty((points, factors)), -1.0
    for _ in range(tries):
        slices = np.argsort(luck.random((points, factors)), axis=0, kind="stable")
        drawn = (slices + 0.5 + 0.98 * (luck.random((points, factors)) - 0.5)) / points
        gap = _closest(drawn)
        if gap > widest:
            best, widest = drawn, gap
    best.flags.writeable = False
    return best


def _closest(points: NDArray[np.float64]) -> float:
    """Return the least distance between two points, 0 for a single one."""
    if len(points) < 2:
        return 0.0
    apart = np.sqrt(((points[:, None, :] - points[None, :, :]) ** 2).sum(axis=2))
    return float(apart[np.triu_indices(len(points), 1)].min())


def between(unit: ArrayLike, lows: Sequence[float], highs: Sequence[float]) -> NDArray[np.float64]:
    """Return unit-cube points stretched to the range of each factor."""
    low, high = np.asarray(lows, dtype=np.float64), np.asarray(highs, dtype=np.float64)
    if low.shape != high.shape or not (low <= high).all():
        raise ValueError(f"lows must not exceed highs, got {list(lows)} and {list(highs)}")
    return np.asarray(low + np.asarray(unit, dtype=np.float64) * (high - low))
