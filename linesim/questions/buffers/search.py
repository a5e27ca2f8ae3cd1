"""The best split of a number of places: walk to where it pays, then make sure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from linesim.questions.buffers.bench import QUICK, SplitBench
from linesim.questions.buffers.splits import Split, all_splits, count_splits, even_split, moves
from linesim.runs.select import FIRST, Choice, choose

ALL_UP_TO = 20  #: So many splits are compared all of them; of more, those that lie on the way.
TOGETHER = 2  #: Moves tried at a time, the most promising first.


@dataclass(frozen=True, slots=True)
class BestSplit:
    """The best split of a number of places.

    Attributes:
        split: The places of each buffer.
        candidates: Splits that the last decision was between, the start of it first.
        choice: That decision.
        is_of_all: Whether the candidates are all splits there are, else the split and those that move
            one place from one buffer to another.
        looked_at: Splits that were run at all.
        out_of: How many splits there are.
    """

    split: Split
    candidates: tuple[Split, ...]
    choice: Choice
    is_of_all: bool
    looked_at: int
    out_of: int


@dataclass(frozen=True, slots=True)
class Promised:
    """What a decision between splits promises.

    Attributes:
        matters: The smallest difference that matters, in the unit of the measure, > 0.
        error: Chance of a wrong decision.
        most: Replications of one split at most; None for as many as the decision needs.
    """

    matters: float
    error: float
    most: int | None


def best_split(bench: SplitBench, total: int, promised: Promised, *, every: bool = False) -> BestSplit:
    """Return the best split of ``total`` places.

    Args:
        bench: The line.
        total: Places to spread, at least as many as the buffers must have.
        promised: What the decision promises.
        every: Compare every split, however many there are.
    """
    out_of = count_splits(total, bench.least)
    if every or out_of <= ALL_UP_TO:
        candidates = tuple(all_splits(total, bench.least))
        choice = _decide(bench, candidates, promised, promised.error)
        return BestSplit(candidates[choice.best], candidates, choice, True, out_of, out_of)
    seen: set[Split] = set()
    start = bench.present if sum(bench.present) == total else even_split(total, bench.least)
    here = walk(bench, start, seen)
    return settle(bench, here, promised, seen, out_of)


def walk(bench: SplitBench, start: Split, seen: set[Split], *, step: int | None = None) -> Split:
    """Move places to where they pay, from large steps to single places, until no move helps.

    Every split is judged by the same few replications, so the walk ends: each step is a higher figure.

    Args:
        bench: The line.
        start: Where to begin.
        seen: Takes every split that was run.
        step: Places to move at first; None begins with a quarter of them.
    """
    here, step = start, step or max(1, sum(start) // 4)
    seen.add(here)
    while True:
        ahead = _step(bench, here, step, seen)
        if ahead is not None:
            here = ahead
        elif step == 1:
            return here
        else:
            step //= 2


def _step(bench: SplitBench, here: Split, step: int, seen: set[Split]) -> Split | None:
    """Return a better split that moves ``step`` places, None if there is none."""
    now = bench.quick(here)
    ahead = moves(here, bench.least, bench.pays(here), step)
    for first in range(0, len(ahead), TOGETHER):
        group = ahead[first : first + TOGETHER]
        seen.update(group)
        bench.ask(group, range(1, QUICK + 1))
        best = max(group, key=bench.quick)
        if bench.quick(best) > now:
            return best
    return None


def settle(bench: SplitBench, start: Split, promised: Promised, seen: set[Split], out_of: int) -> BestSplit:
    """Choose between a split and all that move one place, and go on from the winner until it stays.

    The first round may err with half of the allowed chance, the next with half of what is left, and so
    on: together they keep the promise.
    """
    here, tried, error = start, {start}, promised.error
    while True:
        error /= 2
        candidates = (here, *moves(here, bench.least, bench.pays(here)))
        seen.update(candidates)
        choice = _decide(bench, candidates, promised, error)
        best = candidates[choice.best]
        if best in tried or not choice.is_made:
            return BestSplit(best, candidates, choice, False, len(seen), out_of)
        tried.add(best)
        here = best


def _decide(bench: SplitBench, candidates: Sequence[Split], promised: Promised, error: float) -> Choice:
    return choose(
        lambda which, numbers: bench.table([candidates[i] for i in which], numbers),
        len(candidates),
        matters=promised.matters,
        error=error,
        first=FIRST,
        most=promised.most,
    )
