"""Cells and columns of tables: numbers, times with the unit in the heading, lists, moments."""

from __future__ import annotations

import re
from collections.abc import Iterable
from types import MappingProxyType

from linesim.scenario import cells
from linesim.scenario.base import as_share
from linesim.scenario.grid import Cell, CellGrid
from linesim.scenario.origins import Origin, Origins, Path
from linesim.scenario.problems import Notes, has, nearest, shown
from linesim.ticks import LONGEST_S, Duration, parse_duration

UNITS = ("s", "min", "h")  #: Units that may end the heading of a column of times.
_SIZE = MappingProxyType({"s": 1, "min": 60, "h": 3600})
_NUMBER = re.compile(r"[+-]?(?:\d{1,17}(?:\.\d{0,17})?|\.\d{1,17})(?:[eE][+-]?\d{1,2})?", re.ASCII)
_YES = ("true", "yes", "x", "1")
_NO = ("false", "no", "0")


def number(grid: CellGrid, cell: Cell, notes: Notes) -> float | None:
    """Return a cell's number; `None` with a note if it holds none."""
    if _NUMBER.fullmatch(cell.text):
        return float(cell.text)
    mend = "write it with a decimal point" if re.fullmatch(r"-?\d+,\d+", cell.text) else "write a number"
    notes.at_cell(grid.file, cell, "bad-number", f"{shown(cell.text)} is no number; {mend}.")
    return None


def share(grid: CellGrid, cell: Cell, notes: Notes) -> float | None:
    """Return a cell's share, also in percent; `None` with a note if it holds none."""
    value = as_share(cell.text)
    return value if isinstance(value, float) else number(grid, cell, notes)


def whole(grid: CellGrid, cell: Cell, notes: Notes) -> int | None:
    """Return a cell's whole number; `None` with a note if it holds none."""
    if re.fullmatch(r"[+-]?\d{1,12}", cell.text, re.ASCII):
        return int(cell.text)
    notes.at_cell(
        grid.file, cell, "bad-number", f"{shown(cell.text)} is no whole number; write one such as 2."
    )
    return None


def duration(grid: CellGrid, cell: Cell, unit: str, notes: Notes) -> Duration | None:
    """Return a cell's number as a time in the unit of its column; `None` with a note if it is none."""
    value = number(grid, cell, notes)
    if value is None:
        return None
    if not 0 <= value <= LONGEST_S / _SIZE[unit]:
        code = "negative-time" if value < 0 else "bad-time"
        right = "a time is 0 or more" if value < 0 else "that is longer than can be simulated"
        notes.at_cell(grid.file, cell, code, f"found {shown(cell.text)}; {right}.")
        return None
    return parse_duration(f"{value:.17f} {unit}") if value < 1e-4 else parse_duration(f"{value!r} {unit}")


def yes_or_no(grid: CellGrid, cell: Cell, notes: Notes) -> bool | None:
    """Return a cell's yes or no; `None` with a note if it says neither."""
    word = cell.text.lower()
    if word in _YES or word in _NO:
        return word in _YES
    notes.at_cell(grid.file, cell, "wrong-kind", f"found {shown(cell.text)}; write yes or no.")
    return None


def listed(cell: Cell) -> list[str]:
    """Return the parts of a cell that are joined by `;`."""
    return [part.strip() for part in cell.text.split(";") if part.strip()]


def columns(grid: CellGrid, known: Iterable[str], needed: Iterable[str], notes: Notes) -> dict[str, int]:
    """Return the number of each known column; note the unknown, the double and the missing ones.

    Args:
        grid: The table.
        known: Headings that the table may have.
        needed: Headings that it must have.
        notes: Where problems go.
    """
    names = tuple(known)
    found: dict[str, int] = {}
    for at, cell in enumerate(grid.heading):
        if not cell.text:
            notes.at_cell(
                grid.file, cell, "unknown-column", "this column has no heading; write one or remove it."
            )
        elif cell.text not in names:
            near = nearest(cell.text, names)
            said = f"did you mean {near[0]}?" if near else f"a table here has {', '.join(names)}."
            notes.at_cell(grid.file, cell, "unknown-column", f"{shown(cell.text)} is no known column; {said}")
        elif cell.text in found:
            notes.at_cell(
                grid.file, cell, "name-twice", f"the column {shown(cell.text)} stands here twice; keep one."
            )
        else:
            found[cell.text] = at
    headings = [cell.text for cell in grid.heading]
    for name in needed:
        if name not in found:
            notes.at_cell(
                grid.file,
                Cell("", grid.heading[0].line, "headings"),
                "missing-column",
                f'there is no column "{name}"; {has(headings, name, "heading")}.',
            )
    return found


def read_orders(grid: CellGrid, notes: Notes) -> tuple[list[str], Origins]:
    """Return the orders of a table as `model+option+option`, and where they stand.

    Args:
        grid: A table with the columns `model` and `options` (joined by `;`); other columns,
            such as an order number, are left alone.
        notes: Where problems go.
    """
    names = tuple(dict.fromkeys(["model", "options", *(cell.text for cell in grid.heading if cell.text)]))
    found = cells.columns(grid, names, ("model", "options"), notes)
    orders: list[str] = []
    spots: dict[Path, Origin] = {}
    if "model" in found and "options" in found:
        for row in grid.rows:
            model = row[found["model"]]
            if not model.text:
                notes.at_cell(
                    grid.file, model, "missing-field", "this cell is empty; every order names a model."
                )
                continue
            spots["orders", "list", len(orders)] = Origin(grid.file, model.line, model.place)
            orders.append("+".join((model.text, *cells.listed(row[found["options"]]))))
    return orders, Origins(grid.file, spots)


def read_times(grid: CellGrid, column: str, notes: Notes) -> list[float] | None:
    """Return the times of one column [s]; `None`, with notes, if there are none.

    Args:
        grid: The table.
        column: Its heading, ending in `_s`, `_min` or `_h`; blank cells are left out.
        notes: Where problems go.
    """
    names = tuple(dict.fromkeys([column, *(cell.text for cell in grid.heading if cell.text)]))
    at = cells.columns(grid, names, (column,), notes).get(column)
    if at is None:
        return None
    unit = column.rpartition("_")[2]
    if unit not in cells.UNITS:
        notes.at_cell(
            grid.file,
            grid.heading[at],
            "no-unit",
            f'the heading "{column[:60]}" names no unit; end it in _s, _min or _h, such as '
            f'"{column[:60]}_s".',
        )
        return None
    read = [cells.duration(grid, row[at], unit, notes) for row in grid.rows if row[at].text]
    if not read:
        empty = Cell("", grid.heading[at].line, grid.heading[at].place)
        notes.at_cell(grid.file, empty, "empty-table", f'the column "{column[:60]}" holds no times.')
        return None
    times = [time.seconds for time in read if time is not None]
    return times if len(times) == len(read) else None
