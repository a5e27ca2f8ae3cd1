"""Two alternatives against each other: paired where the draws are common, Welch where they are not."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from numpy.typing import ArrayLike

from linesim.stats.intervals import Interval, finite_values, mean_and_variance, mean_interval
from linesim.stats.student import require_share, student_quantile

Verdict = Literal["higher", "lower", "can't tell"]


@dataclass(frozen=True, slots=True)
class Difference:
    """How much higher an alternative is than the base, and what pairing was worth.

    Attributes:
        interval: Mean of ``alternative - base`` with its interval.
        correlation: Correlation of the two over replications; ``None`` if not paired or undefined.
        variance_ratio: Variance of the difference if the runs were independent, divided by the one
            found. One paired replication is worth so many pairs of independent ones; below 1 the
            pairing hurt. Infinite if all differences are equal, ``None`` if not paired or if
            nothing varies.
        method: ``"paired t"`` or ``"Welch t"``.
    """

    interval: Interval
    correlation: float | None
    variance_ratio: float | None
    method: str

    @property
    def verdict(self) -> Verdict:
        """Say whether the alternative is higher, lower, or whether the data can't tell."""
        if self.interval.low is not None and self.interval.low > 0:
            return "higher"
        if self.interval.high is not None and self.interval.high < 0:
            return "lower"
        return "can't tell"


def paired_difference(values: ArrayLike, base: ArrayLike, confidence: float = 0.95) -> Difference:
    """Return ``values - base``, replication by replication, with its Student t interval.

    Valid whether or not the pairs are correlated; the correlation only decides how narrow it is.

    Args:
        values: The alternative, one figure per replication.
        base: The base, same length and order: replication ``r`` of both saw the same draws.
        confidence: Chance of covering the true difference, between 0 and 1.

    Raises:
        ValueError: If the lengths differ or a value is not finite.

    Examples:
        >>> found = paired_difference([12, 14, 13], [11, 12, 12])
        >>> round(found.interval.mean, 3), found.verdict
        (1.333, "can't tell")
    """
    ours, theirs = finite_values(values), finite_values(base, name="base")
    if len(ours) != len(theirs):
        raise ValueError(f"paired values must have equal length, got {len(ours)} and {len(theirs)}")
    interval = mean_interval([a - b for a, b in zip(ours, theirs, strict=True)], confidence)
    if len(ours) < 2:
        return Difference(interval, None, None, "paired t")
    mean_a, var_a = mean_and_variance(ours)
    mean_b, var_b = mean_and_variance(theirs)
    assert var_a is not None and var_b is not None and interval.sd is not None
    correlation: float | None = None
    if var_a > 0 and var_b > 0:
        joint = math.fsum((a - mean_a) * (b - mean_b) for a, b in zip(ours, theirs, strict=True))
        correlation = joint / (len(ours) - 1) / math.sqrt(var_a * var_b)
        correlation = max(-1.0, min(1.0, correlation))
    ratio: float | None = None
    if var_a + var_b > 0:
        ratio = (var_a + var_b) / interval.sd**2 if interval.sd > 0 else math.inf
    return Difference(interval, correlation, ratio, "paired t")


def welch_degrees(var_a: float, n_a: int, var_b: float, n_b: int) -> float:
    """Return the degrees of freedom of Welch and Satterthwaite, with divisors ``n - 1``.

    Notes:
        Some course notes print ``(a + b)**2 / (a**2/(n+1) + b**2/(m+1)) - 2``, which gives other
        values on short lists (8.41 for 6.94) and a narrower interval; it is not used here.
        F. E. Satterthwaite, Biometrics Bulletin 2 (1946) 110-114.
    """
    a, b = var_a / n_a, var_b / n_b
    return (a + b) ** 2 / (a**2 / (n_a - 1) + b**2 / (n_b - 1))


def welch_difference(values: ArrayLike, base: ArrayLike, confidence: float = 0.95) -> Difference:
    """Return the difference of the means of two independent sets of replications (Welch's t).

    Args:
        values: The alternative, one figure per replication.
        base: The base; may have another length, must have used other draws.
        confidence: Chance of covering the true difference, between 0 and 1.

    Returns:
        The difference; ``n`` of its interval is the smaller of the two counts and ``sd`` is
        ``None``. With one replication on either side there is no interval.
    """
    require_share("confidence", confidence)
    ours, theirs = finite_values(values), finite_values(base, name="base")
    mean_a, var_a = mean_and_variance(ours)
    mean_b, var_b = mean_and_variance(theirs)
    mean, n = mean_a - mean_b, min(len(ours), len(theirs))
    if var_a is None or var_b is None:
        return Difference(
            Interval(mean, None, None, None, None, n, confidence, "Welch t"), None, None, "Welch t"
        )
    error = math.sqrt(var_a / len(ours) + var_b / len(theirs))
    half = 0.0
    if error > 0:
        df = welch_degrees(var_a, len(ours), var_b, len(theirs))
        half = student_quantile((1 + confidence) / 2, df) * error
    interval = Interval(mean, mean - half, mean + half, half, None, n, confidence, "Welch t")
    return Difference(interval, None, None, "Welch t")
