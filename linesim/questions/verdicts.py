"""Differences as people should read them: rounded to what the interval supports, or "can't tell"."""

from __future__ import annotations

import math

from linesim.answers.wording import number
from linesim.questions.figures import places
from linesim.runs.main_measure import Measure
from linesim.runs.rows import Row
from linesim.stats import Difference


def sign_of(row: Row) -> int:
    """Return 1 or -1 where a difference is surely above or below 0, and 0 where the data can't tell."""
    if row.low is not None and row.low > 0:
        return 1
    return -1 if row.high is not None and row.high < 0 else 0


def verdict(row: Row) -> str:
    """Return what a difference says in a word or two, for a table."""
    if row.mean is None or row.low is None:
        return "no interval"
    if row.low == row.high == 0:
        return "the same"
    return {1: "higher", -1: "lower", 0: "can't tell"}[sign_of(row)]


def in_words(row: Row, figure: Measure) -> str:
    """Return a difference as a part of a sentence.

    Examples:
        >>> rise = Row("jobs_per_shift", "segment", "", "jobs", 6.2, 4.9, 7.5, 1.3, 2.0, 20, "paired t")
        >>> in_words(rise, Measure("jobs_per_shift"))
        '6.2 more jobs a shift (4.9 to 7.5)'
        >>> in_words(rise._replace(low=-1.2, high=13.6, half_width=7.4), Measure("jobs_per_shift"))
        "can't tell, between 1 fewer and 14 more jobs a shift"
        >>> in_words(rise._replace(low=-0.2, high=13.6, half_width=7.4), Measure("jobs_per_shift"))
        "can't tell, between 0.2 fewer and 13.6 more jobs a shift"
    """
    more, less, rest = figure.words()
    if row.mean is None:
        return "no figure"
    scale = figure.scale
    shown = places(row, scale=scale)

    def amount(value: float) -> str:
        return number(abs(value) * scale, shown)

    if row.low is None or row.high is None:
        return f"{amount(row.mean)} {more if row.mean > 0 else less} {rest} (one replication, no interval)"
    if row.low == row.high == 0:
        return f"no difference in any replication in {figure.label}"
    if sign := sign_of(row):
        near, far = (row.low, row.high) if sign > 0 else (row.high, row.low)
        bounds = "each time" if _is_constant(row) else f"{amount(near)} to {amount(far)}"
        return f"{amount(row.mean)} {more if sign > 0 else less} {rest} ({bounds})"
    fewest, most = amount(row.low), amount(row.high)
    low = f"{fewest} {less}" if float(fewest) else "0"
    high = f"{most} {more}" if float(most) else "0"
    return f"can't tell, between {low} and {high} {rest}"


def signed(row: Row, *, scale: float = 1.0) -> str:
    """Return a difference with its sign, such as ``+6.2``; a dash if there is none."""
    if row.mean is None:
        return "–"
    text = number(row.mean * scale, places(row, scale=scale))
    return text if float(text) <= 0 else f"+{text}"


def signed_span(row: Row, *, scale: float = 1.0) -> str:
    """Return the interval of a difference with signs, such as ``+4.9 to +7.5``; empty if it has none."""
    if row.low is None or row.high is None:
        return ""
    if _is_constant(row):
        return "each time"
    shown = places(row, scale=scale)
    ends = [number(value * scale, shown) for value in (row.low, row.high)]
    return " to ".join(end if float(end) <= 0 else f"+{end}" for end in ends)


def _is_constant(row: Row) -> bool:
    """Return whether a difference is the same each time, but for the last digits of a quotient."""
    assert row.low is not None and row.high is not None
    return row.high - row.low <= 1e-9 * max(abs(row.low), abs(row.high))


def saving_in_words(found: Difference) -> str:
    """Return what common draws were worth, as a sentence; empty where nothing varies."""
    ratio, r = found.variance_ratio, found.correlation
    if ratio is None or found.interval.n < 2:
        return ""
    if math.isinf(ratio):
        same = "Common draws: the difference is the same in every replication."
        return same if found.interval.mean else ""
    if r is None:
        return ""
    if ratio <= 1:
        why = "the interval is Welch's" if found.method == "Welch t" else "the interval stays paired"
        return f"Common draws do not help here (correlation {r:.2f}); {why}."
    return (
        f"Common draws: correlation {r:.2f}; independent draws would need {ratio:.2g} times as many "
        "replications."
        if ratio < 10
        else f"Common draws: correlation {r:.3f}; independent draws would need {ratio:.0f} times as many "
        "replications."
    )
