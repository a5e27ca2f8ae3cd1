"""Levelling by goal chasing: every part is used as evenly as the mix allows."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray


class Goals:
    """How well each product would serve the even use of all parts if it came next.

    After ``k`` of ``Q`` products, part ``j`` should have been used ``k N_j / Q`` times, where ``N_j`` is its
    total. Product ``i`` that would come as the ``k``-th is judged by the distance
    ``sqrt(sum_j (k N_j / Q - X_j - b_ij)**2)``, with ``X_j`` used so far and ``b_ij`` parts in one of it.
    Here the square of ``Q`` times the distance is kept, a whole number, so that products at the same
    distance tie exactly and not by the luck of rounding.
    Source: Y. Monden, *Toyota Production System*, chapter on mixed-model sequencing (goal chasing).

    Args:
        parts: Parts in one product, whole numbers >= 0, shape ``(products, parts)``.
        quantities: How many of each product, shape ``(products,)``.
    """

    __slots__ = ("_parts", "_square", "_total", "_wanted")

    def __init__(self, parts: ArrayLike, quantities: Sequence[int]) -> None:
        self._parts = np.asarray(parts, dtype=np.int64)
        self._wanted = np.asarray(quantities, dtype=np.int64) @ self._parts
        self._total = int(sum(quantities))
        self._square = self._total**2 * (self._parts**2).sum(axis=1)

    def costs(self, used: Sequence[int]) -> list[int]:
        """Return ``Q**2`` times the squared distance for each product, with ``used`` of each gone before."""
        after = (sum(used) + 1) * self._wanted - self._total * (np.asarray(used) @ self._parts)
        costs: list[int] = (
            int(after @ after) + self._square - 2 * self._total * (self._parts @ after)
        ).tolist()
        return costs

    def steps(self) -> NDArray[np.int64]:
        """Return in row ``i`` by how much more each product costs once one more of product ``i`` has gone.

        What all products cost alike is left out: it makes none of them come before another.
        """
        gone = self._wanted - self._total * self._parts
        return -2 * self._total * (gone @ self._parts.T)


def goal_chasing(parts: ArrayLike, quantities: Sequence[int]) -> list[int]:
    """Return the products in the order in which goal chasing sends them; ties go to the first listed.

    Args:
        parts: Parts in one product, whole numbers >= 0, shape ``(products, parts)``.
        quantities: How many of each product, shape ``(products,)``.

    Examples:
        Two of the first for one of the second, one part each:

        >>> goal_chasing([[1, 0], [0, 1]], [2, 1])
        [0, 1, 0]
    """
    goals = Goals(parts, quantities)
    used = [0] * len(quantities)
    sequence = []
    for _ in range(sum(quantities)):
        costs = goals.costs(used)
        left = [i for i, quantity in enumerate(quantities) if used[i] < quantity]
        sequence.append(min(left, key=lambda i: (costs[i], i)))
        used[sequence[-1]] += 1
    return sequence
