"""The elimination on a full table, as published: what choosing step by step is held against."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from linesim.stats.precision import elimination_boundary, last_look


@dataclass(frozen=True, slots=True)
class Elimination:
    """What is left of the alternatives.

    Attributes:
        survivors: Columns still in the running; one when decided.
        dropped_after: For each column after how many replications it was dropped; ``None`` if it was not.
        used: Replications looked at.
        run: Replications by which the decision falls at the latest, known from the first ones.
    """

    survivors: tuple[int, ...]
    dropped_after: tuple[int | None, ...]
    used: int
    run: int

    @property
    def best(self) -> int | None:
        """The chosen column, ``None`` if the replications given do not decide yet."""
        return self.survivors[0] if len(self.survivors) == 1 else None


def eliminate(
    table: ArrayLike,
    difference: float,
    *,
    confidence: float = 0.95,
    first: int = 10,
    higher_is_better: bool = True,
) -> Elimination:
    """Drop alternatives until one is left or the replications end.

    Common draws make it fast: only the spread of the differences counts. The survivor is the best
    with the given confidence if the best leads by at least ``difference``, and else is no further
    than that behind.

    Args:
        table: One row per replication, one column per alternative, rows paired by common draws.
        difference: The smallest difference that matters, > 0.
        confidence: Chance of keeping the best, between 0 and 1.
        first: Replications before the first look, >= 2; more give a sharper boundary.
        higher_is_better: Whether the largest mean is the best, else the smallest.

    Raises:
        ValueError: If there are fewer rows than ``first`` or fewer than two columns.
    """
    values = np.asarray(table, dtype=np.float64)
    if values.ndim != 2 or values.shape[0] < first or values.shape[1] < 2 or not np.isfinite(values).all():
        raise ValueError(
            f"table must have {first} or more rows and 2 or more columns of numbers, got {values.shape}"
        )
    if not difference > 0:
        raise ValueError(f"difference must be > 0, got {difference}")
    values = values if higher_is_better else -values
    count = values.shape[1]
    boundary = elimination_boundary(count, first, 1 - confidence)
    start = values[:first]
    spread = np.array(
        [[float(np.var(start[:, i] - start[:, k], ddof=1)) for k in range(count)] for i in range(count)]
    )
    last = max(last_look(s2, difference, boundary) for s2 in spread.ravel().tolist()) + 1
    alive = list(range(count))
    gone: list[int | None] = [None] * count
    used = first
    for r in range(first, values.shape[0] + 1):
        used = r
        mean = values[:r].mean(axis=0)
        reach = np.maximum(0.0, difference / (2 * r) * (boundary.h2 * spread / difference**2 - r))
        leaving = [i for i in alive if any(mean[i] < mean[k] - reach[i, k] for k in alive if k != i)]
        if r >= last:  # the boundary has closed: the leader is chosen, the first of equals
            leader = max(alive, key=lambda i: (mean[i], -i))
            leaving = [i for i in alive if i != leader]
        for i in leaving:
            gone[i] = r
        alive = [i for i in alive if i not in leaving]
        if len(alive) == 1:
            break
    return Elimination(tuple(alive), tuple(gone), used, max(first, last))
