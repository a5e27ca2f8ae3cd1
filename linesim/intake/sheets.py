"""Sheets of a workbook or CSV file as people see them: without what is hidden, merged cells filled."""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property
from typing import NamedTuple

from linesim.answers.wording import count_of, listed
from linesim.errors import ScenarioError, hidden_sign
from linesim.scenario.files import TABLE_LIMIT, FoundFile
from linesim.scenario.grid import (
    COLUMNS_LIMIT,
    SheetLayout,
    is_workbook,
    layouts_of,
    letters_of,
    open_workbook,
    values_of,
)
from linesim.scenario.problems import Notes, UnreadableError, shown

LIMIT = 40_000_000  #: Largest workbook, unpacked [bytes].
ROWS = 20_000  #: Most rows of a sheet.
MOST_SHEETS = 100  #: Most sheets of a workbook.
_PAIR = re.compile(r"\s*(\d{1,9}),\d{1,9}\s*")
_MARKS = ";\t,|"  #: What may stand between the cells of a CSV file.
_HIDES = dict.fromkeys([*range(32), *range(127, 160), *range(0x202A, 0x202F), *range(0x2066, 0x206A)], " ")


class TimeOfDay(NamedTuple):
    """A time of day or length of time, as a workbook keeps what looks like ``1:15``."""

    hours: int
    minutes: int
    seconds: float

    def __str__(self) -> str:
        if self.seconds:
            return f"{self.hours}:{self.minutes:02d}:{self.seconds:02g}"
        return f"{self.hours}:{self.minutes:02d}"


class Odd(NamedTuple):
    """A cell whose value is missing.

    Attributes:
        why: What stands there instead.
    """

    why: str

    def __str__(self) -> str:
        return self.why


Value = str | float | TimeOfDay | Odd  #: What a cell holds; an empty text where it holds nothing.


@dataclass(frozen=True)
class SheetRow:
    """A row as it is seen.

    Attributes:
        number: Its number in the sheet, counted from 1.
        values: Its cells.
        filled: Columns whose value stands in a merged cell that begins above.
        spread: Columns whose cell is merged with the one before it.
    """

    number: int
    values: tuple[Value, ...]
    filled: frozenset[int] = frozenset()
    spread: frozenset[int] = frozenset()

    @cached_property
    def texts(self) -> tuple[str, ...]:
        """The cells as text."""
        return tuple(text_of(value) for value in self.values)


@dataclass(frozen=True, slots=True)
class SheetCells:
    """A sheet without what is hidden.

    Attributes:
        name: Its name; empty for a CSV file.
        rows: Rows that hold something.
        columns: Letters of the columns that are left, by their place.
        told: What was left out or changed, in sentences.
        comma_apart: Whether it is a text with semicolons between its cells, where a comma is a decimal sign.
    """

    name: str
    rows: tuple[SheetRow, ...]
    columns: tuple[str, ...]
    told: tuple[str, ...]
    comma_apart: bool = False


def text_of(value: Value) -> str:
    r"""Return a cell as text on one line, without signs that hide what stands around them.

    Examples:
        >>> text_of(12.0), text_of(0.1 + 0.2), text_of(TimeOfDay(1, 15, 0)), text_of(" a\n b")
        ('12', '0.3', '1:15', 'a b')
    """
    if isinstance(value, float):
        return f"{value:.10g}" if abs(value) < 1e10 else f"{value:.0f}"
    return " ".join(str(value).translate(_HIDES).split())


def read_sheets(found: FoundFile, *, hidden: bool = False) -> tuple[tuple[SheetCells, ...], tuple[str, ...]]:
    """Return the sheets of a file, and what was left out of the file as a whole.

    Args:
        found: Its bytes.
        hidden: Whether hidden sheets, rows and columns are read too.

    Raises:
        ScenarioError: If it is no table, or too large.
    """
    try:
        if len(found.data) > TABLE_LIMIT:
            raise UnreadableError("too-large", f"the file is larger than {TABLE_LIMIT:,} bytes.")
        return _workbook(found, hidden=hidden) if is_workbook(found) else _text(found)
    except UnreadableError as error:
        notes = Notes()
        notes.of_file(found.name, error)
        raise ScenarioError(notes.sorted([found.name])) from None


