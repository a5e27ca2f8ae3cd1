"""What a change in staffing is worth in money, and from which margin it pays."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from linesim.plan.arrays import FloatArray
from linesim.stats import Interval, mean_interval

if TYPE_CHECKING:
    from linesim.scenario.run import Cost


@dataclass(frozen=True, slots=True)
class Prices:
    """What things cost.

    Attributes:
        operator: An operator for a shift.
        margin: What one more job brings; None if nobody says.
        stop_minute: A minute of line stop.
        currency: Word or sign of the money.
    """

    operator: float
    margin: float | None
    stop_minute: float
    currency: str

    @classmethod
    def of(cls, cost: Cost | None) -> Prices | None:
        """Return the prices of a scenario; None if it does not say what an operator costs."""
        if cost is None or cost.operator_per_shift is None:
            return None
        return cls(
            cost.operator_per_shift, cost.margin_per_job, cost.stop_minute or 0.0, cost.currency or "money"
        )


@dataclass(frozen=True, slots=True)
class Pay:
    """What a change brings per shift.

    Attributes:
        net: Money won a shift, with its interval; None if no margin is given.
        break_even: Margin a job from which it pays on average: for people saved, up to which. 0 if it
            pays at any margin; None if no margin makes it pay, or if the jobs gained may be none.
        cautious: The same at the cautious end of the interval; None if there is none.
    """

    net: Interval | None
    break_even: float | None
    cautious: float | None


def pay(jobs: FloatArray, stop_min: FloatArray, people: int, prices: Prices, confidence: float) -> Pay:
    """Return what a change is worth.

    Args:
        jobs: Jobs gained a shift in each replication, paired.
        stop_min: Minutes of line stop saved a shift in each replication, paired.
        people: People it takes more; negative if it saves them.
        prices: What things cost.
        confidence: Of the interval alone.

    Notes:
        Net money is linear in the margin, replication by replication. The cautious margin is where the
        lower bound of the net meets 0, which for the ratio of two means is Fieller's bound: E. C. Fieller,
        Journal of the Royal Statistical Society B 16 (1954) 175-185.
    """
    fixed = stop_min * prices.stop_minute - people * prices.operator
    net = None if prices.margin is None else mean_interval(jobs * prices.margin + fixed, confidence)
    mean_jobs, mean_fixed = float(jobs.mean()), float(fixed.mean())
    if people > 0:
        break_even = max(0.0, -mean_fixed / mean_jobs) if mean_jobs > 0 else None
    else:
        break_even = max(0.0, mean_fixed / -mean_jobs) if mean_jobs < 0 else None
    return Pay(net, break_even, _cautious(jobs, fixed, people, confidence))


def _cautious(jobs: FloatArray, fixed: FloatArray, people: int, confidence: float) -> float | None:
    """Return from which margin on (people saved: up to which) even the lower bound of the net is a gain."""

    def lowest(margin: float) -> float:
        low = mean_interval(jobs * margin + fixed, confidence).low
        return -np.inf if low is None else low

    gained = mean_interval(jobs, confidence)
    if gained.low is None or gained.high is None:
        return None
    if people > 0:
        if gained.low <= 0:
            return None
        if lowest(0.0) >= 0:
            return 0.0
        outside, inside = 0.0, 1.0
        while lowest(inside) < 0:
            outside, inside = inside, 2 * inside
    else:
        if gained.high >= 0 or lowest(0.0) < 0:
            return None
        inside, outside = 0.0, 1.0
        while lowest(outside) >= 0:
            inside, outside = outside, 2 * outside
    for _ in range(60):
        middle = (inside + outside) / 2
        inside, outside = (middle, outside) if lowest(middle) >= 0 else (inside, middle)
    return inside
