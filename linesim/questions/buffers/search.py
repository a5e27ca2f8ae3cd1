"""The best split of a number of places, and the fewest places that do: walk to where it pays, make sure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

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
from linesim.stats.comparisons import joint_confidence
from linesim.stats.intervals import mean_interval

ALL_UP_TO = 20  #: So many splits are compared all of them; of more, those that lie on the way.
TOGETHER = 2  #: Moves, or buffers to get a place more, tried at a time, the most promising first.
MOST_PLACES = 400  #: The search for the fewest ends here; a line that wants more wants something else.
MORE_FOR_SURE = 3  #: So many places more are tried for one that surely does.


class BestSplit(NamedTuple):
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


class Reached(NamedTuple):
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


class Fewest(NamedTuple):
    """The fewest places that reach a share of the ceiling.

    Attributes:
        share: The share asked for.
        enough: The fewest places found that reach it on average.
        one_less: The best split found with one place less; None if ``enough`` has the fewest there may be.
        sure: The first with a few places more that surely reaches it; ``enough`` itself if that does, None
            if none does.
        present: What the line reaches as it is.
        numbers: Replications behind these, which took no part in the search.
    """

    share: float
    enough: Reached
    one_less: Reached | None
    sure: Reached | None
    present: Reached
    numbers: tuple[int, ...]


class SplitSearch:
    """Looks for splits of places.

    Attributes:
        bench: The line.
        seen: Every split that was run.
    """

    def __init__(self, bench: SplitBench) -> None:
        self.bench = bench
        self.seen: set[Split] = set()

    def best(
        self, total: int, *, matters: float, error: float, most: int | None, every: bool = False
    ) -> BestSplit:
        """Return the best split of ``total`` places.

        Of many splits those are tried that lie on the way; the last choice is between one and all that move
        one place, and goes on from the winner until it stays. Its first round may err with half of the
        allowed chance, the next with half of what is left, and so on: together they keep the promise.

        Args:
            total: Places to spread, at least as many as the buffers must have.
            matters: The smallest difference that matters, in the unit of the measure, > 0.
            error: Chance of a wrong decision.
            most: Replications of one split at most; None for as many as the decision needs.
            every: Compare every split, however many there are.
        """
        bench = self.bench

        def decide(candidates: Sequence[Split], error: float) -> Choice:
            self.seen.update(candidates)
            return choose(
                lambda which, numbers: bench.table([candidates[i] for i in which], numbers), len(candidates),
                matters=matters, error=error, first=FIRST, most=most,
            )  # fmt: skip

        out_of = count_splits(total, bench.least)
        if every or out_of <= ALL_UP_TO:
            candidates = tuple(all_splits(total, bench.least))
            choice = decide(candidates, error)
            return BestSplit(candidates[choice.best], candidates, choice, True, out_of, out_of)
        is_spread = sum(bench.present) == total
        here = self.walk(bench.present if is_spread else even_split(total, bench.least))
        tried = {here}
        while True:
            error /= 2
            candidates = (here, *moves(here, bench.least, bench.pays(here)))
            choice = decide(candidates, error)
            here = candidates[choice.best]
            if here in tried or not choice.is_made:
                return BestSplit(here, candidates, choice, False, len(self.seen), out_of)
            tried.add(here)

    def walk(self, start: Split, *, step: int | None = None) -> Split:
        """Move places to where they pay, from large steps to single places, until no move helps.

        Every split is judged by the same few replications, so the walk ends: each step is a higher figure.

        Args:
            start: Where to begin.
            step: Places to move at first; None begins with a quarter of them.
        """
        here, step = start, step or max(1, sum(start) // 4)
        self.seen.add(here)
        while True:
            ahead = self._step(here, step)
            if ahead is not None:
                here = ahead
            elif step == 1:
                return here
            else:
                step //= 2

    def _step(self, here: Split, step: int) -> Split | None:
        """Return a better split that moves ``step`` places, None if there is none."""
        now = self.bench.quick(here)
        ahead = moves(here, self.bench.least, self.bench.pays(here), step)
        for first in range(0, len(ahead), TOGETHER):
            best = self._first_of(ahead[first : first + TOGETHER])
            if self.bench.quick(best) > now:
                return best
        return None

    def _first_of(self, splits: Sequence[Split]) -> Split:
        """Return the split that makes the most in a few replications."""
        self.seen.update(splits)
        self.bench.ask(splits, range(1, QUICK + 1))
        return max(splits, key=self.bench.quick)

    def fewest(self, share: float, count: int, confidence: float) -> Fewest:
        """Return the fewest places with which the line makes ``share`` of what endless buffers would give.

        Places are added one by one, or a few at a time while there are many, where blocking and
        starvation meet; then taken away as long as some split of one place less does as well.

        Args:
            share: Share of the ceiling, between 0 and 1.
            count: Replications of the figures told in the end; they take no part in the search.
            confidence: Of all intervals together.

        Raises:
            LinesimError: If `MOST_PLACES` do not do.
        """
        bench = self.bench
        ceiling: Split = tuple(ENDLESS for _ in bench.gaps)
        bench.ask([ceiling, bench.least], range(1, QUICK + 1))
        wanted, here = share * bench.quick(ceiling), bench.least
        self.seen.add(here)
        while bench.quick(here) < wanted:
            if sum(here) >= MOST_PLACES:
                raise LinesimError(f"{MOST_PLACES} places do not reach that share; ask for a smaller one")
            here = self._with_a_place(here, max(1, sum(here) // 6))
        below = self._one_less(here)
        while below is not None and bench.quick(below) >= wanted:
            here, below = below, self._one_less(below)
        numbers, alone = bench.further(count), joint_confidence(confidence, MORE_FOR_SURE + 3)

        def reached(split: Split) -> Reached:
            """Return which share of the ceiling a split reaches, replication by replication."""
            values = bench.table([split, ceiling], numbers)
            found = mean_interval(values[:, 0] / values[:, 1], alone).within(0.0, math.inf)
            verdict = "can't tell"
            if found.low is not None and found.low >= share:
                verdict = "reaches it"
            elif found.high is not None and found.high < share:
                verdict = "falls short"
            return Reached(split, Estimate.of(found, "share"), verdict)

        enough = reached(here)
        while enough.mean < share:
            here, below = self._with_a_place(here, 1), here
            enough = reached(here)
        one_less = None if below is None else reached(below)
        while one_less is not None and one_less.mean >= share:
            enough, below = one_less, self._one_less(one_less.split)
            one_less = None if below is None else reached(below)
        sure = enough
        for _ in range(MORE_FOR_SURE):
            if sure.verdict == "reaches it":
                break
            sure = reached(self._with_a_place(sure.split, 1))
        is_sure = sure.verdict == "reaches it"
        return Fewest(share, enough, one_less, sure if is_sure else None, reached(bench.present), numbers)

    def _with_a_place(self, here: Split, places: int) -> Split:
        """Return the best split with ``places`` more at one of the most promising buffers."""
        pays = self.bench.pays(here)
        order = sorted(range(len(here)), key=lambda b: (-pays[b], here[b]))
        return self._first_of([given(here, b, places) for b in order[:TOGETHER]])

    def _one_less(self, here: Split) -> Split | None:
        """Return the best split found with one place less; None if there can be none."""
        pays = self.bench.pays(here)
        givers = [b for b in range(len(here)) if here[b] > self.bench.least[b]]
        if not givers:
            return None
        return self.walk(given(here, min(givers, key=lambda b: pays[b]), -1), step=1)
