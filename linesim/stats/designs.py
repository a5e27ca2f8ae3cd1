"""Designs of few runs: two levels of many factors, and points spread evenly over their ranges."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linesim.stats.intervals import Interval, mean_interval

Runs = tuple[tuple[int, ...], ...]


def full_factorial(factors: int) -> Runs:
    """Return all combinations of low (-1) and high (+1), the first factor changing fastest.

    Examples:
        >>> full_factorial(2)
        ((-1, -1), (1, -1), (-1, 1), (1, 1))
    """
    if not 1 <= factors <= 20:
        raise ValueError(f"factors must be 1 to 20, got {factors}")
    return tuple(row[::-1] for row in itertools.product((-1, 1), repeat=factors))


def fractional_factorial(factors: int, resolution: int = 4) -> Runs:
    """Return a small regular design of at least the given resolution.

    Resolution 3: no two main effects are confused with each other. 4: nor is a main effect with an
    interaction of two. 5: nor are two such interactions.

    Args:
        factors: How many, 1 to 20.
        resolution: 3, 4 or 5.

    Returns:
        Runs of -1 and +1, shape ``(runs, factors)``, a power of two of them: the fewest for which one
        pass through the products of base factors, in one of three orders, finds enough columns. Of
        designs with equally many runs the one of the highest resolution.
    """
    if not 1 <= factors <= 20 or resolution not in (3, 4, 5):
        raise ValueError(f"factors must be 1 to 20 and resolution 3, 4 or 5, got {factors} and {resolution}")
    for base in range(1, factors + 1):
        sizes = range(2, base + 1)
        orders = (
            sorted(sizes, reverse=True),
            sorted(sizes, key=lambda size: (size % 2 == 0, -size)),  # odd products never meet in pairs
            sorted(sizes, key=lambda size: (size < resolution - 1, size)),
        )
        found = [_columns(base, factors, order, resolution) for order in orders]
        designs = [_design(base, columns) for columns in found if len(columns) == factors]
        if designs:
            return max(designs, key=lambda runs: resolution_of(runs) or factors + 1)
    raise AssertionError("with as many base factors as factors the full design is found")


def _columns(base: int, factors: int, sizes: Sequence[int], resolution: int) -> list[int]:
    """Return as many columns as can be found; a column is the product of the base factors of its bits."""
    columns = [1 << k for k in range(base)]
    for size in sizes:
        for letters in itertools.combinations(range(base), size):
            word = sum(1 << k for k in letters)
            if len(columns) < factors and not _confused(word, columns, resolution - 2):
                columns.append(word)
    return columns


def _design(base: int, columns: Sequence[int]) -> Runs:
    return tuple(
        tuple(math.prod(run[k] for k in range(base) if word >> k & 1) for word in columns)
        for run in full_factorial(base)
    )


def _confused(word: int, columns: Sequence[int], most: int) -> bool:
    """Return whether ``word`` is the product of at most ``most`` of the columns."""
    reached = {0}
    for size in range(1, most + 1):
        for some in itertools.combinations(columns, size):
            product = 0
            for column in some:
                product ^= column
            reached.add(product)
    return word in reached


def fold_over(runs: Runs) -> Runs:
    """Return the design followed by itself with every sign turned round: resolution 3 becomes 4."""
    return (*runs, *(tuple(-level for level in row) for row in runs))


def resolution_of(runs: Runs, *, up_to: int = 6) -> int | None:
    """Return the resolution of a regular design: the fewest columns whose product never changes.

    ``None`` if no product of ``up_to`` columns or fewer is constant.
    """
    table = np.asarray(runs, dtype=np.int64)
    for size in range(1, min(up_to, table.shape[1]) + 1):
        for some in itertools.combinations(range(table.shape[1]), size):
            if abs(int(table[:, some].prod(axis=1).sum())) == len(table):
                return size
    return None


def confused_pairs(runs: Runs) -> tuple[tuple[tuple[int, int], ...], ...]:
    """Return groups of interactions ``(a, b)``, factors from 0, that the design cannot tell apart."""
    table = np.asarray(runs, dtype=np.int64)
    groups: dict[bytes, list[tuple[int, int]]] = {}
    for a, b in itertools.combinations(range(table.shape[1]), 2):
        product = table[:, a] * table[:, b]
        groups.setdefault((product * product[0]).tobytes(), []).append((a, b))
    return tuple(tuple(group) for group in groups.values() if len(group) > 1)


def main_effects(runs: Runs, responses: ArrayLike, confidence: float = 0.95) -> tuple[Interval, ...]:
    """Return how much the response rises when each factor goes from low to high.

    Args:
        runs: The design, shape ``(runs, factors)``.
        responses: One row per run, one column per replication; replication ``r`` of all runs saw the
            same draws, so the effect is computed within replications and then averaged.
        confidence: Confidence of each interval.

    Examples:
        >>> [round(e.mean) for e in main_effects(full_factorial(2), [[1], [3], [11], [13]])]
        [2, 10]
    """
    table = np.asarray(runs, dtype=np.float64)
    return tuple(_contrast(table[:, f], responses, confidence) for f in range(table.shape[1]))


def interaction(runs: Runs, responses: ArrayLike, a: int, b: int, confidence: float = 0.95) -> Interval:
    """Return half the difference of factor ``a``'s effect between high and low of factor ``b``."""
    table = np.asarray(runs, dtype=np.float64)
    return _contrast(table[:, a] * table[:, b], responses, confidence)


def _contrast(signs: np.ndarray, responses: ArrayLike, confidence: float) -> Interval:
    values = np.asarray(responses, dtype=np.float64)
    if values.ndim != 2 or values.shape[0] != signs.size:
        raise ValueError(f"responses must have one row for each of the {signs.size} runs, got {values.shape}")
    if not (signs > 0).any() or not (signs < 0).any():
        raise ValueError("a factor stands at one level in every run, so it has no effect to see")
    return mean_interval(values[signs > 0].mean(axis=0) - values[signs < 0].mean(axis=0), confidence)


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
