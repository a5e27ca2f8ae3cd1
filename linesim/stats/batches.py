"""One long run cut into batches, whose means are nearly independent if the batches are long."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from linesim.stats.intervals import Interval, finite_values, mean_interval


def batch_means(values: ArrayLike, batches: int) -> tuple[float, ...]:
    """Return the means of ``batches`` equal stretches of a run.

    Args:
        values: The run in order, warm-up removed.
        batches: How many, >= 2; values that do not fill the last one are left out at the start.

    Raises:
        ValueError: If there are fewer values than batches.
    """
    if batches < 2:
        raise ValueError(f"batches must be >= 2, got {batches}")
    data = np.asarray(finite_values(values, at_least=batches))
    size = data.size // batches
    return tuple(data[data.size - size * batches :].reshape(batches, size).mean(axis=1).tolist())


def batch_interval(values: ArrayLike, batches: int, confidence: float = 0.95) -> Interval:
    """Return the mean of a run with the Student t interval over its batch means."""
    found = mean_interval(batch_means(values, batches), confidence)
    return Interval(
        found.mean,
        found.low,
        found.high,
        found.half_width,
        found.sd,
        found.n,
        confidence,
        "Student t over batches",
    )


def neighbour_correlation(values: ArrayLike) -> float | None:
    """Return the correlation of each value with the next, ``None`` if nothing varies.

    Well above 0 for batch means, it says that the batches are too short and the interval too narrow.
    """
    data = np.asarray(finite_values(values, at_least=3))
    centred = data - data.mean()
    total = float(np.sum(centred**2))
    return float(np.sum(centred[:-1] * centred[1:])) / total if total > 0 else None
