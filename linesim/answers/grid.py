"""Rows of a table as every renderer takes them: headings, texts, and what a cell is sorted by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from linesim.answers.document import Grid, View
from linesim.answers.table import Row, cell_number, cell_text
from linesim.answers.wording import Value, number


@dataclass(frozen=True, slots=True)
class TextGrid:
    """A view as every renderer takes it: headings, texts, and what a cell is sorted by.

    Attributes:
        heads: Headings.
        is_number: Whether each column is set flush right.
        texts: Cells as they are read.
        numbers: What they are sorted by; None for texts.
    """

    heads: tuple[str, ...]
    is_number: tuple[bool, ...]
    texts: tuple[tuple[str, ...], ...]
    numbers: tuple[tuple[float | None, ...], ...]


def grid_of(view: View, rows: Sequence[Row]) -> TextGrid:
    """Return rows of a table as a view shows them."""
    faces = [(column, face, head) for column in view.columns for face, head in column.shown()]
    return TextGrid(
        tuple(head for _, _, head in faces),
        tuple(column.is_number and face not in ("verdict", "bar") for column, face, _ in faces),
        tuple(tuple(cell_text(row[column.name], column, face) for column, face, _ in faces) for row in rows),
        tuple(tuple(cell_number(row[column.name], face) for column, face, _ in faces) for row in rows),
    )


def crossed(grid: Grid, rows: Sequence[Row], most: int = 0) -> TextGrid:
    """Return a table as a grid.

    Args:
        grid: What goes where.
        rows: Rows of its table.
        most: Columns at most, those with the largest figures; 0 means all that have any.
    """
    (face, _), *_ = grid.cell.shown()
    cells = {(row[grid.down.name], row[grid.across]): row[grid.cell.name] for row in rows}
    down, across = (list(dict.fromkeys(key[k] for key in cells)) for k in (0, 1))

    def size(value: Value) -> float:
        return max(abs(cell_number(cells.get((one, value)), face) or 0.0) for one in down)

    kept = [value for value in across if size(value)]
    if most and len(kept) > most:
        chosen = sorted(kept, key=size, reverse=True)[:most]
        kept = [value for value in kept if value in chosen]

    def read(one: Value, value: Value) -> str:
        found = cells.get((one, value))
        return "·" if found is None or not cell_number(found, face) else cell_text(found, grid.cell, face)

    heads = [grid.down.heading, *map(str, kept)]
    texts = [[str(one), *(read(one, value) for value in kept)] for one in down]
    numbers = [[None, *(cell_number(cells.get((one, value)), face) for value in kept)] for one in down]
    if grid.sums:
        heads.append("sum")
        for row, figures in zip(texts, numbers, strict=True):
            figures.append(sum(figure or 0.0 for figure in figures))
            row.append(_sum_text(figures[-1] or 0.0))
        below = [sum(figures[k] or 0.0 for figures in numbers) for k in range(1, len(heads))]
        texts.append(["sum", *map(_sum_text, below)])
        numbers.append([None, *below])
    return TextGrid(
        tuple(heads),
        (False, *[True] * (len(heads) - 1)),
        tuple(map(tuple, texts)),
        tuple(map(tuple, numbers)),
    )


def _sum_text(value: float) -> str:
    return number(value, 1 if abs(value) >= 1 else 2)
