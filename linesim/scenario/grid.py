"""Tables from CSV files and Excel workbooks, as rows of cells that know where they stand."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from linesim.scenario.files import Found, UnreadableError

ROWS_LIMIT = 200_000  #: Most rows of a table.
COLUMNS_LIMIT = 200  #: Most columns of a table.
_TITLE_ROWS = 10  #: Headings that stand below a title are looked for in so many rows.
_NUMBER = re.compile(r"[+-]?[\d.,]+%?")
_UNPACKED_LIMIT = 100_000_000  #: Largest unpacked workbook [bytes].
_CELL = re.compile(rb'<(?:\w+:)?(?:c|row)\s[^<>]*?\br="([A-Z]*)(\d+)"')


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
class Grid:
    """A table with a heading row.

    Attributes:
        file: Name of the file, for messages.
        heading: Cells of the heading row.
        rows: Cells of each row that is not empty, as many as there are headings.
    """

    file: str
    heading: tuple[Cell, ...]
    rows: tuple[tuple[Cell, ...], ...]


def read_grid(found: Found, *, prefer: str) -> Grid:
    """Return the table in a CSV file or workbook.

    Args:
        found: The file.
        prefer: Sheet that is read if the workbook has one of this name; otherwise the first.

    Raises:
        UnreadableError: If the file is no such table, or too large.
    """
    if found.data.startswith(b"PK\x03\x04") or found.name.lower().endswith(".xlsx"):
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
    return Grid(found.name, heading, tuple(rows))


def _headings_below(filled: Sequence[tuple[int, list[str]]], width: int) -> str:
    """Return where the headings stand if it is not the first row, as below a title; empty if nowhere."""
    for number, row in filled[1:_TITLE_ROWS]:
        names = [cell for cell in row if cell]
        if len(names) > width and not any(_NUMBER.fullmatch(name) for name in names):
            return f"headings stand in row 1, and row {number} looks like them: take out what stands above."
    return ""


def _cell(text: str, number: int, column: int, name: str, sheet: bool) -> Cell:
    if sheet:
        return Cell(text, None, f"cell {_letters(column)}{number}")
    return Cell(text, number, f"row {number}, {name or f'column {column + 1}'}")


def _letters(column: int) -> str:
    """Return a workbook's name of a column counted from 0.

    Examples:
        >>> _letters(0), _letters(26)
        ('A', 'AA')
    """
    text = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


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


def _text(found: Found) -> list[tuple[int, list[str]]]:
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


def _workbook(found: Found, prefer: str) -> list[tuple[int, list[str]]]:
    from python_calamine import CalamineWorkbook

    _refuse_huge(found)
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(found.data))
        names = book.sheet_names
        if not names:
            raise UnreadableError("no-table", "the workbook has no sheet.")
        sheet = book.get_sheet_by_name(prefer if prefer in names else names[0])
        table = sheet.to_python(skip_empty_area=False)
    except UnreadableError:
        raise
    except BaseException as error:
        # The reader is compiled code: what it cannot read may come as a panic, which is no Exception.
        if isinstance(error, KeyboardInterrupt | SystemExit | MemoryError):
            raise
        raise UnreadableError(
            "no-table", "this is no Excel workbook that can be read; save it as .xlsx or CSV."
        ) from None
    return _limited((number, [_plain(value) for value in row]) for number, row in enumerate(table, start=1))


def _refuse_huge(found: Found) -> None:
    """Refuse a workbook that would unpack to more than memory should bear, before it is unpacked."""
    try:
        with zipfile.ZipFile(io.BytesIO(found.data)) as packed:
            parts = packed.infolist()
            if sum(part.file_size for part in parts) > _UNPACKED_LIMIT:
                raise UnreadableError(
                    "too-large", f"unpacked, the workbook has more than {_UNPACKED_LIMIT:,} bytes."
                )
            for part in parts:
                if "worksheets/" in part.filename:
                    with packed.open(part) as stream:
                        _refuse_wide(stream.read(_UNPACKED_LIMIT + 1))
    except UnreadableError:
        raise
    except Exception:
        raise UnreadableError(
            "no-table", "this is no Excel workbook that can be read; save it as .xlsx or CSV."
        ) from None


def _refuse_wide(sheet: bytes) -> None:
    for letters, digits in _CELL.findall(sheet):
        column = 0
        for letter in letters[:6]:
            column = 26 * column + letter - ord("A") + 1
        if column > COLUMNS_LIMIT or len(digits) > 9 or int(digits) > ROWS_LIMIT:
            raise UnreadableError(
                "too-large",
                f"a table may have {ROWS_LIMIT:,} rows and {COLUMNS_LIMIT} columns; this sheet has the cell "
                f"{(letters + digits)[:20].decode()}.",
            )


def _plain(value: object) -> str:
    """Return a workbook's value as the text that a CSV would hold."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return str(value).strip()
