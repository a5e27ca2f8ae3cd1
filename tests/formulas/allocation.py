"""Where to put buffer places: every split of a total, each solved exactly."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from linesim.theory.tandem import line_throughput


def splits(total: int, gaps: int) -> Iterator[tuple[int, ...]]:
    """Yield every way to spread ``total`` places over ``gaps`` gaps, in lexical order."""
    if gaps == 1:
        yield (total,)
        return
    for first in range(total + 1):
        for rest in splits(total - first, gaps - 1):
            yield (first, *rest)


@dataclass(frozen=True, slots=True)
class Split:
    """A throughput and all splits of the places that reach it."""

    throughput: float
    places: tuple[tuple[int, ...], ...]


def ranked_splits(mean_times: Sequence[float], total: int) -> tuple[Split, ...]:
    """Return all splits of ``total`` places in a saturated exponential line, best first.

    Splits whose throughput agrees to 1e-10 stand together: a line and its reversal, for instance. The
    best split need not be one block in the middle.

    Args:
        mean_times: Mean time of each machine, > 0.
        total: Places to spread, >= 0; the work grows fast with it.

    Notes:
        F. S. Hillier, K. C. So and R. W. Boling, Management Science 39 (1993) 126-133.
    """
    if len(mean_times) < 2 or total < 0:
        raise ValueError(f"need two machines and total >= 0, got {len(mean_times)} and {total}")
    balanced = len(set(mean_times)) == 1
    known: dict[tuple[int, ...], float] = {}
    for split in splits(total, len(mean_times) - 1):
        if balanced and split[::-1] in known:  # a balanced line equals its reversal
            known[split] = known[split[::-1]]
        else:
            known[split] = line_throughput(mean_times, split)
    ranked: list[Split] = []
    for split, rate in sorted(known.items(), key=lambda item: (-item[1], item[0])):
        if ranked and abs(ranked[-1].throughput - rate) < 1e-10:
            last = ranked.pop()
            ranked.append(Split(last.throughput, tuple(sorted((*last.places, split)))))
        else:
            ranked.append(Split(rate, (split,)))
    return tuple(ranked)
