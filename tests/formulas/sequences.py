"""Orders of jobs: all of them, their overload, spacing rules, and the smoothest."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from linesim.questions.sequence.search import all_orders
from tests.formulas.drift import displacement_trace


@dataclass(frozen=True, slots=True)
class OrderRange:
    """Total overload over all orders of the same jobs."""

    orders: int
    least: float
    best_orders: int
    most: float
    mean: float


def overload_over_orders(
    contents: Sequence[float], counts: Sequence[int], takt: float, length: float
) -> OrderRange:
    """Return least, most and mean total overload at a closed station over every order.

    Args:
        contents: Work content of each kind of job.
        counts: How many of each kind; the number of orders grows fast.
        takt: Time between jobs.
        length: Station length as time of conveyor travel.
    """
    totals = [
        math.fsum(displacement_trace([contents[k] for k in order], takt, length).overloads)
        for order in all_orders(counts)
    ]
    least = min(totals)
    best = sum(math.isclose(t, least, abs_tol=1e-9) for t in totals)
    return OrderRange(len(totals), least, best, max(totals), math.fsum(totals) / len(totals))


def spacing_rule(heavy: float, light: float, takt: float, length: float) -> tuple[int, int]:
    """Return ``(p, q)``: at most p heavy jobs in every q in a row never overload the station.

    Args:
        heavy: Work content above the takt.
        light: Work content below the takt.
        takt: Time between jobs.
        length: Station length as time of conveyor travel, >= heavy.

    Notes:
        A. Bolat and C. A. Yano, Production Planning & Control 3 (1992): p is how many heavy jobs in a
        row the station stands, q adds the light ones that bring the crew back.

    Examples:
        >>> spacing_rule(70, 52, takt=60, length=80)
        (2, 5)
    """
    if not light < takt < heavy <= length:
        raise ValueError(f"need light < takt < heavy <= length, got {light}, {takt}, {heavy}, {length}")
    stands = math.floor((length - takt) / (heavy - takt) + 1e-9)
    return stands, stands + math.ceil(stands * (heavy - takt) / (takt - light) - 1e-9)


def violated_windows(marked: Sequence[bool], at_most: int, in_any: int) -> int:
    """Return how many full windows of ``in_any`` jobs in a row hold more than ``at_most`` marked ones."""
    if in_any < 1:
        raise ValueError(f"in_any must be >= 1, got {in_any}")
    return sum(sum(marked[i : i + in_any]) > at_most for i in range(len(marked) - in_any + 1))


@dataclass(frozen=True, slots=True)
class SpacingRule:
    """At most ``at_most`` jobs of the named kinds in any ``in_any`` in a row."""

    kinds: frozenset[int]
    at_most: int
    in_any: int


def allowed_orders(counts: Sequence[int], rules: Sequence[SpacingRule]) -> Iterator[tuple[int, ...]]:
    """Yield every distinct order that keeps all rules; a prefix that breaks one is not extended."""
    left = list(counts)
    order: list[int] = []

    def keeps() -> bool:
        return all(sum(k in rule.kinds for k in order[-rule.in_any :]) <= rule.at_most for rule in rules)

    def extend() -> Iterator[tuple[int, ...]]:
        if len(order) == sum(counts):
            yield tuple(order)
            return
        for kind in range(len(left)):
            if left[kind]:
                left[kind] -= 1
                order.append(kind)
                if keeps():
                    yield from extend()
                order.pop()
                left[kind] += 1

    return extend()


def goal_chasing(quantities: Sequence[int], parts: Sequence[Sequence[int]]) -> tuple[int, ...]:
    """Return the order of products (from 0) that keeps the use of parts as even as it can, step by step.

    Args:
        quantities: How many of each product, whole numbers >= 0.
        parts: Parts per unit, one row per product, one column per part.

    Notes:
        Y. Monden, Toyota Production System, chapter on mixed-model sequencing: step k takes the
        product with the least ``sum_j (k N_j / Q - X_j - b_ij)**2``. Compared in whole numbers
        (times Q squared), so that ties are ties; a tie goes to the first listed.

    Examples:
        >>> goal_chasing([1, 2], [[1, 0], [0, 1]])
        (1, 0, 1)
    """
    total = sum(quantities)
    columns = range(len(parts[0]))
    needed = [sum(q * row[c] for q, row in zip(quantities, parts, strict=True)) for c in columns]
    used, left, order = [0 for _ in columns], list(quantities), []
    for k in range(1, total + 1):
        best = min(
            (i for i in range(len(left)) if left[i]),
            key=lambda i: (sum((k * needed[c] - total * (used[c] + parts[i][c])) ** 2 for c in columns), i),
        )
        left[best] -= 1
        used = [used[c] + parts[best][c] for c in columns]
        order.append(best)
    return tuple(order)
