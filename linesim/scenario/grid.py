"""Tables from CSV files and Excel workbooks, as rows of cells that know where they stand."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from linesim.scenario.files import FoundFile
from linesim.scenario.problems import UnreadableError

if TYPE_CHECKING:
    from python_calamine import CalamineWorkbook


ROWS_LIMIT = 200_000  #: Most rows of a table.
COLUMNS_LIMIT = 200  #: Most columns of a table.
UNPACKED_LIMIT = 100_000_000  #: Largest unpacked workbook [bytes].
_PIECE = 1_000_000  #: Unpacked at once [bytes].
_CELL = re.compile(rb'<(?:\w+:)?(?:c|row)\s[^<>]*?\br="([A-Z]*)(\d+)"')
_PLACE = re.compile(r"([A-Z]{1,3})(\d{1,7})")
_NO_WORKBOOK = "this is no Excel workbook that can be read; save it as .xlsx or CSV."
_ODD = frozenset({"#N/A", "#DIV/0!", "#REF!", "#NAME?", "#NULL!", "#NUM!", "#VALUE!"})


def is_workbook(found: FoundFile) -> bool:
    """Return whether a file is an Excel workbook, by its first bytes or its name."""
    return found.data.startswith(b"PK\x03\x04") or found.name.lower().endswith(".xlsx")


def open_workbook(found: FoundFile, *, limit: int = UNPACKED_LIMIT) -> CalamineWorkbook:
    """Return a workbook whose size has been checked.

    Args:
        found: The file.
        limit: Largest size of all its parts, unpacked [bytes].

    Raises:
        UnreadableError: If it is no workbook, or too large.
    """
    from python_calamine import CalamineWorkbook

    _refuse_huge(found, limit)
    with _readable():
        book = CalamineWorkbook.from_filelike(io.BytesIO(found.data))
        if not book.sheet_names:
            raise UnreadableError("no-table", "the workbook has no sheet.")
        return book


def values_of(book: CalamineWorkbook, name: str) -> Sequence[Sequence[object]]:
    """Return the values of a sheet from its first row and column on; what a formula gave last is its value.

    Raises:
        UnreadableError: If it cannot be read.
    """
    with _readable():
        return book.get_sheet_by_name(name).to_python(skip_empty_area=False)


class _readable:  # noqa: N801 - reads as a statement
    """Turns what the compiled reader raises into a message; it may come as a panic, which is no Exception."""

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, _: object) -> None:
        passes = (UnreadableError, KeyboardInterrupt, SystemExit, MemoryError)
        if error is not None and not isinstance(error, passes):
            raise UnreadableError("no-table", _NO_WORKBOOK) from None


def letters_of(column: int) -> str:
    """Return a workbook's name of a column counted from 0.

    Examples:
        >>> letters_of(0), letters_of(26)
        ('A', 'AA')
    """
    text = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """What a sheet says besides its values; rows and columns counted from 0.

    Attributes:
        hidden_rows, hidden_columns: Those that nobody sees.
        odd: Cells without a value that should have one: a formula that was never computed, an error.
    """

    hidden_rows: frozenset[int]
    hidden_columns: frozenset[int]
    odd: tuple[tuple[int, int, str], ...]


def layouts_of(found: FoundFile) -> dict[str, SheetLayout]:
    """Return the layout of every worksheet of a checked workbook, by the names of the sheets.

    Raises:
        UnreadableError: If a part is no plain XML.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(found.data)) as packed:
            names = packed.namelist()
            targets = {
                _attribute(one, "Id"): _attribute(one, "Target")
                for one in _elements(packed, "xl/_rels/workbook.xml.rels", "Relationship")
            }
            found_here = {}
            for one in _elements(packed, "xl/workbook.xml", "sheet"):
                target = targets.get(_attribute(one, "id"), "")
                part = target.removeprefix("/") if target.startswith("/") else f"xl/{target}"
                if "worksheets/" in part and part in names:
                    found_here[_attribute(one, "name")] = _layout(packed, part)
            return found_here
    except UnreadableError:
        raise
    except Exception:
        raise UnreadableError("no-table", _NO_WORKBOOK) from None


def _layout(packed: zipfile.ZipFile, part: str) -> SheetLayout:
    rows: set[int] = set()
    columns: set[int] = set()
    odd: list[tuple[int, int, str]] = []
    for one in _elements(packed, part, "row", "col"):
        is_hidden = _attribute(one, "hidden") in ("1", "true")
        if one.tag.endswith("col"):
            if is_hidden:
                first, last = int(_attribute(one, "min") or 1), int(_attribute(one, "max") or 1)
                columns |= set(range(first - 1, min(last, COLUMNS_LIMIT)))
            continue
        number = int(_attribute(one, "r") or 0) - 1
        if is_hidden:
            rows.add(number)
        for cell in one:
            kinds = {child.tag.rpartition("}")[2]: (child.text or "") for child in cell}
            place = _PLACE.fullmatch(cell.get("r", ""))
            if place is None:
                continue
            at = 0
            for letter in place[1]:
                at = 26 * at + ord(letter) - ord("A") + 1
            if kinds.get("v") in _ODD and cell.get("t") == "e":
                odd.append((number, at - 1, str(kinds["v"])))
            elif "f" in kinds and not kinds.get("v") and cell.get("t") != "str":
                odd.append((number, at - 1, "a formula that was never computed"))
    return SheetLayout(frozenset(rows), frozenset(columns), tuple(odd))


def _attribute(one: ElementTree.Element, name: str) -> str:
    return next((value for key, value in one.attrib.items() if key.rpartition("}")[2] == name), "")


def _elements(packed: zipfile.ZipFile, part: str, *tags: str) -> Iterator[ElementTree.Element]:
    """Yield the elements of these names; a part that declares anything of its own is refused."""
    data = packed.read(part)
    if b"<!DOCTYPE" in data or b"<!ENTITY" in data:
        raise UnreadableError("no-table", _NO_WORKBOOK)
    for _, one in ElementTree.iterparse(io.BytesIO(data)):
        if one.tag.rpartition("}")[2] in tags:
            yield one
            one.clear()


def _refuse_huge(found: FoundFile, limit: int) -> None:
    """Refuse a workbook that would unpack to more than memory should bear, before it is unpacked.

    Sizes that the file itself gives may lie, so every part is unpacked piece by piece and counted.
    """
    too_large = UnreadableError("too-large", f"unpacked, the workbook has more than {limit:,} bytes.")
    left = limit
    try:
        with zipfile.ZipFile(io.BytesIO(found.data)) as packed:
            parts = packed.infolist()
            if sum(part.file_size for part in parts) > limit:
                raise too_large
            for part in parts:
                part.file_size = limit + 1
                pieces = []
                with packed.open(part) as stream:
                    while piece := stream.read(_PIECE):
                        left -= len(piece)
                        if left < 0:
                            raise too_large
                        if "worksheets/" in part.filename:
                            pieces.append(piece)
                _refuse_wide(b"".join(pieces))
    except UnreadableError:
        raise
    except Exception:
        raise UnreadableError("no-table", _NO_WORKBOOK) from None


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
