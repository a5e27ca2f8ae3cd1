"""Tables of a page: what stands in a cell, and what it is sorted by."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from linesim.answers.wording import number
from linesim.questions.figures import estimate, plus_minus, span
from linesim.runs.rows import Row


class PageCell(NamedTuple):
    """One cell.

    Attributes:
        text: What is read.
        value: Number that a numeric column is sorted by, None if there is none.
        tint: How strongly the cell is shaded, 0 to 1.
    """

    text: str
    value: float | None = None
    tint: float = 0.0


class PageColumn(NamedTuple):
    """One column.

    Attributes:
        name: Its heading, with the unit.
        is_number: Whether it holds numbers: flush right, sorted by value.
    """

    name: str
    is_number: bool = False


@dataclass(frozen=True, slots=True)
class PageTable:
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
    columns: tuple[PageColumn, ...]
    rows: tuple[tuple[PageCell, ...], ...]
    sorts: bool = True
    foot: tuple[PageCell, ...] = ()
    upright: bool = False

    def __post_init__(self) -> None:
        """Refuse rows that do not fit the columns."""
        for row in (*self.rows, *([self.foot] if self.foot else [])):
            if len(row) != len(self.columns):
                raise ValueError(f"{self.caption!r} has {len(self.columns)} columns, a row has {len(row)}")


def table(
    caption: str,
    columns: Sequence[PageColumn | str],
    rows: Iterable[Sequence[PageCell | str]],
    *,
    sorts: bool = True,
) -> PageTable:
    """Return a table; plain text stands for a column or cell of text."""
    return PageTable(
        caption,
        tuple(PageColumn(column) if isinstance(column, str) else column for column in columns),
        tuple(tuple(PageCell(cell) if isinstance(cell, str) else cell for cell in row) for row in rows),
        sorts=sorts,
    )


def numeric(*names: str) -> list[PageColumn]:
    """Return columns of numbers."""
    return [PageColumn(name, is_number=True) for name in names]


def estimated(row: Row, *, scale: float = 1.0) -> tuple[PageCell, PageCell]:
    """Return the cells of an estimate and its interval."""
    if row.mean is None:
        return PageCell("–"), PageCell("")
    mean = row.mean * scale
    low = None if row.low is None else row.low * scale
    return PageCell(estimate(row, scale=scale), mean), PageCell(span(row, scale=scale), low)


def whole(row: Row) -> tuple[PageCell, PageCell]:
    """Return the cells of an estimate that is a whole number of jobs, and its interval."""
    if row.mean is None:
        return PageCell("–"), PageCell("")
    low, high = row.low, row.high
    between = "" if low is None or high is None else f"{low:.0f} to {high:.0f}" if low < high else "each time"
    return PageCell(f"{row.mean:.0f}", row.mean), PageCell(between, low)


def with_half(row: Row, *, scale: float = 1.0) -> PageCell:
    """Return the cell of an estimate with half the width of its interval, where there is little room."""
    if row.mean is None:
        return PageCell("–")
    return PageCell(plus_minus(row, scale=scale), row.mean * scale)


def rounded(value: float, places: int = 1) -> PageCell:
    """Return the cell of a number without an interval, rounded for reading and sorted by its true value."""
    return PageCell(number(value, places), value)


def plain_number(value: float | None, text: str | None = None) -> PageCell:
    """Return the cell of a number that has no interval."""
    if value is None:
        return PageCell("–")
    return PageCell(f"{value:g}" if text is None else text, value)
