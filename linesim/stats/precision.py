"""How many replications are enough for a figure as sharp as one wants."""

from __future__ import annotations

import math
from dataclasses import dataclass

from numpy.typing import ArrayLike

from linesim.stats.intervals import finite_values, mean_interval, normal_quantile, student_quantile


def replications_for(values: ArrayLike, half_width: float, confidence: float = 0.95) -> int:
    """Return the fewest replications whose interval would be no wider, if the spread stays as found.

    The smallest ``r`` with ``t(r - 1) * sd / sqrt(r) <= half_width``.

    Args:
        values: A first few replications, at least two.
        half_width: Half the width wanted, > 0, in the unit of the values.
        confidence: Confidence of the interval, between 0 and 1.
    """
    sd = mean_interval(values, confidence).sd
    if sd is None or not half_width > 0:
        raise ValueError(f"need at least two values and half_width > 0, got half_width {half_width}")
    # t exceeds the normal quantile, so no smaller r can do.
    r = max(2, math.floor((normal_quantile((1 + confidence) / 2) * sd / half_width) ** 2))
    while student_quantile((1 + confidence) / 2, r - 1) * sd / math.sqrt(r) > half_width:
        r += 1
    return r


@dataclass(frozen=True, slots=True)
class Enough:
    """Whether replications are enough by looking ahead.

    Attributes:
        enough: Replications that suffice; ``None`` if not known yet.
        run: Replications to have run before the question can be answered, or answered again.
        relative_half_width: Half width over mean after all the replications given.
    """

    enough: int | None
    run: int
    relative_half_width: float


def look_ahead(n: int, k_limit: int = 5) -> int:
    """Return how many more replications must stay precise: ``floor(k_limit / 100 * max(n, 100))``."""
    return k_limit * max(n, 100) // 100


def enough_replications(
    values: ArrayLike,
    precision: float,
    *,
    confidence: float = 0.95,
    at_least: int = 3,
    k_limit: int = 5,
) -> Enough:
    """Return how many replications suffice, guarding against a half width that is small by chance.

    A count suffices if its half width is at most ``precision`` times the mean and stays so for the
    ``look_ahead`` replications after it. The answer depends on the values alone, not on how many
    are run at a time.

    Args:
        values: Replications in order, at least one.
        precision: Relative half width wanted, > 0.
        confidence: Confidence of the interval, between 0 and 1.
        at_least: First count to look at, >= 2.
        k_limit: Replications to look ahead per hundred, >= 0.

    Notes:
        K. Hoad, S. Robinson and R. Davies, Journal of the Operational Research Society 61 (2010)
        1632-1644, who set ``k_limit`` to 5.
    """
    if not precision > 0 or at_least < 2 or k_limit < 0:
        raise ValueError(
            f"need precision > 0, at_least >= 2, k_limit >= 0, got {precision}, {at_least}, {k_limit}"
        )
    data = finite_values(values)
    kept_since: int | None = None
    now = math.inf
    for n in range(at_least, len(data) + 1):
        now = _relative(data[:n], confidence)
        if now > precision:
            kept_since = None
            continue
        if kept_since is None:
            kept_since = n
        if n >= kept_since + look_ahead(kept_since, k_limit):
            return Enough(kept_since, n, now)
    if kept_since is not None:
        return Enough(None, kept_since + look_ahead(kept_since, k_limit), now)
    return Enough(None, max(len(data) + 1, at_least), now)


def _relative(values: tuple[float, ...], confidence: float) -> float:
    """Return half width over mean; 0 if nothing varies, infinite if the mean is 0."""
    found = mean_interval(values, confidence)
    if found.half_width == 0:
        return 0.0
    relative = found.relative_half_width
    return math.inf if relative is None else relative
