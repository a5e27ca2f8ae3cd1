"""The interval every figure carries: Student's t over independent replications."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from linesim.stats.student import require_share, student_quantile


@dataclass(frozen=True, slots=True)
class Interval:
    """An estimate and the range that the true value lies in with the stated confidence.

    A bound is ``None`` where the data give none: a figure from one replication has no
    interval, and a quantile near the end of a short list has only one bound.

    Attributes:
        mean: The estimate; a mean unless ``method`` says otherwise.
        low: Lower bound.
        high: Upper bound.
        half_width: Half the width where the interval is symmetric about ``mean``, else ``None``.
        sd: Standard deviation between the replications, divisor ``n - 1``.
        n: Number of independent values behind the figure.
        confidence: Chance that such an interval covers the true value.
        method: How the bounds were found, in words for a table.
    """

    mean: float
    low: float | None
    high: float | None
    half_width: float | None
    sd: float | None
    n: int
    confidence: float = 0.95
    method: str = "Student t"

    @property
    def relative_half_width(self) -> float | None:
        """Half the width as a share of the estimate; ``None`` if there is none or the estimate is 0."""
        if self.half_width is None or self.mean == 0:
            return None
        return self.half_width / abs(self.mean)

    def covers(self, value: float) -> bool | None:
        """Return whether ``value`` lies inside, ``None`` if there is no interval."""
        if self.low is None or self.high is None:
            return None
        return self.low <= value <= self.high


def finite_values(values: ArrayLike, *, name: str = "values", at_least: int = 1) -> tuple[float, ...]:
    """Return ``values`` as a tuple of floats, or say which of them is not a finite number."""
    array = np.asarray(values, dtype=np.float64)
    if array.ndim != 1 or array.size < at_least:
        raise ValueError(f"{name} must be a list of at least {at_least} numbers, got shape {array.shape}")
    if bad := np.flatnonzero(~np.isfinite(array)).tolist():
        raise ValueError(f"{name}[{bad[0]}] must be a finite number, got {array[bad[0]]}")
    return tuple(array.tolist())


def mean_and_variance(values: tuple[float, ...]) -> tuple[float, float | None]:
    """Return the mean and the variance (divisor ``n - 1``; ``None`` for one value).

    Sums are exact (``math.fsum``), so neither the order of the values nor the machine
    moves the last digit, and equal values have a variance of exactly 0.
    """
    n = len(values)
    if min(values) == max(values):
        return values[0], (0.0 if n > 1 else None)
    mean = math.fsum(values) / n
    return mean, math.fsum((v - mean) ** 2 for v in values) / (n - 1)


def mean_interval(values: ArrayLike, confidence: float = 0.95) -> Interval:
    """Return the mean of independent replications with its Student t interval.

    Args:
        values: One figure per replication, shape ``(replications,)``, all finite, at least one.
        confidence: Chance of covering the true mean, between 0 and 1.

    Returns:
        The interval; with one replication its bounds, half width and sd are ``None``.

    Raises:
        ValueError: If ``values`` is empty or holds something that is not a finite number.

    Examples:
        >>> made = mean_interval([3.2, 4.3, 5.1, 4.2, 4.6])
        >>> f"{made.mean:.2f} [{made.low:.2f} to {made.high:.2f}]"
        '4.28 [3.41 to 5.15]'
    """
    require_share("confidence", confidence)
    data = finite_values(values)
    n = len(data)
    mean, variance = mean_and_variance(data)
    if variance is None:
        return Interval(mean, None, None, None, None, n, confidence)
    half = student_quantile((1 + confidence) / 2, n - 1) * math.sqrt(variance / n)
    return Interval(mean, mean - half, mean + half, half, math.sqrt(variance), n, confidence)
