"""What a cell of a plant's table says: numbers with decimal commas, times with units, 1:15, shares, lists."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from types import MappingProxyType
from typing import Literal

from linesim.intake.sheets import Odd, TimeOfDay, Value, text_of
from linesim.intake.words import SIZES, UNITS

Sign = Literal[".", ","]
#: How ``1:15`` is read: minutes and seconds, or hours and minutes.
ClockKind = Literal["m:ss", "h:mm"]
NOTHING = frozenset({"", "-", "–", "—", "n/a", "na", "tbd", "?", "none", "nil", "open", "..."})
_LONGEST = 60  #: Longer texts hold no figure.
_ABOUT = re.compile(r"^(?:ca\.?|approx\.?|about|circa|~|≈)\s*", re.IGNORECASE)
_NUMBER = re.compile(r"[+-]?\d[\d.,'’\u00a0\u202f ]*\d|[+-]?\d|[+-]?[.,]\d+")
_AMOUNT = re.compile(r"([+-]?[\d.,'’\u00a0\u202f ]*\d)\s*([A-Za-z%]+)?\.?")
_CLOCK = re.compile(r"(?:(\d{1,3}):)?(\d{1,3}):([0-5]?\d)(?:[.,](\d{1,3}))?")
_MARKED = re.compile(r"(\d{1,3})\s*(?:'|′|’)\s*(?:(\d{1,2}(?:[.,]\d+)?)\s*(?:''|\"|″|”))?")
_PARTS = re.compile(
    r"(\d+)\s*(?:min|m|minutes?)\.?\s*(\d+(?:[.,]\d+)?)\s*(?:s|sec|seconds?)\.?", re.IGNORECASE
)
_LISTED = re.compile(r"\s*[;,/+|]\s*|\s+and\s+|\s+&\s+")
_YES = frozenset({"yes", "y", "x", "1", "true", "✓", "✔", "•", "✗"})
_NO = frozenset({"", "no", "n", "0", "false", "-", "–"})
_SIZE: Mapping[str, Decimal] = MappingProxyType({name: Decimal(f"{size:g}") for name, size in SIZES.items()})


class UnclearError(ValueError):
    """A cell does not say what its column should."""


@dataclass(frozen=True, slots=True)
class Writing:
    """How figures are written in a sheet.

    Attributes:
        sign: The decimal sign of texts.
        clock: How ``1:15`` is read.
    """

    sign: Sign = "."
    clock: ClockKind = "m:ss"


def sign_of(values: Iterable[Value], *, usual: Sign) -> tuple[Sign, str]:
    """Return which decimal sign texts have, and a sentence where they do not tell.

    Args:
        values: Cells of the columns of numbers.
        usual: What is taken where the cells do not tell.
    """
    votes: dict[Sign, list[str]] = {".": [], ",": []}
    unclear = []
    texts = [value for value in values if isinstance(value, str) and len(value) < _LONGEST]
    for number in (number for text in texts for number in _NUMBER.findall(text)):
        signs = [letter for letter in number if letter in ".,"]
        if not signs:
            continue
        last: Sign = "," if signs[-1] == "," else "."
        is_below_1 = signs == [last] and number.lstrip("+-").startswith(("0", last))
        if len(set(signs)) == 2 or len(number) - 1 - number.rindex(last) != 3 or is_below_1:
            votes[last].append(number)
        elif len(signs) > 1:
            votes["." if last == "," else ","].append(number)
        else:
            unclear.append(number)
    if votes["."] and votes[","]:
        also = f", {unclear[0]} with a decimal {_word(usual)}" if unclear else ""
        side = f"({votes[','][0]}, {votes['.'][0]})"
        return usual, f"Decimal commas and points stand side by side {side}: each is read by itself{also}."
    for sign in votes:
        if votes[sign]:
            return sign, ""
    if not unclear:
        return usual, ""
    return usual, f"{unclear[0]} may be a decimal or a thousand: it is read with a decimal {_word(usual)}."


def _word(sign: Sign) -> str:
    return "comma" if sign == "," else "point"


def number_of(value: Value, writing: Writing) -> Decimal:
    """Return the number that a cell holds.

    Examples:
        >>> number_of("12,5", Writing(",")), number_of("1.234,5", Writing(",")), number_of("1 250", Writing())
        (Decimal('12.5'), Decimal('1234.5'), Decimal('1250'))

    Raises:
        UnclearError: If it holds none.
    """
    if isinstance(value, float):
        return Decimal(text_of(value))
    if isinstance(value, Odd | TimeOfDay):
        raise UnclearError(str(value))
    text = _ABOUT.sub("", value.strip())
    if len(text) >= _LONGEST or not _NUMBER.fullmatch(text):
        raise UnclearError(value)
    plain = re.sub("[ '’\u00a0\u202f]", "", text)
    signs = {letter for letter in plain if letter in ".,"}
    last = max(signs, key=plain.rindex, default="")
    tail = len(plain) - 1 - plain.rindex(last) if last else 0
    if len(signs) == 2:
        point = last
    elif last and (plain.count(last) > 1 or (tail == 3 and last != writing.sign)):
        point = ""
    else:
        point = last
    for letter in signs - {point}:
        plain = plain.replace(letter, "")
    try:
        return Decimal(plain.replace(point, ".") if point else plain)
    except InvalidOperation:
        raise UnclearError(value) from None


def seconds_of(value: Value, unit: str, writing: Writing) -> Decimal:
    r"""Return the time that a cell holds [s].

    Args:
        value: The cell; a unit of its own goes before that of the heading.
        unit: Unit of the heading.
        writing: How figures are written.

    Examples:
        >>> seconds_of("1:15", "s", Writing()), seconds_of("1,5 min", "s", Writing(","))
        (Decimal('75'), Decimal('90.0'))
        >>> seconds_of("1 min 20 s", "s", Writing()), seconds_of("1'30\"", "s", Writing())
        (Decimal('80'), Decimal('90'))

    Raises:
        UnclearError: If it holds none, or a negative one.
    """
    if isinstance(value, TimeOfDay):
        if writing.clock == "m:ss" and not value.seconds:
            return Decimal(60 * value.hours + value.minutes)
        return Decimal(3600 * value.hours + 60 * value.minutes) + Decimal(f"{value.seconds:.10g}")
    if isinstance(value, str) and len(value) >= _LONGEST:
        raise UnclearError(value)
    if isinstance(value, str) and (found := _clock_of(_ABOUT.sub("", value.strip()), writing)) is not None:
        return found
    if isinstance(value, str) and (amount := _AMOUNT.fullmatch(_ABOUT.sub("", value.strip()))) and amount[2]:
        if amount[2].lower() not in UNITS:
            raise UnclearError(value)
        value, unit = amount[1], UNITS[amount[2].lower()][0]
    seconds = number_of(value, writing) * _SIZE[unit]
    if seconds < 0:
        raise UnclearError(text_of(value))
    return seconds


def _clock_of(text: str, writing: Writing) -> Decimal | None:
    if found := _CLOCK.fullmatch(text):
        part = Decimal(f"0.{found[4]}") if found[4] else Decimal(0)
        if found[1] is None and writing.clock == "h:mm":
            return Decimal(3600 * int(found[2]) + 60 * int(found[3])) + part
        return Decimal(3600 * int(found[1] or 0) + 60 * int(found[2]) + int(found[3])) + part
    if found := _MARKED.fullmatch(text):
        return 60 * Decimal(found[1]) + Decimal((found[2] or "0").replace(",", "."))
    if found := _PARTS.fullmatch(text):
        return 60 * Decimal(found[1]) + Decimal(found[2].replace(",", "."))
    return None


def is_clock(value: Value) -> bool:
    """Return whether a cell is written like ``1:15``, so that it may be minutes or hours."""
    if isinstance(value, TimeOfDay):
        return True
    found = _CLOCK.fullmatch(value.strip()) if isinstance(value, str) and len(value) < _LONGEST else None
    return found is not None and found[1] is None


def unit_in(value: Value) -> bool:
    """Return whether a cell of a time names its own unit, or is written as a clock shows it."""
    if isinstance(value, TimeOfDay):
        return True
    if not isinstance(value, str) or len(value) >= _LONGEST:
        return False
    text = _ABOUT.sub("", value.strip())
    amount = _AMOUNT.fullmatch(text)
    return bool(amount and amount[2]) or _clock_of(text, Writing()) is not None


def share_of(value: Value, writing: Writing, *, percent: bool) -> Decimal:
    """Return the share that a cell holds; in percent if its heading or the cell says so, or it is above 1.

    Raises:
        UnclearError: If it holds none.
    """
    text = value.strip() if isinstance(value, str) else ""
    if text.endswith("%"):
        return number_of(text[:-1], writing) / 100
    found = number_of(value, writing)
    return found / 100 if percent and found > 0 else found


def flag_of(value: Value) -> bool | None:
    """Return a cell's yes or no; None if it says neither."""
    word = text_of(value).casefold()
    return True if word in _YES else False if word in _NO else None


