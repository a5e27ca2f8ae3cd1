"""From values to places on a sheet, with round values to mark."""

from __future__ import annotations

import math
from dataclasses import dataclass

from linesim.answers.wording import number


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight scale.

    Attributes:
        low, high: Values at its ends, ``low < high``.
        start, end: Where the ends lie [px].
        marks: About how many round values are marked.
        percent: Whether values are shares, written in percent.
    """

    low: float
    high: float
    start: float
    end: float
    marks: int = 5
    percent: bool = False

    def __post_init__(self) -> None:
        """Refuse a scale without length."""
        if not self.high > self.low:
            raise ValueError(f"need low < high, got {self.low} and {self.high}")

    def at(self, value: float) -> float:
        """Return where a value lies [px]."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def ticks(self) -> list[tuple[float, str]]:
        """Return the round values within the scale, as numbers and as text."""
        factor = 100.0 if self.percent else 1.0
        step = round_step((self.high - self.low) * factor, self.marks)
        places = max(0, -math.floor(math.log10(step) + 1e-9))
        first = math.ceil(self.low * factor / step - 1e-9)
        last = math.floor(self.high * factor / step + 1e-9)
        return [(k * step / factor, number(k * step, places)) for k in range(first, last + 1)]


def round_step(length: float, marks: int) -> float:
    """Return a step of 1, 2 or 5 times a power of ten that gives at most about ``marks`` steps.

    Examples:
        >>> round_step(40, 5), round_step(0.9, 5)
        (10.0, 0.2)
    """
    rough = length / max(1, marks)
    power = 10.0 ** math.floor(math.log10(rough))
    for nice in (1.0, 2.0, 5.0):
        if nice * power >= rough * (1 - 1e-9):
            return nice * power
    return 10.0 * power


def up_to(value: float, marks: int = 5) -> float:
    """Return the first round value that is not below ``value``; 1 where there is nothing.

    Examples:
        >>> up_to(38.5), up_to(0.0)
        (40.0, 1.0)
    """
    if value <= 0:
        return 1.0
    step = round_step(value, marks)
    return math.ceil(value / step - 1e-9) * step
