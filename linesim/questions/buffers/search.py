"""The best split of a number of places, and the fewest places that do: walk to where it pays, make sure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from linesim.answers.values import Estimate
from linesim.errors import LinesimError
from linesim.questions.buffers.bench import QUICK, SplitBench
from linesim.questions.buffers.splits import (
    ENDLESS,
    Split,
    all_splits,
    count_splits,
    even_split,
    given,
    moves,
)
from linesim.runs.select import FIRST, Choice, choose
from linesim.stats import joint_confidence, mean_interval

ALL_UP_TO = 20  #: So many splits are compared all of them; of more, those that lie on the way.
TOGETHER = 2  #: Moves, or buffers to get a place more, tried at a time, the most promising first.
MOST_PLACES = 400  #: The search for the fewest ends here; a line that wants more wants something else.
MORE_FOR_SURE = 3  #: So many places more are tried for one that surely does.


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


@dataclass(frozen=True, slots=True)
class Reached:
    """What a split reaches of the ceiling.

    Attributes:
        split: Places of each buffer.
        share: Share of the ceiling, with its interval.
        verdict: ``reaches it``, ``falls short``, or ``can't tell``.
    """

    split: Split
    share: Estimate
    verdict: str

    @property
    def total(self) -> int:
        """Places in all."""
        return sum(self.split)

    @property
    def mean(self) -> float:
        """The share on average."""
        return self.share.mean or 0.0


@dataclass(frozen=True, slots=True)
class Fewest:
    """The fewest places that reach a share of the ceiling.

    Attributes:
        share: The share asked for.
        enough: The fewest places found that reach it on average.
        one_less: The best split found with one place less; None if ``enough`` has the fewest there may be.
        sure: The first with a few places more that surely reaches it; ``enough`` itself if that does, None
            if none does.
        present: What the line reaches as it is.
        numbers: Replications behind these, which took no part in the search.
        looked_at: Splits that were run.
    """

    share: float
    enough: Reached
    one_less: Reached | None
    sure: Reached | None
    present: Reached
    numbers: tuple[int, ...]
    looked_at: int


def fewest_places(bench: SplitBench, share: float, count: int, confidence: float) -> Fewest:
    """Return the fewest places with which the line makes ``share`` of what endless buffers would give.

    Places are added one by one, or a few at a time while there are many, where blocking and
    starvation meet; then taken away as long as some split of one place less does as well.

    Args:
        bench: The line.
        share: Share of the ceiling, between 0 and 1.
        count: Replications of the figures told in the end; they take no part in the search.
        confidence: Of all intervals together.

    Raises:
        LinesimError: If `MOST_PLACES` do not do.
    """
    seen: set[Split] = set()
    ceiling: Split = tuple(ENDLESS for _ in bench.gaps)
    bench.ask([ceiling, bench.least], range(1, QUICK + 1))
    wanted = share * bench.quick(ceiling)
    here = _grown(bench, bench.least, wanted, seen)
    below = _one_less(bench, here, seen)
    while below is not None and bench.quick(below) >= wanted:
        here, below = below, _one_less(bench, below, seen)
    numbers, alone = bench.further(count), joint_confidence(confidence, MORE_FOR_SURE + 3)
    enough = reached(bench, here, share, numbers, alone)
    while enough.mean < share:
        here, below = _with_a_place(bench, here, 1, seen), here
        enough = reached(bench, here, share, numbers, alone)
    one_less = None if below is None else reached(bench, below, share, numbers, alone)
    while one_less is not None and one_less.mean >= share:
        enough, below = one_less, _one_less(bench, one_less.split, seen)
        one_less = None if below is None else reached(bench, below, share, numbers, alone)
    sure = enough
    for _ in range(MORE_FOR_SURE):
        if sure.verdict == "reaches it":
            break
        sure = reached(bench, _with_a_place(bench, sure.split, 1, seen), share, numbers, alone)
    found = sure if sure.verdict == "reaches it" else None
    present = reached(bench, bench.present, share, numbers, alone)
    return Fewest(share, enough, one_less, found, present, numbers, len(seen))


def _grown(bench: SplitBench, start: Split, wanted: float, seen: set[Split]) -> Split:
    here = start
    seen.add(here)
    while bench.quick(here) < wanted:
        if sum(here) >= MOST_PLACES:
            raise LinesimError(f"{MOST_PLACES} places do not reach that share; ask for a smaller one")
        here = _with_a_place(bench, here, max(1, sum(here) // 6), seen)
    return here


def _with_a_place(bench: SplitBench, here: Split, places: int, seen: set[Split]) -> Split:
    """Return the best split with ``places`` more at one of the most promising buffers."""
    pays = bench.pays(here)
    order = sorted(range(len(here)), key=lambda b: (-pays[b], here[b]))
    ahead = [given(here, b, places) for b in order[:TOGETHER]]
    seen.update(ahead)
    bench.ask(ahead, range(1, QUICK + 1))
    return max(ahead, key=bench.quick)


def _one_less(bench: SplitBench, here: Split, seen: set[Split]) -> Split | None:
    """Return the best split found with one place less; None if there can be none."""
    pays = bench.pays(here)
    givers = [b for b in range(len(here)) if here[b] > bench.least[b]]
    if not givers:
        return None
    return walk(bench, given(here, min(givers, key=lambda b: pays[b]), -1), seen, step=1)


def reached(
    bench: SplitBench, split: Split, share: float, numbers: Sequence[int], confidence: float
) -> Reached:
    """Return which share of the ceiling a split reaches, replication by replication."""
    ceiling: Split = tuple(ENDLESS for _ in bench.gaps)
    values = bench.table([split, ceiling], numbers)
    found = mean_interval(values[:, 0] / values[:, 1], confidence).within(0.0, math.inf)
    verdict = "can't tell"
    if found.low is not None and found.low >= share:
        verdict = "reaches it"
    elif found.high is not None and found.high < share:
        verdict = "falls short"
    return Reached(split, Estimate.of(found, "share"), verdict)
