"""Put a pool of orders in sequence: as wished, and within the spacing rules where that is possible."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linesim.draws.goals import Goals
from linesim.draws.pool import Pool
from linesim.plan.orders import PlannedOrder, PlannedSpacing

_OTHERS = -1  #: Stands for the ways that are looked at once the search has come back.
_TRIES = 10  #: Placings that a search may make per order before it gives up.

Wish = Callable[[Pool], ArrayLike]  #: Gives each kind a cost as the next job; the least is wished most.
Rank = Callable[[Pool, int, int], tuple[int, ...]]  #: Ranks a class by itself and the cost of its best kind.


def arrange(
    orders: Sequence[PlannedOrder],
    *,
    levelled: bool,
    spacings: Sequence[PlannedSpacing] = (),
    before: Sequence[PlannedOrder] = (),
) -> list[PlannedOrder]:
    """Return ``orders`` in the sequence in which they are built.

    The wish is either the order in which they were drawn or that of goal chasing, where every model and
    every option is one part. At each place the most wished order is taken that breaks no rule and
    leaves every rule room for the orders still waiting. If there is none the search goes back and tries
    the next; it gives up after ten placings per order. Then it is repeated with the orders first that
    the rules make hardest to place. If that fails too, or if more orders wait than the rules have
    places for, rules must be broken: at each place the order is taken that breaks fewest, then the one
    that leaves fewest without a place, then the most wished (and once more with the hardest first). The
    sequence with fewer broken windows stands. Nothing here is drawn; ties go to the model, then the
    option, that stands first in the file.

    Args:
        orders: The pool, in the order in which it was drawn.
        levelled: Whether goal chasing is wished, or the order as drawn.
        spacings: The rules.
        before: The jobs in front, as many as the longest rule looks back.
    """
    pool = Pool(orders, spacings, before)
    wish = _levelled(pool) if levelled else _as_drawn(orders, pool)
    if not pool.excess_after(None):
        for rank in (most_wished, hardest):
            for sequence in feasible_sequences(pool, wish, rank, tries=_TRIES * len(orders)):
                return [pool.kinds[kind] for kind in sequence]
    found = []
    for rank in (most_wished, hardest):
        pool = Pool(orders, spacings, before)
        found.append((_least_broken(pool, wish, rank), pool.sequence))
    _, least = min(found, key=lambda pair: pair[0])
    return [pool.kinds[kind] for kind in least]


def feasible_sequences(
    pool: Pool, wish: Wish, rank: Rank, *, tries: int | None = None
) -> Iterator[list[int]]:
    """Give the sequences of kinds that break no rule, one for each sequence of classes, best first.

    Depth first, with a look ahead at the room that each rule leaves. When the search has ended the
    pool is as it was.

    Args:
        pool: What to arrange; it moves along while the search runs.
        wish: Costs of the kinds as next job; of a class the cheapest kind is taken.
        rank: Which class to try first.
        tries: Placings after which the search ends; None for a complete search.
    """
    waiting = [_first_way(pool, wish, rank)]
    placed = 0
    while waiting and placed != tries:
        if waiting[-1] == [_OTHERS]:
            waiting[-1] = _ways(pool, wish, rank)[:-1]
        if waiting[-1]:
            pool.place(waiting[-1].pop())
            placed += 1
            waiting.append(_first_way(pool, wish, rank) if pool.n_left else [])
            if not pool.n_left:
                yield list(pool.sequence)
        else:
            waiting.pop()
            if pool.sequence:
                pool.take_back()
    while pool.sequence:
        pool.take_back()


def most_wished(pool: Pool, c: int, cost: int) -> tuple[int, ...]:
    """Rank classes by the wish alone."""
    return (cost,)


def hardest(pool: Pool, c: int, cost: int) -> tuple[int, ...]:
    """Rank classes by how hard the rules make it to place them, then by the wish."""
    return (-pool.strain(c), cost)


def _first_way(pool: Pool, wish: Wish, rank: Rank) -> list[int]:
    """Return what `_ways` does, or only its last way and `_OTHERS` where the wish alone decides."""
    if rank is most_wished and pool.n_left:
        kind = int((np.asarray(wish(pool)) + pool.gone).argmin())
        c = pool.class_of[kind]
        if not pool.broken_by(c) and not pool.excess_after(c):
            return [_OTHERS, kind]
    return _ways(pool, wish, rank)


def _ways(pool: Pool, wish: Wish, rank: Rank) -> list[int]:
    """Return the kinds that may come next without harm, the best of each class, best last."""
    classes = [c for c in pool.open_classes() if not pool.broken_by(c) and not pool.excess_after(c)]
    best = _best(pool, wish, classes)
    if len(classes) > 1:
        classes.sort(key=lambda c: (rank(pool, c, best[c][0]), best[c]), reverse=True)
    return [best[c][1] for c in classes]


def _best(pool: Pool, wish: Wish, classes: Iterable[int]) -> dict[int, tuple[int, int]]:
    """Return cost and number of the most wished kind of each class; ties go to the first kind."""
    costs = np.asarray(wish(pool)) + pool.gone
    best: dict[int, tuple[int, int]] = {}
    for c in classes:
        among = costs[pool.members[c]]
        first = int(among.argmin())
        best[c] = int(among[first]), int(pool.members[c][first])
    return best


def _least_broken(pool: Pool, wish: Wish, rank: Rank) -> int:
    """Arrange the whole pool place by place; return how many windows are broken."""
    broken = 0
    while pool.n_left:
        best = _best(pool, wish, pool.open_classes())
        ranks = {
            c: (pool.broken_by(c), pool.excess_after(c), rank(pool, c, best[c][0]), best[c]) for c in best
        }
        c = min(ranks, key=lambda c: ranks[c])
        broken += ranks[c][0]
        pool.place(best[c][1])
    return broken


def _as_drawn(orders: Sequence[PlannedOrder], pool: Pool) -> Wish:
    """Wish the order of the draw: a kind costs the place at which its next job was drawn."""
    places: list[list[int]] = [[] for _ in pool.kinds]
    number = {kind: i for i, kind in enumerate(pool.kinds)}
    for place, order in enumerate(orders):
        places[number[order]].append(place)
    for row in places:
        row.append(len(orders))  # none left
    return lambda pool: [row[used] for row, used in zip(places, pool.used, strict=True)]


def _levelled(pool: Pool) -> Wish:
    """Wish the even use of models and options: a kind costs its distance from the goals."""
    n_models = max((kind.model for kind in pool.kinds), default=0) + 1
    n_options = max((kind.options for kind in pool.kinds), default=0).bit_length()
    parts = [
        [*(int(kind.model == m) for m in range(n_models)), *(kind.options >> o & 1 for o in range(n_options))]
        for kind in pool.kinds
    ]
    goals = Goals(np.array(parts, dtype=np.int64).reshape(len(parts), n_models + n_options), pool.left)
    costs, steps = np.array(goals.costs(pool.used)), goals.steps()
    counted: list[int] = []  # the kinds in sequence of which the costs know

    def wish(pool: Pool) -> NDArray[np.int64]:
        nonlocal costs
        while counted != pool.sequence[: len(counted)]:
            costs = costs - steps[counted.pop()]
        for kind in pool.sequence[len(counted) :]:
            costs = costs + steps[kind]
            counted.append(kind)
        return costs

    return wish
