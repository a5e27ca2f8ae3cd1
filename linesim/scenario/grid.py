"""Tables from CSV files and Excel workbooks, as rows of cells that know where they stand."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from linesim.scenario.files import FoundFile
from linesim.scenario.problems import UnreadableError
from linesim.scenario.workbook import (
    COLUMNS_LIMIT,
    ROWS_LIMIT,
    is_workbook,
    letters_of,
    open_workbook,
    values_of,
)

_TITLE_ROWS = 10  #: Headings that stand below a title are looked for in so many rows.
_NUMBER = re.compile(r"[+-]?[\d.,]+%?")


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell.

    Attributes:
        text: Its content without blanks around it; empty if there is none.
        line: Line of the file; `None` in a workbook.
        place: `row 7, mean_s` in a text file, `cell C7` in a workbook.
    """

    text: str
    line: int | None
    place: str


@dataclass(frozen=True, slots=True)
class CellGrid:
    """A table with a heading row.

    Attributes:
        file: Name of the file, for messages.
        heading: Cells of the heading row.
        rows: Cells of each row that is not empty, as many as there are headings.
    """

    file: str
    heading: tuple[Cell, ...]
    rows: tuple[tuple[Cell, ...], ...]


def read_grid(found: FoundFile, *, prefer: str) -> CellGrid:
    """Return the table in a CSV file or workbook.

    Args:
        found: The file.
        prefer: Sheet that is read if the workbook has one of this name; otherwise the first.

    Raises:
        UnreadableError: If the file is no such table, or too large.
    """
    if is_workbook(found):
        lines, sheet = _workbook(found, prefer), True
    else:
        lines, sheet = _text(found), False
    filled = [(number, row) for number, row in lines if any(row)]
    if not filled:
        raise UnreadableError("empty-table", "the table is empty; the first row must hold the headings.")
    number, names = filled[0]
    width = max((at + 1 for at, name in enumerate(names) if name), default=0)
    heading = tuple(_cell(name, number, at, name, sheet) for at, name in enumerate(names[:width]))
    rows = []
    for number, row in filled[1:]:
        if any(row[width:]):
            place = _cell("", number, width, f"column {width + 1}", sheet).place
            mend = _headings_below(filled, width) or (
                "give every column a heading." if sheet else "text with a comma needs quotes."
            )
            raise UnreadableError(
                "ragged-row",
                f"{place}: this row has more cells than there are headings; {mend}",
                None if sheet else number,
            )
        cells = [*row, *[""] * (width - len(row))]
        rows.append(tuple(_cell(cells[at], number, at, names[at], sheet) for at in range(width)))
    return CellGrid(found.name, heading, tuple(rows))


def _headings_below(filled: Sequence[tuple[int, list[str]]], width: int) -> str:
    """Return where the headings stand if it is not the first row, as below a title; empty if nowhere."""
    for number, row in filled[1:_TITLE_ROWS]:
        names = [cell for cell in row if cell]
        if len(names) > width and not any(_NUMBER.fullmatch(name) for name in names):
            return (
                f"headings stand in row 1, and row {number} looks like them: take out what stands above, or "
                "read the file with linesim import."
            )
    return ""


def _cell(text: str, number: int, column: int, name: str, sheet: bool) -> Cell:
    if sheet:
        return Cell(text, None, f"cell {letters_of(column)}{number}")
    return Cell(text, number, f"row {number}, {name or f'column {column + 1}'}")


def _limited(rows: Iterable[tuple[int, list[str]]]) -> list[tuple[int, list[str]]]:
    kept: list[tuple[int, list[str]]] = []
    for number, row in rows:
        if len(kept) >= ROWS_LIMIT or len(row) > COLUMNS_LIMIT:
            raise UnreadableError(
                "too-large",
                f"a table may have {ROWS_LIMIT:,} rows and {COLUMNS_LIMIT} columns, this one has more.",
            )
        kept.append((number, row))
    return kept


def _text(found: FoundFile) -> list[tuple[int, list[str]]]:
    text = found.text()
    first = text.lstrip("\r\n").split("\n", 1)[0]
    comma = max(",;\t", key=lambda mark: (first.count(mark), mark == ","))
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=comma, strict=True)

    def rows() -> Iterable[tuple[int, list[str]]]:
        line = 1
        for row in reader:
            yield line, [cell.strip() for cell in row]
            line = reader.line_num + 1

    try:
        return _limited(rows())
    except csv.Error as error:
        raise UnreadableError(
            "no-table",
            f"this is no CSV ({error}); cells are separated by commas, text with a comma or a quote "
            "stands in quotes.",
            reader.line_num,
        ) from None


def _workbook(found: FoundFile, prefer: str) -> list[tuple[int, list[str]]]:
    book = open_workbook(found)
    names = book.sheet_names
    table = values_of(book, prefer if prefer in names else names[0])
    return _limited((number, [_plain(value) for value in row]) for number, row in enumerate(table, start=1))


def _plain(value: object) -> str:
    """Return a workbook's value as the text that a CSV would hold."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return str(value).strip()
