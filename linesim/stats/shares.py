"""Intervals for a share from independent yes-or-no cases, good near 0 and 1 too."""

from __future__ import annotations

import math

from linesim.stats.intervals import Interval
from linesim.stats.student import beta_quantile, normal_quantile, require_share


def _check(hits: int, n: int, confidence: float) -> None:
    require_share("confidence", confidence)
    if n < 1 or not 0 <= hits <= n:
        raise ValueError(f"need n >= 1 and 0 <= hits <= n, got {hits} of {n}")


def wilson_interval(hits: int, n: int, confidence: float = 0.95) -> Interval:
    """Return the share ``hits / n`` with Wilson's score interval, about right on average.

    Args:
        hits: Cases that count, 0 to ``n``.
        n: Independent cases, >= 1.
        confidence: Chance of covering the true share, between 0 and 1.

    Notes:
        E. B. Wilson, Journal of the American Statistical Association 22 (1927) 209-212.
    """
    _check(hits, n, confidence)
    z2 = normal_quantile((1 + confidence) / 2) ** 2
    share = hits / n
    centre = (share + z2 / (2 * n)) / (1 + z2 / n)
    half = math.sqrt(z2 * (share * (1 - share) / n + z2 / (4 * n**2))) / (1 + z2 / n)
    low = 0.0 if hits == 0 else centre - half
    high = 1.0 if hits == n else centre + half
    return Interval(share, low, high, None, None, n, confidence, "Wilson")


def clopper_pearson_interval(hits: int, n: int, confidence: float = 0.95) -> Interval:
    """Return the share ``hits / n`` with the exact interval, which covers at least as often as it says.

    Args:
        hits: Cases that count, 0 to ``n``.
        n: Independent cases, >= 1.
        confidence: Least chance of covering the true share, between 0 and 1.

    Notes:
        C. J. Clopper and E. S. Pearson, Biometrika 26 (1934) 404-413.
    """
    _check(hits, n, confidence)
    out = (1 - confidence) / 2
    low = 0.0 if hits == 0 else beta_quantile(out, hits, n - hits + 1)
    high = 1.0 if hits == n else beta_quantile(1 - out, hits + 1, n - hits)
    return Interval(hits / n, low, high, None, None, n, confidence, "Clopper-Pearson")
