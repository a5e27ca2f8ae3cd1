"""The fewest places that reach a share of what endless buffers would give."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from linesim.errors import LinesimError
from linesim.questions.buffers.bench import QUICK, SplitBench
from linesim.questions.buffers.gaps import ENDLESS
from linesim.questions.buffers.search import walk
from linesim.questions.buffers.splits import Split, given
from linesim.stats import Interval, joint_confidence, mean_interval

MOST_PLACES = 400  #: The search ends here; a line that wants more wants something else.
MORE_FOR_SURE = 3  #: So many places more are tried for one that surely does.
TRIED = 2  #: Buffers that are tried with a place more, the most promising first.


class Reached(NamedTuple):
    """What a split reaches of the ceiling.

    Attributes:
        split: Places of each buffer.
        share: Share of the ceiling, with its interval.
        verdict: ``reaches it``, ``falls short``, or ``can't tell``.
    """

    split: Split
    share: Interval
    verdict: str

    @property
    def total(self) -> int:
        """Places in all."""
        return sum(self.split)


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
    while enough.share.mean < share:
        here, below = _with_a_place(bench, here, 1, seen), here
        enough = reached(bench, here, share, numbers, alone)
    one_less = None if below is None else reached(bench, below, share, numbers, alone)
    while one_less is not None and one_less.share.mean >= share:
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
    ahead = [given(here, b, places) for b in order[:TRIED]]
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
    return Reached(split, found, verdict)