def parts_of(value: Value) -> list[str]:
    """Return the parts of a cell that holds a list.

    Examples:
        >>> parts_of("cab; loader"), parts_of("10, 20"), parts_of(30.0)
        (['cab', 'loader'], ['10', '20'], ['30'])
    """
    text = text_of(value)
    return [] if text.casefold() in NOTHING else [part for part in _LISTED.split(text) if part]


def written(value: Decimal) -> str:
    """Return a number as tables have it: a decimal point, no more digits than it has.

    Examples:
        >>> written(Decimal("12.50")), written(Decimal("1E+2"))
        ('12.5', '100')
    """
    text = f"{round(value, 6):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


_SIGNS = re.compile(r"[^\w]+")


def name_of(text: str, taken: Sequence[str] | frozenset[str] | set[str] = ()) -> str:
    """Return a name that a scenario takes for a text, other than those that are taken.

    Examples:
        >>> name_of("Bolt cab (4 x M12)"), name_of("Bolt cab", {"bolt-cab"}), name_of("K1")
        ('bolt-cab-4-x-m12', 'bolt-cab-2', 'K1')
        >>> name_of("<b>Seat</b> & belt"), name_of("...")
        ('b-seat-b-belt', 'item')
    """
    words = text_of(text)
    if not re.fullmatch(r"[^\W_][\w-]{0,63}", words):
        words = _SIGNS.sub("-", words.casefold()).strip("-_")
        while len(words) > 40:
            words = words[:40].rpartition("-")[0] or words[:40]
    base = words or "item"
    name, number = base, 2
    while name in taken:
        name, number = f"{base}-{number}", number + 1
    return name
