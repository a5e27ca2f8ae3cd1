"""How figures are read: rounded to what their interval supports, with a word for what is missing or sure.

The one place where a figure becomes text. A reader gets as many digits as the interval carries, shares in
percent, money in whole units, and never an end of an interval that hides what the verdict says.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from linesim.answers.measure import Measure
from linesim.answers.values import Change, Estimate
from linesim.stats.comparisons import joint_confidence

_MOST_DECIMALS = 6  #: An end so close to 0 reads 0.
NOTHING = "–"  #: What is not known.
EACH_TIME = "each time"  #: Instead of an interval, where every replication says the same.
Value = str | int | float | bool | None | Measure | Estimate  #: What a cell of an answer holds.


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


def digits(mean: float, low: float | None, high: float | None, half_width: float | None = None) -> int:
    """Return how many decimals an estimate and the ends of its interval are shown with.

    As many as `decimals` says; more where an end would read 0 and is not, so that a reader always sees on
    which side of 0 it lies; none where all three are whole, as the jobs of single shifts are.

    Args:
        mean: The estimate.
        low: Lower end; None without an interval.
        high: Upper end, likewise.
        half_width: Half the width where there is one without ends.

    Examples:
        >>> digits(6.1, 0.3, 11.9), digits(6.1, 0.9, 11.3), digits(6.1, 0.03, 12.2), digits(59, 58, 60)
        (1, 0, 2, 0)
    """
    if low is None or high is None:
        return decimals(mean, half_width)
    if all(float(value).is_integer() for value in (mean, low, high)):
        return 0
    if high - low <= 1e-9 * max(abs(low), abs(high)):
        return decimals(mean, None)  # the same each time
    found = decimals(mean, (high - low) / 2)
    for end in (low, high):
        while abs(end) > 1e-9 * abs(mean) and found < _MOST_DECIMALS and float(f"{end:.{found}f}") == 0:
            found += 1
    return found


def number(value: float, places: int) -> str:
    """Return ``value`` with ``places`` decimals, and never as minus zero.

    Examples:
        >>> number(3.14159, 2), number(-0.0001, 1)
        ('3.14', '0.0')
    """
    text = f"{value:.{places}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def plain_number(value: float) -> str:
    """Return a number that has no interval.

    Examples:
        >>> plain_number(96.0), plain_number(0.123456), plain_number(1234.5)
        ('96', '0.123', '1234')
    """
    return number(value, decimals(value, None))


def mean_text(found: Estimate) -> str:
    """Return the estimate alone, a change with its sign; a dash if there is none.

    Examples:
        >>> mean_text(Estimate(0.98123, 0.975, 0.987, unit="share")), mean_text(Change(6.2, 4.9, 7.5))
        ('98.1', '+6.2')
    """
    if found.mean is None:
        return NOTHING
    return _Rounded(found).text(found.mean)


def mean_or_bracket(found: Estimate) -> str:
    """Return the estimate alone, a change in brackets where the data can't tell it from 0.

    Examples:
        >>> mean_or_bracket(Change(6.2, 4.9, 7.5)), mean_or_bracket(Change(1.2, -0.9, 3.5))
        ('+6.2', '(+1.2)')
    """
    is_open = isinstance(found, Change) and found.verdict == "can't tell"
    return f"({mean_text(found)})" if is_open else mean_text(found)


def interval_text(found: Estimate) -> str:
    """Return the interval alone; ``each time`` where nothing varies, empty if there is none.

    Examples:
        >>> interval_text(Estimate(412.0, 409.2, 414.8)), interval_text(Change(4.0, 0.2, 7.8))
        ('409.2 to 414.8', '+0.2 to +7.8')
    """
    if found.mean is None or found.low is None or found.high is None:
        return ""
    if found.is_constant:
        return EACH_TIME
    rounded = _Rounded(found)
    return f"{rounded.text(found.low)} to {rounded.text(found.high)}"


def text(found: Estimate) -> str:
    """Return estimate and interval, such as ``412 (409 to 415)``; without one that has no width."""
    bounds = "" if found.is_constant else interval_text(found)
    return f"{mean_text(found)} ({bounds})" if bounds else mean_text(found)


def plus_minus(found: Estimate) -> str:
    """Return estimate and half width, such as ``1.85±0.02``; the estimate alone where that is 0."""
    found = _read(found)
    if found.mean is None or not found.half:
        return mean_text(found)
    return f"{mean_text(found)}±{number(found.half, decimals(found.mean, found.half))}"


def give_or_take(found: Estimate) -> str:
    """Return estimate and half width in few letters, such as ``412±3``, for a cell of a wide table.

    One decimal where both are below 10, else none; the half width is rounded up. An exact zero, of what never
    happened in any replication, is a dot.
    """
    found = _read(found)
    if found.mean is None:
        return NOTHING
    if found.mean == 0 and not found.half:
        return "·"
    places = 1 if max(abs(found.mean), found.half or 0.0) < 10 else 0
    if not found.half:
        return number(found.mean, places)
    up = math.ceil(found.half * 10**places - 1e-9) / 10**places
    return f"{number(found.mean, places)}±{number(up, places)}"


def level_text(value: float | None, change: Change) -> str:
    """Return one of the two figures of a change, rounded as the change is."""
    if value is None:
        return NOTHING
    if change.currency:
        return money(value, rounding_step(change.half), change.currency)
    scale = 100.0 if change.unit == "share" else 1.0
    half = None if change.half is None else change.half * scale
    return number(value * scale, decimals(value * scale, half) if half else 1)


def change_in_words(found: Change, measure: Measure) -> str:
    """Return a change as a part of a sentence.

    Examples:
        >>> jobs = Measure("jobs_per_shift")
        >>> change_in_words(Change(6.2, 4.9, 7.5), jobs)
        '6.2 more jobs a shift (4.9 to 7.5)'
        >>> change_in_words(Change(6.2, -1.2, 13.6), jobs)
        "can't tell, between 1 fewer and 14 more jobs a shift"
        >>> change_in_words(Change(6.2, -0.2, 13.6), jobs)
        "can't tell, between 0.2 fewer and 13.6 more jobs a shift"
        >>> money_won = Change(1487.2, 1080.0, 1894.4, half_width=407.2, currency="EUR")
        >>> change_in_words(money_won, Measure("net_money"))
        'EUR 1,500 more net money a shift (EUR 1,100 to EUR 1,900)'
    """
    more, less, rest = measure.words()
    if found.low == found.high == 0:
        return f"no difference in any replication in {measure.label}"
    said = change_by_sides(found, more, less, rest)
    return f"can't tell, {said}" if found.verdict == "can't tell" else said


def change_from(found: Change, measure: Measure) -> str:
    """Return a change with the two figures behind it, as a part of a sentence; a change alone if unsure."""
    if found.verdict == "the same":
        return f"no difference in {measure.label} in any replication"
    said = change_in_words(found, measure)
    if found.verdict == "can't tell":
        return said
    unit = " %" if measure.is_share else ""
    return f"{said}, {level_text(found.after, found)} instead of {level_text(found.before, found)}{unit}"


def change_by_sides(found: Change, more: str, less: str, rest: str = "") -> str:
    """Return a change as so much more or less, or between which ends it lies where its side is not sure.

    Args:
        found: The change.
        more: What is said of it above 0.
        less: What is said of it below.
        rest: What follows.

    Examples:
        >>> change_by_sides(Change(6.2, 4.9, 7.5), "too many", "too few")
        '6.2 too many (4.9 to 7.5)'
        >>> change_by_sides(Change(6.2, -1.2, 13.6), "too many", "too few", "jobs")
        'between 1 too few and 14 too many jobs'
    """
    if found.mean is None:
        return "no figure"
    shown = _read(found)
    rounded = _Rounded(found)
    after = f" {rest}" if rest else ""

    def amount(value: float) -> str:
        if found.currency:
            return money(abs(value), rounded.step, found.currency)
        return number(abs(value), rounded.places)

    assert shown.mean is not None
    side = more if shown.mean > 0 else less
    if shown.low is None or shown.high is None:
        return f"{amount(shown.mean)} {side}{after} (one replication, no interval)"
    if found.sign:
        near, far = (shown.low, shown.high) if found.sign > 0 else (shown.high, shown.low)
        bounds = EACH_TIME if found.is_constant else f"{amount(near)} to {amount(far)}"
        return f"{amount(shown.mean)} {side}{after} ({bounds})"
    fewest, most = amount(shown.low), amount(shown.high)
    low = f"{fewest} {less}" if re.search("[1-9]", fewest) else "0"
    high = f"{most} {more}" if re.search("[1-9]", most) else "0"
    return f"between {low} and {high}{after}"


def draws_in_words(found: Change) -> str:
    """Return what common draws were worth, as a sentence; empty where nothing varies."""
    if found.n < 2:
        return ""
    if found.is_constant:
        return "Common draws: the difference is the same in every replication." if found.mean else ""
    ratio, r = found.saving, found.correlation
    if ratio is None or r is None:
        return ""
    if ratio <= 1:
        why = "the interval is Welch's" if found.method == "Welch t" else "the interval stays paired"
        return f"Common draws do not help here (correlation {r:.2f}); {why}."
    said, times = (f"{r:.2f}", f"{ratio:.2g}") if ratio < 10 else (f"{r:.3f}", f"{ratio:.0f}")
    return (
        f"Common draws: correlation {said}; independent draws would need {times} times as many replications."
    )


def together(which: str, confidence: float, comparisons: int) -> str:
    """Return with which confidence several figures hold together, and each by itself, as a sentence.

    Examples:
        >>> together("These 2 comparisons", 0.95, 2)
        'These 2 comparisons hold together with 95 % confidence, each by itself with 97.5 %.'
    """
    each = 100 * joint_confidence(confidence, comparisons)
    return f"{which} hold together with {100 * confidence:g} % confidence, each by itself with {each:.4g} %."


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


class _Rounded:
    """How the figures of one estimate are rounded: all alike, and none so that it hides the verdict."""

    def __init__(self, found: Estimate) -> None:
        self.found = found
        self.scale = 100.0 if found.unit == "share" else 1.0
        self.is_change = isinstance(found, Change)
        assert found.mean is not None
        low, high, half = (
            None if value is None else value * self.scale for value in (found.low, found.high, found.half)
        )
        self.places = digits(found.mean * self.scale, low, high, half)
        self.step = rounding_step(found.half, found.low, found.high)

    def text(self, value: float) -> str:
        if self.found.currency:
            return money(value, self.step, self.found.currency, signed=self.is_change)
        said = number(value * self.scale, self.places)
        return f"+{said}" if self.is_change and float(said) > 0 else said


def _read(found: Estimate) -> Estimate:
    """Return an estimate as it is read: shares in percent."""
    return found.scaled(100.0, "%") if found.unit == "share" else found


def money(value: float, step: float | None, currency: str, *, signed: bool = False) -> str:
    """Return an amount of money, rounded to what its interval supports.

    Args:
        value: The amount.
        step: Of what it is a multiple (`rounding_step`); None if it is exact.
        currency: Word or sign of the money; a sign stands close to the figure.
        signed: Whether a plus is written.

    Examples:
        >>> money(1487.2, 100, "EUR", signed=True), money(-96.4, 1, "€"), money(310, None, "EUR")
        ('+EUR 1,500', '-€96', 'EUR 310')
        >>> money(0.85, None, "€"), money(27.94, 0.1, "€")
        ('€0.85', '€27.90')
    """
    if step is None:
        step = 1 if float(value).is_integer() else 0.01
    count = round(value / step)
    said = f"{abs(count) * step:,.{0 if step >= 1 else 2}f}"
    sign = "-" if count < 0 else "+" if signed and count > 0 else ""
    gap = " " if currency[-1:].isalnum() else ""
    return f"{sign}{currency}{gap}{said}"


def rounding_step(
    half_width: float | None, low: float | None = None, high: float | None = None
) -> float | None:
    """Return to which multiple an amount is rounded: one digit of its uncertainty, two if it begins low.

    To whole units at most, but where an end of the interval would read 0 and is not. None for what is exact.

    Examples:
        >>> rounding_step(390.0), rounding_step(280.0), rounding_step(7.0), rounding_step(None)
        (100, 10, 1, None)
        >>> rounding_step(14.0, 0.3, 28.1)
        0.1
    """
    if not half_width:
        return None
    order = math.floor(math.log10(half_width))
    step: float = max(1, 10 ** (order - 1 if half_width / 10.0**order <= 3.5 else order))
    while any(abs(end or 0) >= 0.01 and round((end or 0) / step) == 0 for end in (low, high)):
        step /= 10
    return step


LETTERS = 36  #: Room for a bar.
FULL = 1.25  #: Share of the limit at the right edge.


def bar(share: float, worst: float | None = None) -> str:
    """Return a bar for a load: solid up to ``share``, lighter up to ``worst``, a line at the limit.

    Args:
        share: Load as a share of its limit, >= 0; beyond `FULL` the bar ends in ``>``.
        worst: Largest load of any variant, as a share of the limit.

    Examples:
        >>> bar(0.5)
        '██████████████               │      '
    """
    edge = round(LETTERS / FULL)
    solid = min(LETTERS, round(share * edge))
    light = min(LETTERS, round((worst or 0.0) * edge))
    cells = ["█" if i < solid else "▒" if i < light else " " for i in range(LETTERS)]
    if cells[edge] == " ":
        cells[edge] = "│"
    elif cells[edge] == "▒":
        cells[edge] = "┼"
    if max(share, worst or 0.0) > FULL:
        cells[-1] = ">"
    return "".join(cells)


def legend(limit: str, *, with_worst: bool) -> str:
    """Return what the parts of a bar mean."""
    light = ", ▒ the heaviest variant that is built" if with_worst else ""
    return f"█ weighted by the mix{light}, │ {limit}"
