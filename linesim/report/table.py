"""Tables of a page: what stands in a cell, and what it is sorted by."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from linesim.answers.document import Grid, View
from linesim.answers.grid import TextGrid, grid_of
from linesim.answers.table import Row, cell_number
from linesim.answers.values import Estimate
from linesim.answers.wording import interval_text, mean_text, number

MOST_ROWS = 100  #: More rows of a table stay in its CSV file.
_UPRIGHT = 9  #: With more columns the headings of a grid stand on end.
_LEAST_FOLDED = 3  #: Fewer rows are not worth a fold.


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
        more: Rows that one opens when one wants them, as a table with its own caption.
    """

    caption: str
    columns: tuple[PageColumn, ...]
    rows: tuple[tuple[PageCell, ...], ...]
    sorts: bool = True
    foot: tuple[PageCell, ...] = ()
    upright: bool = False
    more: PageTable | None = None

    def __post_init__(self) -> None:
        """Refuse rows that do not fit the columns."""
        for row in (*self.rows, *([self.foot] if self.foot else [])):
            if len(row) != len(self.columns):
                raise ValueError(f"{self.caption!r} has {len(self.columns)} columns, a row has {len(row)}")


def folded(found: PageTable, most: int = 0) -> PageTable:
    """Return a table without its rows of zeros and, where it is long, with the first rows only.

    The others are in `PageTable.more`, if they are worth a fold.

    Args:
        found: The table.
        most: Rows that stand open at most; 0 means all.
    """
    numbers = [k for k, column in enumerate(found.columns) if column.is_number]
    zero = [bool(numbers) and not any(row[k].value for k in numbers) for row in found.rows]
    if zero.count(True) < _LEAST_FOLDED or all(zero):
        zero = [False] * len(zero)
    shown, nothing = (
        tuple(row for row, is_zero in zip(found.rows, zero, strict=True) if is_zero is wanted)
        for wanted in (False, True)
    )
    first = shown[:most] if most and len(shown) >= most + _LEAST_FOLDED else shown
    rest = (*shown[len(first) :], *nothing)
    if not rest:
        return found
    kind = "rows of zeros" if len(first) == len(shown) else "more rows"
    more = replace(found, caption=f"{len(rest)} {kind}", rows=rest, foot=())
    return replace(found, rows=first, more=more)


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


def view_table(view: View, rows: Sequence[Row]) -> PageTable:
    """Return rows of an answer as a view shows them; of a long table the first ones."""
    grid = grid_of(view, rows[:MOST_ROWS])
    more = f" The first {MOST_ROWS} of {len(rows)} rows; {view.table}.csv of --out has all."
    note = f" {view.note}" if view.note else ""
    return PageTable(
        f"{view.title}.{note}{more if len(rows) > MOST_ROWS else ''}",
        tuple(
            PageColumn(head, is_number) for head, is_number in zip(_heads(view), grid.is_number, strict=True)
        ),
        tuple(
            tuple(PageCell(text, number) for text, number in zip(texts, numbers, strict=True))
            for texts, numbers in zip(grid.texts, grid.numbers, strict=True)
        ),
    )


def grid_table(part: Grid, found: TextGrid) -> PageTable:
    """Return a grid with its cells shaded by size: the number carries the meaning, the shade only guides.

    A heat map in the sense of L. Wilkinson and M. Friendly, The history of the cluster heat map (2009).
    """
    n, m = (len(found.texts) - 1, len(found.heads) - 1) if part.sums else (len(found.texts), len(found.heads))
    most = max((abs(value) for row in found.numbers[:n] for value in row[:m] if value), default=1.0)
    rows = tuple(
        tuple(
            PageCell(text, value, abs(value or 0.0) / most if k < m and r < n else 0.0)
            for k, (text, value) in enumerate(zip(*row, strict=True))
        )
        for r, row in enumerate(zip(found.texts, found.numbers, strict=True))
    )
    note = f" {part.note}" if part.note else ""
    return PageTable(
        f"{part.title}; darker is more{'' if part.sums else ', either way'}.{note}",
        tuple(
            PageColumn(head, is_number) for head, is_number in zip(found.heads, found.is_number, strict=True)
        ),
        rows[:n],
        foot=rows[n] if part.sums else (),
        upright=len(found.heads) > _UPRIGHT,
    )


def _heads(view: View) -> tuple[str, ...]:
    """Return the headings of a view; where a terminal has none it is the column's name, so none is empty."""
    return tuple(
        head or (face if face == "verdict" else column.name.replace("_", " "))
        for column in view.columns
        for face, head in column.shown()
    )


def estimated(found: Estimate) -> tuple[PageCell, PageCell]:
    """Return the cells of an estimate and its interval."""
    return (
        PageCell(mean_text(found), cell_number(found)),
        PageCell(interval_text(found), cell_number(found, "interval")),
    )


def rounded(value: float, places: int = 1) -> PageCell:
    """Return the cell of a number without an interval, rounded for reading and sorted by its true value."""
    return PageCell(number(value, places), value)


def plain_number(value: float | None, text: str | None = None) -> PageCell:
    """Return the cell of a number that has no interval."""
    if value is None:
        return PageCell("–")
    return PageCell(f"{value:g}" if text is None else text, value)
