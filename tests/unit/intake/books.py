"""Workbooks as plants keep them, written down as text: what a spreadsheet program would save comes from it.

A sheet is a block of lines, cells parted by ``|``. Numbers are numbers, a text may begin with ``'``.
``=SUM(D2) -> 9`` is a formula with the value that was computed last, ``=A1+A2`` alone one that never was.
``@1:15`` is a clock cell, ``@2026-03-02`` a date, ``@true`` a truth, ``15%`` a share shown in percent.
"""

import io
import re
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from typing import Any

import openpyxl


@dataclass(frozen=True)
class SheetText:
    """A sheet as text, with what a spreadsheet program keeps besides its cells.

    Attributes:
        text: Its lines.
        merged: Ranges such as ``A5:A8``.
        hidden_rows, hidden_columns: Rows by number, columns by letter.
        is_hidden: Whether the whole sheet is hidden.
    """

    text: str
    merged: Sequence[str] = ()
    hidden_rows: Sequence[int] = ()
    hidden_columns: Sequence[str] = ()
    is_hidden: bool = False


def workbook(sheets: Mapping[str, SheetText | str]) -> bytes:
    """Return the workbook of some sheets."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    formulas: list[tuple[int, str, str]] = []
    for number, (name, given) in enumerate(sheets.items(), start=1):
        sheet = book.create_sheet(name)
        one = SheetText(given) if isinstance(given, str) else given
        for row, line in enumerate(one.text.strip("\n").split("\n"), start=1):
            for column, text in enumerate(line.split("|"), start=1):
                _put(sheet.cell(row, column), text.strip(), number, formulas)
        for area in one.merged:
            sheet.merge_cells(area)
        for at in one.hidden_rows:
            sheet.row_dimensions[at].hidden = True
        for letter in one.hidden_columns:
            sheet.column_dimensions[letter].hidden = True
        if one.is_hidden:
            sheet.sheet_state = "hidden"
    out = io.BytesIO()
    book.save(out)
    return _with_formulas(out.getvalue(), formulas)


def _put(cell: Any, text: str, sheet: int, formulas: list[tuple[int, str, str]]) -> None:
    if found := re.fullmatch(r"=(.*) -> (.*)", text):
        formulas.append((sheet, cell.coordinate, found[1]))
        text = found[2]
    if found := re.fullmatch(r"@(\d+):(\d\d)(?::(\d\d))?", text):
        cell.value = time(int(found[1]), int(found[2]), int(found[3] or 0))
    elif text.startswith("@2"):
        cell.value = date.fromisoformat(text[1:])
    elif text == "@true":
        cell.value = True
    elif re.fullmatch(r"-?\d+(\.\d+)?%", text):
        cell.value, cell.number_format = float(text[:-1]) / 100, "0%"
    elif re.fullmatch(r"-?\d+(\.\d+)?", text):
        cell.value = float(text)
    elif text.startswith("#"):
        cell.value, cell.data_type = text, "e"
    elif text:
        cell.value = text.removeprefix("'")
        if text.startswith("'="):
            cell.data_type = "s"


def _with_formulas(data: bytes, formulas: Sequence[tuple[int, str, str]]) -> bytes:
    """Return a workbook with formulas laid over values, as a program saves both."""
    return rewritten(
        data,
        {
            f"xl/worksheets/sheet{sheet}.xml": [
                (rf'(<c r="{place}"[^>]*>)(<v>)', rf"\1<f>{formula}</f>\2")
                for number, place, formula in formulas
                if number == sheet
            ]
            for sheet, _, _ in formulas
        },
    )


def rewritten(data: bytes, parts: Mapping[str, Sequence[tuple[str, str]]]) -> bytes:
    """Return a packed file with patterns of some of its parts replaced."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            text = old.read(name)
            for pattern, instead in parts.get(name, ()):
                changed = re.sub(pattern, instead, text.decode())
                assert changed != text.decode(), pattern
                text = changed.encode()
            new.writestr(name, text)
    return out.getvalue()
