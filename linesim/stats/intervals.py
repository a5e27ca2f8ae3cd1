"""What every figure carries: its interval. Means, shares, quantiles, from independent replications.

Quantiles of the normal and of Student's distribution come from ``scipy.special``; ``scipy.stats`` would say
the same and takes a second to import.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linesim import special

BENT = 0.99  #: Confidence up to which the bend of skewness is taken as the cubic has it.
SKEW_FROM = 6  #: Replications from which on their skewness counts.
#: Figures of resampled studies: indices of shape (studies, replications) to shape (studies,).
Statistic = Callable[[NDArray[np.int64]], NDArray[np.float64]]

_BLOCK = 200  #: Studies drawn at a time; changes memory, never a number.


def require_share(name: str, value: float) -> float:
    """Return ``value`` if it lies strictly between 0 and 1, else say what is wrong with it."""
    if not 0.0 < value < 1.0:
        raise ValueError(f"{name} must lie between 0 and 1, got {value}")
    return float(value)


def normal_quantile(p: float) -> float:
    """Return the standard normal value that is exceeded with chance ``1 - p``."""
    return float(special.ndtri(require_share("p", p)))


def student_quantile(p: float, df: float) -> float:
    """Return the quantile ``p`` of Student's t with ``df`` degrees of freedom.

    Args:
        p: Chance of a smaller value, strictly between 0 and 1.
        df: Degrees of freedom, > 0; need not be whole.

    Raises:
        ValueError: If ``p`` or ``df`` is outside its limits.

    Examples:
        >>> round(student_quantile(0.975, 9), 6)
        2.262157
    """
    require_share("p", p)
    if not df > 0:
        raise ValueError(f"df must be > 0, got {df}")
    if p == 0.5:
        return 0.0
    return float(special.stdtrit(df, p))


@dataclass(frozen=True, slots=True)
class Interval:
    """An estimate and the range that the true value lies in with the stated confidence.

    A bound is ``None`` where the data give none: a figure from one replication has no
    interval, and a quantile near the end of a short list has only one bound.

    Attributes:
        mean: The estimate; a mean unless ``method`` says otherwise.
        low: Lower bound.
        high: Upper bound.
        half_width: Half the width, ``None`` where that is not how its precision is told.
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

    def within(self, least: float, greatest: float) -> Interval:
        """Return the interval without what lies beyond the least and the greatest possible value.

        The true value lies between these, so the interval covers it exactly as often as before; it is only
        more honest about what it says. The estimate stays as it is.

        Examples:
            >>> Interval(0.1, -0.1, 0.3, 0.2, 0.2, 6).within(0.0, 1.0).low
            0.0
        """
        if self.low is None or self.high is None:
            return self
        ends = min(max(self.low, least), greatest), min(max(self.high, least), greatest)
        if ends == (self.low, self.high):
            return self
        half = None if self.half_width is None else (ends[1] - ends[0]) / 2
        return replace(self, low=ends[0], high=ends[1], half_width=half)


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


