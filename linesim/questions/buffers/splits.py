"""Splits: ways to spread a number of places over buffers, and the steps between them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

Split = tuple[int, ...]  #: Places of each buffer, in line order.


def all_splits(total: int, least: Split) -> Iterator[Split]:
    """Yield every way to spread ``total`` places over the buffers, each with at least ``least``.

    Examples:
        >>> list(all_splits(2, (0, 1)))
        [(0, 2), (1, 1)]
    """
    spare = total - sum(least)
    if spare < 0:
        return
    if len(least) == 1:
        yield (total,)
        return
    for first in range(spare + 1):
        for rest in all_splits(total - least[0] - first, least[1:]):
            yield (least[0] + first, *rest)


def count_splits(total: int, least: Split) -> int:
    """Return how many splits there are, without making them.

    Examples:
        >>> count_splits(9, (0, 0, 0)), count_splits(1, (1, 1))
        (55, 0)
    """
    spare = total - sum(least)
    return math.comb(spare + len(least) - 1, len(least) - 1) if spare >= 0 else 0


def moves(split: Split, least: Split, pays: Sequence[float], step: int = 1) -> tuple[Split, ...]:
    """Return the splits that ``step`` places taken from one buffer and given to another lead to.

    Args:
        split: Where to start.
        least: Fewest places of each buffer; one that has not so many above them gives none.
        pays: How much a place more is likely to pay at each buffer; the most promising moves come first,
            equals in line order.
        step: Places to move, >= 1.

    Examples:
        >>> moves((2, 2, 0), (0, 0, 0), (0.1, 0.3, 0.2))
        ((1, 3, 0), (1, 2, 1), (2, 1, 1), (3, 1, 0))
    """
    pairs = [
        (giver, taker)
        for giver in range(len(split))
        for taker in range(len(split))
        if giver != taker and split[giver] - step >= least[giver]
    ]
    pairs.sort(key=lambda pair: pays[pair[0]] - pays[pair[1]])
    return tuple(moved(split, giver, taker, step) for giver, taker in pairs)


def moved(split: Split, giver: int, taker: int, step: int = 1) -> Split:
    """Return a split after ``step`` places went from one buffer to another."""
    change = {giver: -step, taker: step}
    return tuple(places + change.get(b, 0) for b, places in enumerate(split))


def given(split: Split, taker: int, step: int = 1) -> Split:
    """Return a split with ``step`` places more at one buffer, or fewer if negative."""
    return tuple(places + (step if b == taker else 0) for b, places in enumerate(split))


def even_split(total: int, least: Split) -> Split:
    """Return the split that spreads ``total`` places as evenly as it goes, the middle of the line first.

    On a balanced line the middle needs most: F. S. Hillier, K. C. So and R. W. Boling, "Notes: toward
    characterizing the optimal allocation of storage space in production line systems with variable
    processing times", Management Science 39 (1993) 126-133.

    Raises:
        ValueError: If there are fewer places than the buffers must have.
    """
    if total < sum(least):
        raise ValueError(f"total must be >= {sum(least)}, got {total}")
    split, middle = list(least), (len(least) - 1) / 2
    for _ in range(total - sum(least)):
        taker = min(range(len(least)), key=lambda b: (split[b], abs(b - middle), b))
        split[taker] += 1
    return tuple(split)
