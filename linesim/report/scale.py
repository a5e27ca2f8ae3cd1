"""From values to places on a sheet, with round values to mark; small drawings in rows."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
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

    @classmethod
    def around(
        cls, values: Iterable[float | None], start: float, end: float, *, rim: float = 0.05,
        least: float = 0.5, marks: int = 5,
    ) -> Scale:  # fmt: skip
        """Return a scale on which all known values lie, with a rim.

        Args:
            values: The values, at least one of them known.
            start: Where the low end lies [px].
            end: Where the high one lies.
            rim: Room beyond the outermost values, as a share of the distance between them.
            least: The same where there is none.
            marks: About how many round values are marked.
        """
        known = [value for value in values if value is not None]
        low, high = min(known), max(known)
        beyond = rim * (high - low) or least
        return cls(low - beyond, high + beyond, start, end, marks)

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


def in_rows(widths: Sequence[float], *, gap: float, room: float) -> list[list[int]]:
    """Return which drawings stand in each row, in order; one that is too wide has a row of its own.

    Args:
        widths: Width of each [px].
        gap: Space between neighbours [px].
        room: Width of a row [px].

    Examples:
        >>> in_rows([40, 40, 40], gap=10, room=100)
        [[0, 1], [2]]
    """
    rows: list[list[int]] = []
    for i, wide in enumerate(widths):
        if not rows or sum(widths[k] + gap for k in rows[-1]) + wide > room:
            rows.append([])
        rows[-1].append(i)
    return rows
