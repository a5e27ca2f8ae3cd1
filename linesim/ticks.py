"""Time as a whole number of ticks, and durations as text with a unit.

Inside, one tick is one millisecond and every moment is an `int`: sums of times then close
exactly, and a task of 19.2 s + 38.4 s fits a takt of 57.6 s in every cycle. Text carries its
unit at the edge: `"61 s"`, `"2 min"`, `"1.5 h"`, `"5 shifts"`. A day
has 24 hours and a week seven days, also where nobody works.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

TICKS_PER_SECOND = 1000  #: One tick is 1 ms.
SHIFT_S = 28_800.0  #: Length of a shift [s] where a scenario says nothing: 8 h.
LONGEST_S = 1e10  #: Longest time that is accepted [s], some 300 years; far inside int64 ticks.

Unit = Literal["s", "min", "h", "day", "week", "shift"]

_TEXT = re.compile(r"\s*(?P<amount>[+-]?(?:\d+(?:\.\d*)?|\.\d+))\s*(?P<unit>[^\W\d_]*)\s*", re.ASCII)
_UNITS: tuple[tuple[str, Unit], ...] = (
    ("s", "s"), ("min", "min"), ("h", "h"), ("day", "day"), ("days", "day"),
    ("week", "week"), ("weeks", "week"), ("shift", "shift"), ("shifts", "shift"),
)  # fmt: skip

_SIZES: tuple[tuple[Unit, Decimal], ...] = (
    ("s", Decimal(1)), ("min", Decimal(60)), ("h", Decimal(3600)),
    ("day", Decimal(86_400)), ("week", Decimal(604_800)),
)  # fmt: skip
_COUNTED = ("day", "week", "shift")  #: Units with a plural.


def ticks(seconds: float) -> int:
    """Return a time as whole ticks, rounded once, halves to the even tick.

    Args:
        seconds: Time [s], finite.

    Raises:
        ValueError: If `seconds` is not finite.

    Examples:
        >>> ticks(57.6), ticks(0.0005), ticks(0.0015)
        (57600, 0, 2)
    """
    if not math.isfinite(seconds):
        raise ValueError(f"seconds must be finite, got {seconds}")
    return round(seconds * TICKS_PER_SECOND)


def seconds(ticks: int) -> float:
    """Return a number of ticks as seconds.

    Examples:
        >>> seconds(57600)
        57.6
    """
    return ticks / TICKS_PER_SECOND


@dataclass(frozen=True, slots=True)
class Duration:
    """A length of time as somebody wrote it, with what it means in seconds.

    Attributes:
        amount: The number that was written, >= 0.
        unit: `"s"`, `"min"`, `"h"`, `"day"`, `"week"` or `"shift"`.
        seconds: The same time [s]; for shifts, the gross length of a shift is inside.
    """

    amount: float
    unit: Unit
    seconds: float

    @property
    def ticks(self) -> int:
        """The same time in whole ticks."""
        return ticks(self.seconds)

    def __reduce__(self) -> tuple[type[Duration], tuple[float, Unit, float]]:
        """Travel as its three fields: a plan is packed and unpacked with every case."""
        return (type(self), (self.amount, self.unit, self.seconds))

    def __str__(self) -> str:
        """Return text that `parse_duration` reads back."""
        number = f"{Decimal(repr(self.amount)):f}"
        number = number.removesuffix(".0")
        plural = "s" if self.unit in _COUNTED and self.amount != 1 else ""
        return f"{number} {self.unit}{plural}"


def parse_duration(text: str, *, shift_s: float = SHIFT_S) -> Duration:
    """Read a duration such as `"61 s"`, `"2 min"`, `"1.5 h"` or `"5 shifts"`.

    Args:
        text: A number >= 0 and one of the units s, min, h, days, weeks, shifts.
        shift_s: Gross length of a shift [s].

    Raises:
        ValueError: If the text is no number with one of these units, is negative, or is
            longer than `LONGEST_S`.

    Examples:
        >>> parse_duration("1.5 h")
        Duration(amount=1.5, unit='h', seconds=5400.0)
        >>> parse_duration("2 shifts").seconds
        57600.0
    """
    shown = text if len(text) <= 40 else text[:37] + "..."
    found = _TEXT.fullmatch(text) if len(text) <= 100 else None
    unit = dict(_UNITS).get(found["unit"]) if found else None
    if found is None or unit is None:
        raise ValueError(
            f'"{shown}" is no time; write a number and a unit (s, min, h, days, weeks or shifts), such as '
            '"61 s"'
        )
    amount = Decimal(found["amount"])
    if amount < 0:
        raise ValueError(f'"{shown}" is negative; a time is 0 or more')
    length = float(amount * (Decimal(repr(shift_s)) if unit == "shift" else dict(_SIZES)[unit]))
    if not length <= LONGEST_S:
        raise ValueError(
            f'"{shown}" is longer than {LONGEST_S:.0f} s, the longest time that can be simulated'
        )
    return Duration(float(amount), unit, length)


def of_seconds(value: float) -> Duration:
    """Return a number of seconds as a `Duration`.

    Raises:
        ValueError: If the value is negative, not finite, or longer than `LONGEST_S`.

    Examples:
        >>> str(of_seconds(61))
        '61 s'
    """
    if not 0 <= value <= LONGEST_S:
        raise ValueError(f"a time must be from 0 to {LONGEST_S:.0f} s, got {value}")
    return Duration(float(value), "s", float(value))
