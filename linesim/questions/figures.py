"""Numbers as people should read them: rounded to what the interval supports."""

from __future__ import annotations

import math
from collections.abc import Sequence

from linesim.runs.rows import Row


def decimals(mean: float, half_width: float | None) -> int:
    """Return how many decimals a figure deserves: one digit of its uncertainty, two if it begins low.

    Two digits from 10 to 35, one from 36 to 99, as in physics tables. Without an interval, or with
    one of no width, three digits of the figure itself.

    Examples:
        >>> decimals(412.31, 2.9), decimals(412.31, 0.082), decimals(412.31, 31), decimals(0.75, 0.0)
        (1, 2, 0, 3)
    """
    if half_width:
        order = math.floor(math.log10(half_width))
        return max(0, min(4, (1 if half_width / 10.0**order <= 3.5 else 0) - order))
    if mean == 0 or float(mean).is_integer():
        return 0
    return max(0, min(4, 2 - math.floor(math.log10(abs(mean)))))


def number(value: float, places: int) -> str:
    """Return ``value`` with ``places`` decimals, and never as minus zero.

    Examples:
        >>> number(3.14159, 2), number(-0.0001, 1)
        ('3.14', '0.0')
    """
    text = f"{value:.{places}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def estimate(row: Row, *, scale: float = 1.0) -> str:
    """Return the estimate of a row alone, rounded to what its interval supports; a dash if there is none."""
    if row.mean is None:
        return "–"
    return number(row.mean * scale, decimals(row.mean * scale, _half(row, scale)))


def span(row: Row, *, scale: float = 1.0) -> str:
    """Return the interval of a row, such as ``409 to 415``; empty if it has none.

    Where every replication says the same, ``each time``.
    """
    if row.mean is None or row.low is None or row.high is None:
        return ""
    if row.low == row.high:
        return "each time"
    places = decimals(row.mean * scale, _half(row, scale))
    return f"{number(row.low * scale, places)} to {number(row.high * scale, places)}"


def with_span(row: Row, *, scale: float = 1.0) -> str:
    """Return estimate and interval, such as ``412 (409 to 415)``; without one that has no width."""
    bounds = span(row, scale=scale) if row.low != row.high else ""
    return f"{estimate(row, scale=scale)} ({bounds})" if bounds else estimate(row, scale=scale)


def plus_minus(row: Row, *, scale: float = 1.0) -> str:
    """Return estimate and half width, such as ``1.85±0.02``; the estimate alone where that is 0."""
    half = _half(row, scale)
    if row.mean is None or not half:
        return estimate(row, scale=scale)
    return f"{estimate(row, scale=scale)}±{number(half, decimals(row.mean * scale, half))}"


def give_or_take(row: Row, *, scale: float = 1.0) -> str:
    """Return estimate and half width in few letters, such as ``412±3``, for a cell of a wide table.

    One decimal where both are below 10, else none; the half width is rounded up. An exact zero, of what never
    happened in any replication, is a dot.
    """
    if row.mean is None:
        return "–"
    half, mean = _half(row, scale), row.mean * scale
    if mean == 0 and not half:
        return "·"
    places = 1 if max(abs(mean), half or 0.0) < 10 else 0
    if not half:
        return number(mean, places)
    up = math.ceil(half * 10**places - 1e-9) / 10**places
    return f"{number(mean, places)}±{number(up, places)}"


def _half(row: Row, scale: float) -> float | None:
    if row.half_width is not None:
        return row.half_width * scale
    if row.low is not None and row.high is not None:
        return (row.high - row.low) / 2 * scale
    return None


def count_of(n: int, one: str, many: str | None = None) -> str:
    """Return a number with its noun.

    Examples:
        >>> count_of(1, "shift"), count_of(20, "replication"), count_of(2, "crew of one", "crews of one")
        ('1 shift', '20 replications', '2 crews of one')
    """
    return f"{n} {one if n == 1 else many or one + 's'}"


def listed(words: Sequence[str], last: str = "and") -> str:
    """Return words as a list in a sentence.

    Examples:
        >>> listed(["T7", "K1", "K2"])
        'T7, K1 and K2'
    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"
