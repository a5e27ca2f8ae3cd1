"""Tables of a page: what stands in a cell, and what it is sorted by."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from linesim.studies.figures import estimate, number, plus_minus, span
from linesim.studies.rows import Row


class Cell(NamedTuple):
    """One cell.

    Attributes:
        text: What is read.
        value: Number that a numeric column is sorted by, None if there is none.
        tint: How strongly the cell is shaded, 0 to 1.
    """

    text: str
    value: float | None = None
    tint: float = 0.0


class Column(NamedTuple):
    """One column.

    Attributes:
        name: Its heading, with the unit.
        is_number: Whether it holds numbers: flush right, sorted by value.
    """

    name: str
    is_number: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A table.

    Attributes:
        caption: What it shows.
        columns: Its columns; the first names the row.
        rows: Cells, as many in each row as there are columns.
        sorts: Whether a reader may sort it.
        foot: A row of sums below, empty if there is none.
        upright: Whether the headings of numbers stand on end, for grids of many columns.
    """

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    sorts: bool = True
    foot: tuple[Cell, ...] = ()
    upright: bool = False

    def __post_init__(self) -> None:
        """Refuse rows that do not fit the columns."""
        for row in (*self.rows, *([self.foot] if self.foot else [])):
            if len(row) != len(self.columns):
                raise ValueError(f"{self.caption!r} has {len(self.columns)} columns, a row has {len(row)}")


def table(
    caption: str, columns: Sequence[Column | str], rows: Iterable[Sequence[Cell | str]], *, sorts: bool = True
) -> Table:
    """Return a table; plain text stands for a column or cell of text."""
    return Table(
        caption,
        tuple(Column(column) if isinstance(column, str) else column for column in columns),
        tuple(tuple(Cell(cell) if isinstance(cell, str) else cell for cell in row) for row in rows),
        sorts=sorts,
    )


def numeric(*names: str) -> list[Column]:
    """Return columns of numbers."""
    return [Column(name, is_number=True) for name in names]


def estimated(row: Row, *, scale: float = 1.0) -> tuple[Cell, Cell]:
    """Return the cells of an estimate and its interval."""
    if row.mean is None:
        return Cell("–"), Cell("")
    mean = row.mean * scale
    low = None if row.low is None else row.low * scale
    return Cell(estimate(row, scale=scale), mean), Cell(span(row, scale=scale), low)


def whole(row: Row) -> tuple[Cell, Cell]:
    """Return the cells of an estimate that is a whole number of jobs, and its interval."""
    if row.mean is None:
        return Cell("–"), Cell("")
    low, high = row.low, row.high
    between = "" if low is None or high is None else f"{low:.0f} to {high:.0f}" if low < high else "each time"
    return Cell(f"{row.mean:.0f}", row.mean), Cell(between, low)


def with_half(row: Row, *, scale: float = 1.0) -> Cell:
    """Return the cell of an estimate with half the width of its interval, where there is little room."""
    if row.mean is None:
        return Cell("–")
    return Cell(plus_minus(row, scale=scale), row.mean * scale)


def rounded(value: float, places: int = 1) -> Cell:
    """Return the cell of a number without an interval, rounded for reading and sorted by its true value."""
    return Cell(number(value, places), value)


def plain_number(value: float | None, text: str | None = None) -> Cell:
    """Return the cell of a number that has no interval."""
    if value is None:
        return Cell("–")
    return Cell(f"{value:g}" if text is None else text, value)
