"""Excel workbooks: values as they were last computed, never a formula run; sizes limited before unpacking."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator, Sequence
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