def _workbook(found: FoundFile, *, hidden: bool) -> tuple[tuple[SheetCells, ...], tuple[str, ...]]:
    book = open_workbook(found, limit=LIMIT)
    layouts = layouts_of(found)
    told = []
    sheets = []
    if len(book.sheets_metadata) > MOST_SHEETS:
        raise UnreadableError("too-large", f"a workbook may have {MOST_SHEETS} sheets, this one has more.")
    unseen = [one.name for one in book.sheets_metadata if "Visible" not in str(one.visible).split(".")]
    if unseen and not hidden:
        told.append(f"Hidden sheets are left out: {listed([shown(name) for name in unseen])}.")
    for one in book.sheets_metadata:
        if one.name not in layouts or (one.name in unseen and not hidden):
            continue
        merged = book.get_sheet_by_name(one.name).merged_cell_ranges or []
        values = values_of(book, one.name)
        sheets.append(_sheet(one.name, values, layouts[one.name], merged, hidden=hidden))
    return tuple(sheets), tuple(told)


def _sheet(
    name: str,
    values: Sequence[Sequence[object]],
    layout: SheetLayout,
    merged: Sequence[tuple[tuple[int, int], tuple[int, int]]],
    *,
    hidden: bool,
) -> SheetCells:
    if len(values) > ROWS:
        raise UnreadableError("too-large", f"the sheet {shown(name)} has more than {ROWS:,} rows.")
    width = max((len(row) for row in values), default=0)
    table: list[list[Value]] = [[_value(one) for one in row] + [""] * (width - len(row)) for row in values]
    told = []
    for row, column, why in layout.odd:
        if row < len(table) and column < width:
            table[row][column] = Odd(why)
    lost = [f"{letters_of(column)}{row + 1}" for row, column, why in layout.odd if not why.startswith("#")]
    if lost:
        told.append(
            f"{count_of(len(lost), 'formula has', 'formulas have')} no value ({_some(lost)}): open the "
            "workbook in the program that it was made with, let it compute, and save it."
        )
    filled: dict[int, set[int]] = {}
    spread: dict[int, set[int]] = {}
    area = sum((bottom - top + 1) * (right - left + 1) for (top, left), (bottom, right) in merged)
    if area > ROWS * COLUMNS_LIMIT:
        raise UnreadableError("too-large", f"the merged cells of the sheet {shown(name)} are too large.")
    for (top, left), (bottom, right) in merged:
        if top >= len(table) or left >= width or table[top][left] == "":
            continue
        for row in range(top, min(bottom, len(table) - 1) + 1):
            if row > top:
                table[row][left] = table[top][left]
                filled.setdefault(row, set()).add(left)
            spread.setdefault(row, set()).update(range(left + 1, min(right, width - 1) + 1))
    kept = [k for k in range(width) if hidden or k not in layout.hidden_columns]
    gone = [k for k in range(width) if k not in kept and any(row[k] != "" for row in table)]
    if gone:
        told.append(f"Hidden columns are left out: {listed([letters_of(k) for k in gone])}.")
    rows = []
    unseen = []
    for number, cells in enumerate(table):
        if not any(cells[k] != "" for k in kept):
            continue
        if number in layout.hidden_rows and not hidden:
            unseen.append(number + 1)
            continue
        marks = (
            frozenset(place for place, k in enumerate(kept) if k in some.get(number, ()))
            for some in (filled, spread)
        )
        rows.append(SheetRow(number + 1, tuple(cells[k] for k in kept), *marks))
    if unseen:
        told.append(f"Hidden rows are left out: {rows_in_words(unseen)}.")
    return SheetCells(name, tuple(rows), tuple(letters_of(k) for k in kept), tuple(told))


