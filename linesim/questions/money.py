"""Amounts of money as people should read them: rounded to what their interval supports."""

from __future__ import annotations

import math

from linesim.stats import Interval


def money(value: float, half_width: float | None, currency: str, *, signed: bool = False) -> str:
    """Return an amount of money, rounded to what its interval supports, at most to whole units.

    Args:
        value: The amount.
        half_width: Half the width of its interval; None or 0 if it is exact.
        currency: Word or sign of the money; a sign stands close to the figure.
        signed: Whether a plus is written.

    Examples:
        >>> money(1487.2, 390.0, "EUR", signed=True), money(-96.4, 3.0, "€"), money(310, None, "EUR")
        ('+EUR 1,500', '-€96', 'EUR 310')
        >>> money(0.85, None, "€")
        '€0.85'
    """
    step = rounding_step(half_width)
    whole = round(value / step) * step
    text = f"{abs(whole):,.0f}"
    if not half_width and not float(value).is_integer():
        whole, text = 1 if value > 0 else -1, f"{abs(value):,.2f}"
    sign = "-" if whole < 0 else "+" if signed and whole > 0 else ""
    gap = " " if currency[-1:].isalnum() else ""
    return f"{sign}{currency}{gap}{text}"


def rounding_step(half_width: float | None) -> int:
    """Return to which multiple an amount is rounded: one digit of its uncertainty, two if it begins low.

    Examples:
        >>> rounding_step(390.0), rounding_step(280.0), rounding_step(7.0), rounding_step(None)
        (100, 10, 1, 1)
    """
    if not half_width or half_width < 1:
        return 1
    order = math.floor(math.log10(half_width))
    return int(max(1, 10 ** (order - 1 if half_width / 10.0**order <= 3.5 else order)))


def money_with_span(found: Interval, currency: str) -> str:
    """Return signed money with its interval, such as ``+EUR 1,500 (+EUR 1,100 to +EUR 1,900)``."""
    said = money(found.mean, found.half_width, currency, signed=True)
    if found.low is None or found.high is None or found.low == found.high:
        return said
    low = money(found.low, found.half_width, currency, signed=True)
    high = money(found.high, found.half_width, currency, signed=True)
    return f"{said} ({low} to {high})"