def student_interval(values: ArrayLike, confidence: float = 0.95) -> Interval:
    """Return the mean of independent replications with its Student t interval.

    Args:
        values: One figure per replication, shape ``(replications,)``, all finite, at least one.
        confidence: Chance of covering the true mean, between 0 and 1.

    Returns:
        The interval; with one replication its bounds, half width and sd are ``None``.

    Raises:
        ValueError: If ``values`` is empty or holds something that is not a finite number.

    Examples:
        >>> made = student_interval([3.2, 4.3, 5.1, 4.2, 4.6])
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


def mean_interval(values: ArrayLike, confidence: float = 0.95) -> Interval:
    """Return the mean of independent replications with the interval that every figure carries.

    Output of a line whose robot fails now and then is skewed: most replications are good, a few are very
    bad. Student's interval, symmetric as it is, then misses too often on the bad side: with 10 replications
    91 of 100 hold the mean where failures are long and rare. This one asks which t is as unlikely above as
    below once the skewness ``g`` of the replications bends its law. That moves one end outwards and the
    other inwards; the inner one stays Student's, because the skewness of few replications is itself luck.
    Student's where ``g`` is 0, and below six replications, whose skewness says nothing.

    Args:
        values: One figure per replication, shape ``(replications,)``, all finite, at least one.
        confidence: Chance of covering the true mean, between 0 and 1; the ends move outwards with it.

    Returns:
        The interval; with one replication its bounds, half width and sd are ``None``.

    Notes:
        P. Hall, Journal of the Royal Statistical Society B 54 (1992) 221-228: ``g(T) = T + g (T**2 / 3 +
        1/6) / sqrt(n) + g**2 T**3 / (27 n)``, a cubic that always rises and can be turned round. Hall takes
        normal quantiles; with Student's the interval also holds for few replications. Chosen by measured
        coverage (tests/README) over Student's t, the shift of N. J. Johnson (Journal of the American
        Statistical Association 73 (1978) 536-544), which mends little, and the bootstrap-t, which covers
        as much at a hundred times the cost.

    Examples:
        One of ten replications lost jobs to a long failure, so the mean may be lower than it seems:

        >>> made = mean_interval([60, 59, 60, 61, 60, 60, 59, 61, 60, 50])
        >>> f"{made.mean:.1f} [{made.low:.1f} to {made.high:.1f}]"
        '59.0 [51.3 to 61.3]'
    """
    found = student_interval(values, confidence)
    if found.n < SKEW_FROM or not found.sd:
        return found
    data = finite_values(values)
    spread = found.sd * math.sqrt((found.n - 1) / found.n)
    skewness = math.fsum(((v - found.mean) / spread) ** 3 for v in data) / found.n
    root = math.sqrt(found.n)
    reach = student_quantile((1 + confidence) / 2, found.n - 1)

    def unbent(t: float) -> float:
        """Return which T the cubic bends to ``t``."""
        # With c = (1 + 3 u)**(1/3) the solution is root / a * (c - 1), and c**3 - 1 = 3 u divides it by a.
        w = t / root - skewness / (6 * found.n)
        c = math.cbrt(1 + skewness * w)
        return root * 3 * w / (c * c + c + 1)

    # The cubic follows the middle of the law, not its far tails: beyond BENT its bend holds.
    near = min(reach, student_quantile((1 + BENT) / 2, found.n - 1))
    error = found.sd / root * reach / near
    low = found.mean - max(unbent(near), near) * error
    high = found.mean - min(unbent(-near), -near) * error
    return replace(found, low=low, high=high, half_width=(high - low) / 2, method="t, skewness-adjusted")


def share_interval(hits: ArrayLike, cases: ArrayLike, *, confidence: float = 0.95) -> Interval:
    """Return a share over all replications, ``sum(hits) / sum(cases)``, with an interval within 0 and 1.

    Wilson's score interval, on as many independent cases as all of them are worth: the cases of one
    replication depend on each other, and how much is seen in how far the replications lie apart. Where
    everything or nothing counts that cannot be seen, and a replication is taken as one case: of 12 out of
    12 it is known that the share is 76 % or more.

    Args:
        hits: Cases that count, one number per replication, 0 to ``cases``.
        cases: Cases of each replication, >= 0, not all 0; replications without cases tell nothing and are
            left out.
        confidence: Chance of covering the true share, between 0 and 1.

    Returns:
        The interval, ``n`` replications behind it; with one replication it has no bounds.

    Notes:
        E. B. Wilson, Journal of the American Statistical Association 22 (1927) 209-212. Cases that depend
        on each other as in E. L. Korn and B. I. Graubard, Survey Methodology 24 (1998) 193-201 (from memory).

    Examples:
        >>> made = share_interval([1] * 12, [1] * 12)
        >>> f"{made.mean:.0%} [{made.low:.0%} to {made.high:.0%}]"
        '100% [76% to 100%]'
    """
    require_share("confidence", confidence)
    part = np.asarray(finite_values(hits, name="hits"))
    whole = np.asarray(finite_values(cases, name="cases"))
    if part.shape != whole.shape or np.any(part < 0) or np.any(part > whole) or whole.sum() <= 0:
        raise ValueError("hits must lie between 0 and cases in each replication, and some cases be > 0")
    part, whole = part[whole > 0], whole[whole > 0]
    n, total = part.size, float(whole.sum())
    share = float(part.sum()) / total
    method = "Wilson over replications"
    if n == 1:
        return Interval(share, None, None, None, None, 1, confidence, method)
    worth = float(n)
    if 0 < share < 1:
        upper = (1 + confidence) / 2
        variance = float(np.sum((part - share * whole) ** 2)) / total**2
        # Student's quantiles: what is known of the variance of n replications, and of that many cases.
        trust = (student_quantile(upper, max(1.0, total - 1)) / student_quantile(upper, n - 1)) ** 2
        worth = min(total, share * (1 - share) / variance * trust) if variance > 0 else total
    low, high = _wilson(share, worth, confidence)
    return Interval(share, low, high, None, None, n, confidence, method)


def _wilson(share: float, n: float, confidence: float) -> tuple[float, float]:
    """Return the bounds of a share of ``n`` independent cases, which need not be a whole number."""
    z2 = normal_quantile((1 + confidence) / 2) ** 2
    centre = (share + z2 / (2 * n)) / (1 + z2 / n)
    half = math.sqrt(z2 * (share * (1 - share) / n + z2 / (4 * n**2))) / (1 + z2 / n)
    return (0.0 if share == 0 else centre - half), (1.0 if share == 1 else centre + half)


def bootstrap_interval(
    statistic: Statistic,
    replications: int,
    *,
    confidence: float = 0.95,
    studies: int = 2000,
    seed: int = 1,
) -> Interval:
    """Return a figure of all replications together with its BCa bootstrap interval: for quantiles.

    Whole replications are drawn, never single jobs or shifts, which depend on each other within a run.

    Args:
        statistic: Computes the figure for rows of replication indices, shape ``(studies, replications)``.
        replications: Number of independent replications, >= 1.
        confidence: Chance of covering the true figure, between 0 and 1.
        studies: How many studies to draw, >= 100.
        seed: Same seed, same interval.

    Returns:
        The interval; with one replication it has no bounds. If every drawn study gives the same
        figure both bounds are that figure.

    Notes:
        Bias-corrected and accelerated: B. Efron, Journal of the American Statistical Association 82
        (1987) 171-185.
    """
    require_share("confidence", confidence)
    if replications < 1 or studies < 100:
        raise ValueError(f"need replications >= 1 and studies >= 100, got {replications} and {studies}")
    whole = np.arange(replications, dtype=np.int64)
    estimate = float(statistic(whole[None, :])[0])
    method = "bootstrap (BCa)"
    if replications == 1:
        return Interval(estimate, None, None, None, None, 1, confidence, method)
    luck = np.random.Generator(np.random.Philox(seed))
    drawn = np.concatenate(
        [
            statistic((luck.random((min(_BLOCK, studies - k), replications)) * replications).astype(np.int64))
            for k in range(0, studies, _BLOCK)
        ]
    )
    lowest, highest = float(drawn.min()), float(drawn.max())
    if lowest == highest:
        return Interval(estimate, lowest, highest, None, None, replications, confidence, method)
    left_out = np.concatenate([statistic(np.delete(whole, r)[None, :]) for r in range(replications)])
    pull = left_out.mean() - left_out
    spread = float(np.sum(pull**2))
    acceleration = float(np.sum(pull**3)) / (6 * spread**1.5) if spread > 0 else 0.0
    below = float(np.mean(drawn < estimate) + np.mean(drawn == estimate) / 2)
    below = min(max(below, 0.5 / studies), 1 - 0.5 / studies)
    bias = normal_quantile(below)
    bounds = []
    for tail in ((1 - confidence) / 2, (1 + confidence) / 2):
        z = bias + normal_quantile(tail)
        # Beyond this the correction turns back on itself; the outermost drawn figure is the bound.
        room = 1 - acceleration * z
        share = float(special.ndtr(bias + z / room)) if room > 0 else float(z > 0)
        bounds.append(float(np.quantile(drawn, share)))
    return Interval(estimate, bounds[0], bounds[1], None, None, replications, confidence, method)
