"""Put a pool of orders in sequence: as wished, and within the spacing rules where that is possible."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from linesim.draws.goals import Goals
from linesim.draws.pool import Pool
from linesim.plan.orders import PlannedOrder, PlannedSpacing

_OTHERS = -1  #: Stands for the ways that are looked at once the search has come back.
_TRIES = 10  #: Placings that a search may make per order before it gives up.

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
    wish(pool, None if levelled else orders)
    if not pool.excess_after(None):
        for rank in (most_wished, hardest):
            for sequence in feasible_sequences(pool, rank, tries=_TRIES * len(orders)):
                return [pool.kinds[kind] for kind in sequence]
    found = []
    for rank in (most_wished, hardest):
        found.append((_least_broken(pool, rank), list(pool.sequence)))
        while pool.sequence:
            pool.take_back()
    _, least = min(found, key=lambda pair: pair[0])
    return [pool.kinds[kind] for kind in least]


def feasible_sequences(pool: Pool, rank: Rank, *, tries: int | None = None) -> Iterator[list[int]]:
    """Give the sequences of kinds that break no rule, one for each sequence of classes, best first.

    Depth first, with a look ahead at the room that each rule leaves. When the search has ended the
    pool is as it was.

    Args:
        pool: What to arrange; it moves along while the search runs. Of a class the cheapest kind is taken.
        rank: Which class to try first.
        tries: Placings after which the search ends; None for a complete search.
    """
    waiting: list[list[int]] = []
    placed = 0
    while True:
        if rank is most_wished:  # on with the wish alone for as long as it does no harm
            while pool.n_left and placed != tries:
                kind = int(pool.costs.argmin())
                if not pool.has_room_for(pool.class_of[kind]):
                    break
                pool.place(kind)
                placed += 1
                waiting.append([_OTHERS])
        waiting.append(_ways(pool, rank))
        if not pool.n_left:
            yield list(pool.sequence)
        while waiting and placed != tries:
            if waiting[-1] == [_OTHERS]:
                waiting[-1] = _ways(pool, rank)[:-1]
            if waiting[-1]:
                break
            waiting.pop()
            if pool.sequence:
                pool.take_back()
        if not waiting or placed == tries:
            break
        pool.place(waiting[-1].pop())
        placed += 1
    while pool.sequence:
        pool.take_back()


def most_wished(pool: Pool, c: int, cost: int) -> tuple[int, ...]:
    """Rank classes by the wish alone."""
    return (cost,)


def hardest(pool: Pool, c: int, cost: int) -> tuple[int, ...]:
    """Rank classes by how hard the rules make it to place them, then by the wish."""
    return (-pool.strain(c), cost)


def _ways(pool: Pool, rank: Rank) -> list[int]:
    """Return the kinds that may come next without harm, the best of each class, best last."""
    classes = [c for c in pool.open_classes() if pool.has_room_for(c)]
    best = _best(pool, classes)
    if len(classes) > 1:
        classes.sort(key=lambda c: (rank(pool, c, best[c][0]), best[c]), reverse=True)
    return [best[c][1] for c in classes]


def _best(pool: Pool, classes: Iterable[int]) -> dict[int, tuple[int, int]]:
    """Return cost and number of the most wished kind of each class; ties go to the first kind."""
    best: dict[int, tuple[int, int]] = {}
    for c in classes:
        among = pool.costs[pool.members[c]]
        first = int(among.argmin())
        best[c] = int(among[first]), int(pool.members[c][first])
    return best


def _least_broken(pool: Pool, rank: Rank) -> int:
    """Arrange the whole pool place by place; return how many windows are broken."""
    broken = 0
    while pool.n_left:
        best = _best(pool, pool.open_classes())
        ranks = {
            c: (pool.broken_by(c), pool.excess_after(c), rank(pool, c, best[c][0]), best[c]) for c in best
        }
        c = min(ranks, key=lambda c: ranks[c])
        broken += ranks[c][0]
        pool.place(best[c][1])
    return broken


def wish(pool: Pool, drawn: Sequence[PlannedOrder] | None = None) -> None:
    """Have a pool say what each of its kinds costs as the next job, and go on saying it.

    Args:
        pool: The pool, with nothing in sequence.
        drawn: Its orders, if the order in which they were drawn is wished: a kind costs the place of its next
            one. Else the even use of models and options is: a kind costs its distance from the goals.
    """
    costs = pool.costs
    if drawn is not None:
        number = {kind: i for i, kind in enumerate(pool.kinds)}
        places: list[list[int]] = [[] for _ in pool.kinds]
        for place, order in enumerate(drawn):
            places[number[order]].append(place)
        for row in places:
            row.append(len(drawn))  # none left
        costs[:] = [row[0] for row in places]

        def count(kind: int, step: int) -> None:
            used = pool.used[kind]
            costs[kind] += places[kind][used] - places[kind][used - step]

    else:
        goals = Goals(_parts(pool.kinds), pool.left)
        costs[:] = goals.costs(pool.used)
        steps, add, subtract = list(goals.steps()), np.add, np.subtract

        def count(kind: int, step: int) -> None:
            (add if step > 0 else subtract)(costs, steps[kind], costs)

    pool.count = count


def _parts(kinds: Sequence[PlannedOrder]) -> NDArray[np.int64]:
    """Return which model and which options each kind is, shape ``(kinds, models + options)``."""
    n_models = max((kind.model for kind in kinds), default=0) + 1
    n_bytes = max((kind.options.bit_length() + 7 for kind in kinds), default=0) // 8
    bits = np.frombuffer(b"".join(kind.options.to_bytes(n_bytes, "little") for kind in kinds), dtype=np.uint8)
    options = np.unpackbits(bits.reshape(len(kinds), n_bytes), axis=1, bitorder="little")
    return np.concatenate([np.eye(n_models, dtype=np.int64)[[kind.model for kind in kinds]], options], axis=1)
