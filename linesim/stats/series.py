"""Values in order of time: where the start stops mattering (Welch, MSER), and whether they depend."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linesim.stats.intervals import finite_values


def welch_average(runs: Sequence[ArrayLike], window: int) -> NDArray[np.float64]:
    """Return the mean over replications, smoothed by a moving average, for the eye to find the warm-up.

    Args:
        runs: Values of each replication in order, all of equal length ``m``.
        window: Values on each side, 0 <= window < m / 2; near the start as many as there are.

    Returns:
        Smoothed means of positions 1 to ``m - window``, shape ``(m - window,)``, read-only.

    Notes:
        P. D. Welch in The Computer Performance Modeling Handbook (1983) 268-328.
    """
    table = np.array([finite_values(run, name=f"runs[{r}]") for r, run in enumerate(runs)], dtype=np.float64)
    if table.ndim != 2 or not 0 <= window < table.shape[1] / 2:
        raise ValueError(f"need runs of equal length m and 0 <= window < m / 2, got window {window}")
    mean = table.mean(axis=0)
    sides = [min(i, window) for i in range(mean.size - window)]
    smooth = np.array([mean[i - side : i + side + 1].mean() for i, side in enumerate(sides)])
    smooth.flags.writeable = False
    return smooth


@dataclass(frozen=True, slots=True)
class Cut:
    """Where to cut a run.

    Attributes:
        cut: Values to leave out; ``None`` if the run is too short to say.
        candidate: Where the statistic is smallest, whether accepted or not.
        kept_mean: Mean of what is kept; ``None`` if refused.
        statistic: The statistic for 0, 1, 2, … batches left out.
        batch: Values per batch.
    """

    cut: int | None
    candidate: int
    kept_mean: float | None
    statistic: tuple[float, ...]
    batch: int

    @property
    def is_refused(self) -> bool:
        """Whether the smallest statistic lies at the end of the search range: the run is too short."""
        return self.cut is None


def mser_cut(values: ArrayLike, batch: int = 5) -> Cut:
    """Return where to cut a run so that the mean of the rest is as sharp as possible.

    The statistic for ``d`` batches left out is the sum of squares of the rest about its mean over the
    square of their number; ``d`` goes up to half the batches. A smallest value at that end means that
    the run has not settled, and the cut is refused rather than given.

    Args:
        values: One run in order, or the mean of several; at least 4 batches.
        batch: Values per batch, >= 1; 1 is MSER, 5 is MSER-5. An incomplete last batch is left out.

    Notes:
        K. P. White, Simulation 69 (1997) 323-334; K. P. White, M. J. Cobb and S. C. Spratt, Winter
        Simulation Conference 2000, 755-760.
    """
    if batch < 1:
        raise ValueError(f"batch must be >= 1, got {batch}")
    data = np.asarray(finite_values(values, at_least=4 * batch))
    means = data[: data.size // batch * batch].reshape(-1, batch).mean(axis=1)
    last = means.size // 2
    statistic = tuple(
        float(np.sum((rest - rest.mean()) ** 2) / rest.size**2)
        for rest in (means[d:] for d in range(last + 1))
    )
    best = statistic.index(min(statistic))
    refused = best == last
    return Cut(
        None if refused else best * batch,
        best * batch,
        None if refused else float(means[best:].mean()),
        statistic,
        batch,
    )


def neighbour_correlation(values: ArrayLike) -> float | None:
    """Return the correlation of each value with the next, ``None`` if nothing varies.

    Well above 0, it says that the values depend on each other and an interval over them is too narrow.
    """
    data = np.asarray(finite_values(values, at_least=3))
    centred = data - data.mean()
    total = float(np.sum(centred**2))
    return float(np.sum(centred[:-1] * centred[1:])) / total if total > 0 else None