def _value(value: object) -> Value:
    """Return a workbook's value as one of ours."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return float(value)
    if isinstance(value, timedelta):
        whole, seconds = divmod(value.total_seconds(), 60)
        return TimeOfDay(int(whole) // 60, int(whole) % 60, seconds)
    if isinstance(value, time):
        return TimeOfDay(value.hour, value.minute, value.second + value.microsecond / 1e6)
    if isinstance(value, datetime):
        is_day = value.time() == time()
        return value.date().isoformat() if is_day else value.isoformat(" ", "minutes")
    if isinstance(value, date):
        return value.isoformat()
    return text_of("" if value is None else str(value))


def _text(found: FoundFile) -> tuple[tuple[SheetCells, ...], tuple[str, ...]]:
    told = []
    if found.data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        text = found.data.decode("utf-16", "replace")
    else:
        try:
            text = found.text()
        except UnreadableError:
            if b"\0" in found.data:
                raise UnreadableError(
                    "no-table", "this is neither text nor an Excel workbook (.xlsx); save it as one of them."
                ) from None
            text = found.data.decode("cp1252", "replace")
            told.append("The file is no UTF-8; it is read as Windows text (code page 1252).")
    lines = [line for line in text.splitlines()[:50] if line.strip()]
    mark = max(_MARKS, key=lambda one: (_apart(lines, one), -_MARKS.index(one)))
    pairs = [_PAIR.fullmatch(line) for line in lines if "," in line]
    counts = [int(one[1]) for one in pairs if one] == list(range(1, len(pairs) + 1))
    if mark == "," and all(pairs) and (len(pairs) < len(lines) or not counts):
        mark = ";"
        told.append(f"{next(line for line in lines if ',' in line).strip()} is one figure, decimal comma.")
    reader = csv.reader(io.StringIO(text.lstrip("\ufeff"), newline=""), delimiter=mark)
    rows: list[tuple[int, list[str]]] = []
    width = 0
    try:
        number = 1
        for row in reader:
            cells = [text_of(cell) for cell in row[: COLUMNS_LIMIT + 1]]
            while cells and not cells[-1]:
                cells.pop()
            width = max(width, len(cells))
            if len(rows) >= ROWS or width > COLUMNS_LIMIT:
                raise UnreadableError(
                    "too-large",
                    f"a table may have {ROWS:,} rows and {COLUMNS_LIMIT} columns, this one has more.",
                )
            if cells:
                rows.append((number, cells))
            number = reader.line_num + 1
    except csv.Error as error:
        raise UnreadableError("no-table", f"this is no CSV ({error}).", reader.line_num) from None
    sheet = SheetCells(
        "",
        tuple(SheetRow(n, (*cells, *[""] * (width - len(cells)))) for n, cells in rows),
        tuple(f"column {k + 1}" for k in range(width)),
        (),
        comma_apart=mark != ",",
    )
    return (sheet,), tuple(told)


def _apart(lines: Sequence[str], mark: str) -> float:
    """Return how well a sign parts lines into cells: the usual number of them, where many lines agree."""
    counts = sorted(line.count(mark) for line in lines)
    if not counts:
        return 0.0
    middle = counts[len(counts) // 2]
    return middle * sum(count == middle for count in counts) / len(counts)


def rows_in_words(numbers: Sequence[int]) -> str:
    """Return numbers of rows, runs of them joined.

    Examples:
        >>> rows_in_words([1, 2, 3, 7]), rows_in_words([4])
        ('rows 1 to 3, 7', 'row 4')
    """
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    texts = [f"{run[0]}" if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs]
    return f"row{'' if len(set(numbers)) == 1 else 's'} {_some(texts, 8)}"


def _some(texts: Sequence[str], most: int = 4) -> str:
    more = f" and {len(texts) - most} more" if len(texts) > most else ""
    return f"{', '.join(texts[:most])}{more}"


def safe_text(text: str) -> str:
    """Return a text that no program takes for a formula, of bearable length.

    Examples:
        >>> safe_text("=2+3"), safe_text("- bolt cab"), safe_text("@seat")
        ('2+3', 'bolt cab', 'seat')
    """
    assert not hidden_sign(text_of(text))
    return text_of(text).lstrip("=+-@' \t")[:200]
