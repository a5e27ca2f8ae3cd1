"""The rows below the headings of a sheet: what is no data is taken out, how figures are written is found."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from linesim.answers.wording import count_of, listed
from linesim.intake.figures import (
    NOTHING,
    UnclearError,
    Writing,
    is_clock,
    number_of,
    seconds_of,
    share_of,
    sign_of,
    unit_in,
)
from linesim.intake.headings import ColumnHeading, Headed
from linesim.intake.sheets import SheetRow, TimeOfDay, Value, rows_in_words, text_of
from linesim.intake.words import SIZES, TIMED, UNITS
from linesim.scenario.problems import shown

_SUM = (
    r"(?:(?:week(?:ly)?|day|daily|month(?:ly)?|shift|line|station|section|page) )?"
    r"(?:grand |sub[- ]?)?(?:totals?|sums?|Σ|∑|average|avg|mean)\b:?"
)
_WHOLE = (
    r"(?: (?:of |per |for )?(?:time|times|work|all|line|station|section|shift|day|week|month|page)\b.{0,20})?"
)
TOTAL = re.compile(_SUM + _WHOLE, re.IGNORECASE)  #: The label of a row that is surely a sum.
MAY_BE_TOTAL = re.compile(_SUM, re.IGNORECASE)  #: The beginning of one that may be.
_ALL_IN = re.compile(r"\b(?:times?|all|values?)\b.{0,20}\bin ([a-z]+)\b", re.IGNORECASE)
_NUMBERS = frozenset({"cv", "people", "places", "late", "early", "jobs", "reworked", "fault_chance"})


class BodyTold:
    """What was changed or left out while a file was read, and what somebody should confirm."""

    def __init__(self) -> None:
        self.changes: list[str] = []
        self.doubts: list[str] = []
        self.settled: dict[str, dict[str, str]] = {}
        self._rows: dict[tuple[str, str], list[int]] = {}

    def change(self, sheet: str, text: str) -> None:
        """Keep what was changed or left out."""
        self.changes.append(f"{shown(sheet)}: {text}" if sheet else f"{text[0].upper()}{text[1:]}")

    def doubt(self, sheet: str, text: str) -> None:
        """Keep what was taken for granted and should be confirmed once."""
        self.doubts.append(f"{shown(sheet)}: {text}" if sheet else f"{text[0].upper()}{text[1:]}")

    def settle(self, kind: str, name: str, value: str) -> None:
        """Keep how the figures of a kind of table are written or meant, for the map."""
        self.settled.setdefault(kind, {})[name] = value

    def row(self, sheet: str, number: int, why: str) -> None:
        """Keep that something befell a row; rows of one fate are told together, by `tell_rows`."""
        self._rows.setdefault((sheet, why), []).append(number)

    def tell_rows(self) -> None:
        """Tell what befell rows, so far."""
        for (sheet, why), numbers in self._rows.items():
            self.change(sheet, f"{rows_in_words(numbers)}: {why}.")
        self._rows.clear()


@dataclass(frozen=True, slots=True)
class Body:
    """The data of a sheet.

    Attributes:
        headed: Sheet and headings, each time with its unit.
        rows: Rows of data.
        writing: How figures are written.
        settled: What a map has kept of how they are written and meant.
    """

    headed: Headed
    rows: tuple[SheetRow, ...]
    writing: Writing
    settled: Mapping[str, str] = field(default_factory=dict)

    @property
    def sheet(self) -> str:
        """Name of the sheet."""
        return self.headed.sheet.name

    def cell(self, row: SheetRow, column: str) -> Value:
        """Return a cell by its column; empty where there is no such column, or nothing stands there."""
        one = self.headed.by_column.get(column)
        value = row.values[one.place] if one is not None else ""
        return "" if isinstance(value, str) and value.casefold() in NOTHING else value

    def text(self, row: SheetRow, column: str) -> str:
        """Return a cell as text."""
        return text_of(self.cell(row, column))

    def seconds(self, row: SheetRow, heading: ColumnHeading) -> Decimal | None:
        """Return the time in a cell [s]; None where it is empty.

        Raises:
            UnclearError: If it holds no time.
        """
        value = row.values[heading.place]
        if isinstance(value, str) and value.casefold() in NOTHING:
            return None
        unit = self.text(row, "unit").casefold().rstrip(".") if "unit" in self.headed.by_column else ""
        return seconds_of(value, UNITS[unit][0] if unit in UNITS else heading.unit, self.writing)

    def number(self, row: SheetRow, column: str, told: BodyTold) -> Decimal | None:
        """Return the number in a cell; None where it is empty, or holds none, which is told."""
        value = self.cell(row, column)
        if value == "":
            return None
        try:
            return number_of(value, self.writing)
        except UnclearError:
            head = self.headed.by_column[column].text
            told.row(self.sheet, row.number, f"{head} {shown(text_of(value))} is no number and is left out")
            return None

    def percents(self, names: Iterable[str]) -> frozenset[str]:
        """Return the columns of shares that are in percent: by their heading, or as one is above 1."""
        found = set()
        for name in names:
            if (one := self.headed.by_column.get(name)) is not None:
                numbers = (self.number(row, name, BodyTold()) for row in self.rows)
                if one.unit == "%" or any(number is not None and number > 1 for number in numbers):
                    found.add(name)
        return frozenset(found)

    def share(self, row: SheetRow, column: str, percents: frozenset[str], told: BodyTold) -> Decimal | None:
        """Return the share in a cell; None where it is empty, or holds none from 0 to 1, which is told."""
        value = self.cell(row, column)
        if value == "":
            return None
        try:
            share = share_of(value, self.writing, percent=column in percents)
            if 0 <= share <= 1:
                return share
        except UnclearError:
            pass
        head = self.headed.by_column[column].text
        told.row(self.sheet, row.number, f"{head} {shown(text_of(value))} is no share and is left out")
        return None


def body_of(headed: Headed, settled: Mapping[str, str], told: BodyTold) -> Body:
    """Return the data of a sheet.

    Args:
        headed: Sheet and headings.
        settled: How figures are written and meant, as a map has kept it.
        told: Where changes and doubts go.
    """
    sheet = headed.sheet
    for text in sheet.told:
        told.change(sheet.name, f"{text[0].lower()}{text[1:]}".rstrip(".") + ".")
    above = list(sheet.rows[: headed.at])
    if above:
        words = [text for row in above for text in dict.fromkeys(row.texts) if text]
        told.change(
            sheet.name, f"{rows_in_words([row.number for row in above])} above the headings: {_few(words)}."
        )
    for one in headed.headings:
        if one.how == "double":
            told.doubt(sheet.name, f"{shown(one.text)} means what another column means better; not read.")
    if own := [one for one in headed.by_variant.values() if one.how == "only"]:
        texts, of = [shown(one.text) for one in own], [one.of for one in own]
        told.doubt(sheet.name, f"{listed(texts)}: read as times of {listed(of)} alone.")
    names = sheet.rows[headed.at].texts
    rows = []
    for row in sheet.rows[headed.first :]:
        if row.texts == names:
            told.row(sheet.name, row.number, "the headings once more, left out")
        elif row.filled and all(text == "" or k in row.filled for k, text in enumerate(row.texts)):
            continue  # only what is merged with a row above
        else:
            rows.append(row)
    body = Body(headed, tuple(rows), Writing())
    return _with_units(_with_writing(body, settled, told), above, told)


def _with_writing(body: Body, settled: Mapping[str, str], told: BodyTold) -> Body:
    """Return the body with how its figures are written."""
    headings = [one for one in body.headed.headings if one.column in TIMED or one.column in _NUMBERS]
    cells = [row.values[one.place] for row in body.rows for one in headings]
    kind = body.headed.kind
    sign = settled.get("decimal", "")
    if sign not in (".", ","):
        sign, unsure = sign_of(cells, usual="," if body.headed.sheet.comma_apart else ".")
        if unsure:
            told.doubt(body.sheet, unsure)
            told.settle(kind, "decimal", sign)
    timed = [one.place for one in headings if one.column in TIMED and one.column != "stop"]
    clocks = [row.values[k] for row in body.rows for k in timed if is_clock(row.values[k])]
    has_seconds = any(isinstance(one, TimeOfDay) and one.seconds for one in clocks)
    clock = settled.get("clock", "")
    if clock not in ("m:ss", "h:mm"):
        clock = "h:mm" if has_seconds else "m:ss"
        if clocks and not has_seconds:
            told.settle(kind, "clock", clock)
            example = clocks[0]
            minutes, seconds = divmod(seconds_of(example, "s", Writing()), 60)
            told.doubt(
                body.sheet,
                f"{text_of(example)} is read as {f'{minutes} min ' if minutes else ''}{seconds} s "
                f"({count_of(len(clocks), 'cell')}).",
            )
    writing = Writing("," if sign == "," else ".", "h:mm" if clock == "h:mm" else "m:ss")
    return replace(body, writing=writing, settled=settled)


def _with_units(body: Body, above: Sequence[SheetRow], told: BodyTold) -> Body:
    """Return the body with a unit for every column of times; one that nothing says is guessed, and told."""
    said = [match[1].lower() for row in above for text in row.texts if (match := _ALL_IN.search(text))]
    common = next((UNITS[one][0] for one in said if one in UNITS), "")
    headings: list[ColumnHeading] = []
    guessed = ""
    has_column = "unit" in body.headed.by_column
    for one in body.headed.headings:
        unit = one.unit
        if one.column in TIMED and unit not in SIZES:
            before = next((other.unit for other in headings if other.column in TIMED), "")
            unit = common or guessed or ("s" if has_column else before)
            if not unit:
                values = [row.values[one.place] for row in body.rows]
                found = (_number(value, body.writing) for value in values if not unit_in(value))
                numbers = [number for number in found if number is not None]
                is_small = bool(numbers) and max(numbers) < _FEW_MINUTES
                unit = guessed = "min" if one.column == "stop" or is_small else "s"
                if numbers:
                    told.doubt(
                        body.sheet,
                        f"{shown(one.text)} names no unit; its figures ({min(numbers):f} to "
                        f"{max(numbers):f}) are read as {'minutes' if unit == 'min' else 'seconds'}.",
                    )
        headings.append(replace(one, unit=unit))
    return replace(body, headed=replace(body.headed, headings=tuple(headings)))


_FEW_MINUTES = 10  #: Times that all are below this are minutes where nothing names a unit.


def _number(value: Value, writing: Writing) -> Decimal | None:
    try:
        return number_of(value, writing)
    except UnclearError:
        return None


def is_total(row: SheetRow, names: Iterable[int]) -> bool:
    """Return whether a row is a sum by its label, and names nothing besides.

    Args:
        row: The row.
        names: Places of the columns that name what a row is about.
    """
    texts = [text for text in row.texts if text]
    found = TOTAL.fullmatch(texts[0]) if texts else None
    here = [place for place in names if row.texts[place] and place not in row.filled]
    return (
        found is not None and len(here) <= 1 and (not here or TOTAL.fullmatch(row.texts[here[0]]) is not None)
    )


def _few(words: Sequence[str]) -> str:
    more = f" and {len(words) - 3} more" if len(words) > 3 else ""
    return f"{listed([shown(word) for word in words[:3]])}{more}"
