"""Numbers as people should read them: rounded to what the interval supports."""

from __future__ import annotations

import math

from linesim.answers.wording import decimals, digits, number
from linesim.runs.rows import Row


def places(row: Row, *, scale: float = 1.0) -> int:
    """Return how many decimals estimate and interval of a row are shown with; see `linesim.answers`."""
    if row.mean is None:
        return 0
    low, high, half = (
        None if value is None else value * scale for value in (row.low, row.high, row.half_width)
    )
    return digits(row.mean * scale, low, high, half)


def estimate(row: Row, *, scale: float = 1.0) -> str:
    """Return the estimate of a row alone, rounded to what its interval supports; a dash if there is none."""
    if row.mean is None:
        return "–"
    return number(row.mean * scale, places(row, scale=scale))


def span(row: Row, *, scale: float = 1.0) -> str:
    """Return the interval of a row, such as ``409 to 415``; empty if it has none.

    Where every replication says the same, ``each time``.
    """
    if row.mean is None or row.low is None or row.high is None:
        return ""
    if row.low == row.high:
        return "each time"
    shown = places(row, scale=scale)
    return f"{number(row.low * scale, shown)} to {number(row.high * scale, shown)}"


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
    digits = 1 if max(abs(mean), half or 0.0) < 10 else 0
    if not half:
        return number(mean, digits)
    up = math.ceil(half * 10**digits - 1e-9) / 10**digits
    return f"{number(mean, digits)}±{number(up, digits)}"


def _half(row: Row, scale: float) -> float | None:
    if row.half_width is not None:
        return row.half_width * scale
    if row.low is not None and row.high is not None:
        return (row.high - row.low) / 2 * scale
    return None
