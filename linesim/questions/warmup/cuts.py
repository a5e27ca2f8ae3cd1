"""Where each series has settled, and what follows for the whole run."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

from linesim.answers.values import Change
from linesim.plan.tables import FloatArray
from linesim.stats.comparisons import paired_difference
from linesim.stats.precision import Cut, mser_cut

BATCH = 5  #: Intervals averaged before the statistic is taken: MSER-5.
FINISHED_WITHIN = 0.01  #: Share of the finished jobs by which a start may move them and still be left in.
INSIDE_WITHIN = 0.05  #: Likewise of the jobs inside, which vary more and which fewer answers go by.

Left = Literal["enough", "too little", "can't tell"]


@dataclass(frozen=True, slots=True)
class SeriesCut:
    """Where one series has settled.

    Attributes:
        series: Its name.
        cut: Intervals to leave out by MSER-5 on the mean over replications; None if it is refused.
        candidate: Where the statistic is smallest, accepted or not.
        alone_low, alone_high: Smallest and largest accepted cut of single replications; None if none is.
        alone_refused: Replications by themselves in which it is refused.
        whole_mean, kept_mean: Mean of the whole series and of what is kept.
    """

    series: str
    cut: int | None
    candidate: int
    alone_low: int | None
    alone_high: int | None
    alone_refused: int
    whole_mean: float
    kept_mean: float | None


def cut_of(series: str, table: FloatArray) -> SeriesCut:
    """Return where a series has settled.

    Args:
        series: Its name.
        table: Its values, shape ``(replications, intervals)``, at least 20 intervals.
    """
    mean = table.mean(axis=0)
    whole = _cut(mean)
    alone = [_cut(row) for row in table]
    kept = [cut.cut for cut in alone if cut.cut is not None]
    return SeriesCut(
        series=series,
        cut=whole.cut,
        candidate=whole.candidate,
        alone_low=min(kept, default=None),
        alone_high=max(kept, default=None),
        alone_refused=len(alone) - len(kept),
        whole_mean=float(mean.mean()),
        kept_mean=None if whole.cut is None else float(mean[whole.cut :].mean()),
    )


def suggestion(cuts: Mapping[str, SeriesCut]) -> int | None:
    """Return how many intervals to leave out so that every series has settled; None if one has not.

    The statistic falls to its least at the very end of its range, half of the run, where a series is
    still on its way: to cut there would be to guess.
    """
    found = [cut.cut for cut in cuts.values()]
    return None if None in found else max(cut for cut in found if cut is not None)


def _cut(values: FloatArray) -> Cut:
    """Return the MSER-5 cut; a series that never varies has nothing to cut."""
    if values.min() == values.max():
        return Cut(0, 0, float(values[0]), (0.0,), BATCH)
    return mser_cut(values, BATCH)


class StartBias(NamedTuple):
    """What is left of the start in a figure after a warm-up.

    Attributes:
        first: Intervals that the warm-up leaves out.
        late: Intervals that a long warm-up would leave out: half of what is measured, in whole cycles.
        bias: The figure after the warm-up (`after`) minus that after the long one (`before`), paired within
            replications.
        within: How much of the figure the start may move and still count for nothing, as a share.
    """

    first: int
    late: int
    bias: Change
    within: float

    @property
    def verdict(self) -> Left:
        """Whether the warm-up leaves out enough of the start.

        Enough if the bias surely is a small share of the figure at most, too little if there surely is one,
        else the data can't tell.
        """
        low, high = self.bias.low, self.bias.high
        if low is None or high is None:
            return "can't tell"
        small = self.within * abs(self.bias.before or 0.0)
        if -small <= low and high <= small:
            return "enough"
        return "too little" if self.bias.sign else "can't tell"


def bias_of(
    table: FloatArray, first: int, cycle: int, unit: str, confidence: float, within: float
) -> StartBias | None:
    """Return what the start does to a figure after a warm-up; None if less than two cycles are measured.

    The figure is compared with that of the second half of what is measured, in the same replication. A start
    that fades more slowly than that is seen too small: `suggestion` then refuses to name a cut.

    Args:
        table: The figure by interval, from the very start, shape ``(replications, intervals)``.
        first: Intervals that the warm-up leaves out.
        cycle: Intervals after which working time repeats itself; halves hold whole cycles.
        unit: Unit of the figure.
        confidence: Of its interval, and of that of the bias.
        within: Share of the figure that counts for nothing.
    """
    n = table.shape[1]
    late = n - cycle * ((n - first) // (2 * cycle))
    if late >= n:
        return None
    ours, theirs = table[:, first:].mean(axis=1), table[:, late:].mean(axis=1)
    found = paired_difference(ours, theirs, confidence)
    bias = Change.between(found, unit, before=float(theirs.mean()), after=float(ours.mean()))
    return StartBias(first, late, bias, within)
