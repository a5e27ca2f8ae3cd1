"""Output against take rate, and the highest rate that still makes the plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PlanLimit:
    """Up to which rate the plan is made.

    Attributes:
        target: Jobs per shift that the plan asks for.
        rate: Where the mean, between the rates looked at by a straight line, falls below it; None if it is
            below already at the lowest rate, or never.
        low, high: Where the lower and the upper bound of the mean fall below it; None likewise.
        sure: Highest rate looked at up to which the mean surely makes it; None if none does.
        possible: Highest rate looked at up to which the data do not exclude it; None if none.
        never_fails, always_fails: Whether the mean makes it at every rate looked at, or at none.
        is_excluded: Whether the data exclude it at every rate looked at.
    """

    target: float
    rate: float | None
    low: float | None
    high: float | None
    sure: float | None
    possible: float | None
    never_fails: bool
    always_fails: bool
    is_excluded: bool


def plan_limit(
    rates: Sequence[float],
    means: Sequence[float],
    lows: Sequence[float | None],
    highs: Sequence[float | None],
    target: float,
) -> PlanLimit:
    """Return up to which rate the plan is made, going up from the lowest one.

    Args:
        rates: Take rates, ascending.
        means: Mean jobs per shift at each.
        lows: Lower bounds of them, that hold together over all rates; None with one replication.
        highs: Upper bounds.
        target: Jobs per shift that the plan asks for.
    """
    down = [low for low in lows if low is not None]
    up = [high for high in highs if high is not None]
    whole = len(down) == len(up) == len(rates)
    return PlanLimit(
        target=target,
        rate=first_fall(rates, means, target),
        low=first_fall(rates, down, target) if whole else None,
        high=first_fall(rates, up, target) if whole else None,
        sure=_last_before_fall(rates, down, target) if whole else None,
        possible=_last_before_fall(rates, up, target) if whole else None,
        never_fails=min(means) >= target,
        always_fails=max(means) < target,
        is_excluded=whole and max(up) < target,
    )


def first_fall(rates: Sequence[float], values: Sequence[float], target: float) -> float | None:
    """Return where values, joined by straight lines, first fall below a target; None if they never cross it.

    Examples:
        >>> first_fall([0.2, 0.3, 0.4], [124, 120, 110], 115)
        0.35
    """
    for k in range(1, len(rates)):
        before, after = values[k - 1], values[k]
        if before < target:
            return None
        if after < target:
            part = (before - target) / (before - after)
            return round(rates[k - 1] + part * (rates[k] - rates[k - 1]), 12)
    return None


def _last_before_fall(rates: Sequence[float], values: Sequence[float], target: float) -> float | None:
    found = None
    for rate, value in zip(rates, values, strict=True):
        if value < target:
            break
        found = rate
    return found
