"""What stands in a cell of an answer and in a sentence: an estimate, or a change with its verdict."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal, Self

from linesim.stats.comparisons import Difference
from linesim.stats.intervals import Interval

NO_INTERVAL = "none: one replication"  #: `Estimate.method` of what one replication alone gives.
Verdict = Literal["higher", "lower", "can't tell", "the same", "no interval"]


def possible(
    found: Interval, unit: str, *, is_change: bool = False, may_be_negative: bool = False
) -> Interval:
    """Return an interval without what lies beyond the least and the greatest possible value.

    No figure of a line is below 0 but money, no share above 1, and no two shares lie further apart than 1.
    The true value is no further out either, so what is left covers it as often.

    Args:
        found: The interval of a figure, or of a difference.
        unit: Its unit, as in the table of measures.
        is_change: Whether it is a difference of two figures.
        may_be_negative: Whether the figure itself may be below 0.

    Examples:
        >>> found = Interval(0.1, -0.02, 0.22, 0.12, 0.1, 6)
        >>> possible(found, "share").low, possible(found, "share", is_change=True).low
        (0.0, -0.02)
    """
    greatest = 1.0 if unit == "share" else math.inf
    least = -greatest if is_change else -math.inf if may_be_negative else 0.0
    return found.within(least, greatest)


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure over replications, with the range that its true value lies in.

    Attributes:
        mean: The estimate; None if no replication gives the figure.
        low, high: Ends of its interval; None where there is none.
        half_width: Half the width of a symmetric interval.
        sd: Standard deviation between replications.
        n: Replications that give the figure.
        method: How the interval was found, or why there is none.
        unit: Unit, as in the table of measures; a ``share`` is read in percent.
        confidence: Chance that such an interval covers the true value.
        currency: Word or sign of the money; empty if it is no money.
    """

    mean: float | None
    low: float | None = None
    high: float | None = None
    half_width: float | None = None
    sd: float | None = None
    n: int = 0
    method: str = ""
    unit: str = ""
    confidence: float = 0.95
    currency: str = ""

    @classmethod
    def of(cls, found: Interval, unit: str = "", *, currency: str = "") -> Self:
        """Return what an interval says."""
        method = found.method if found.low is not None else NO_INTERVAL
        return cls(
            found.mean, found.low, found.high, found.half_width, found.sd, found.n, method, unit,
            found.confidence, currency,
        )  # fmt: skip

    @property
    def half(self) -> float | None:
        """Half the width of the interval, symmetric or not; None without one."""
        if self.half_width is not None:
            return self.half_width
        return None if self.low is None or self.high is None else (self.high - self.low) / 2

    @property
    def is_constant(self) -> bool:
        """Whether every replication says the same, but for the last digits of a quotient."""
        if self.low is None or self.high is None:
            return False
        return self.high - self.low <= 1e-9 * max(abs(self.low), abs(self.high))

    def scaled(self, factor: float, unit: str) -> Self:
        """Return the same in another unit, such as a share of a shift in minutes."""

        def times(value: float | None) -> float | None:
            return None if value is None else value * factor

        return replace(
            self, mean=times(self.mean), low=times(self.low), high=times(self.high),
            half_width=times(self.half_width), sd=times(self.sd), unit=unit,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Change(Estimate):
    """How much higher a figure is in one case than in another.

    Attributes:
        before, after: The figure in the two, over the same replications; None where nobody says.
        correlation: Of the two over replications; None if nothing varies.
        saving: Replications of independent draws that one with common draws is worth; None if nothing
            varies, or if all differences are the same.
        comparisons: How many such intervals hold together with the confidence of the study.
    """

    before: float | None = None
    after: float | None = None
    correlation: float | None = None
    saving: float | None = None
    comparisons: int = 1

    @classmethod
    def between(
        cls, found: Difference, unit: str = "", *, currency: str = "", before: float | None = None,
        after: float | None = None, comparisons: int = 1,
    ) -> Self:  # fmt: skip
        """Return what a difference says."""
        saving = found.variance_ratio
        return replace(
            cls.of(possible(found.interval, unit, is_change=True), unit, currency=currency),
            before=before, after=after, correlation=found.correlation,
            saving=None if saving is None or saving == float("inf") else saving, comparisons=comparisons,
        )  # fmt: skip

    @property
    def sign(self) -> int:
        """1 or -1 where it is surely above or below 0, and 0 where the data can't tell."""
        if self.low is not None and self.low > 0:
            return 1
        return -1 if self.high is not None and self.high < 0 else 0

    @property
    def amount(self) -> Estimate:
        """A change of a known direction without its sign, the near end of its interval first."""
        ends = [abs(end) for end in (self.low, self.high) if end is not None]
        low, high = (min(ends), max(ends)) if ends else (None, None)
        return Estimate(
            None if self.mean is None else abs(self.mean), low, high, self.half_width, self.sd, self.n,
            self.method, self.unit, self.confidence, self.currency,
        )  # fmt: skip

    @property
    def verdict(self) -> Verdict:
        """What it says in a word or two."""
        if self.mean is None or self.low is None:
            return "no interval"
        if self.low == self.high == 0:
            return "the same"
        return "higher" if self.sign > 0 else "lower" if self.sign < 0 else "can't tell"
