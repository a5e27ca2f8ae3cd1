"""Where each series has settled, and what follows for the whole run."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from linesim.plan.arrays import FloatArray
from linesim.stats import Cut, mser_cut

BATCH = 5  #: Intervals averaged before the statistic is taken: MSER-5.


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
