"""Single columns of tables: orders, measured times, moments of supply and removal."""

from __future__ import annotations

from linesim.scenario import cells
from linesim.scenario.grid import Cell, Grid
from linesim.scenario.notes import Notes
from linesim.scenario.origins import Origin, Origins, Path


def read_orders(grid: Grid, notes: Notes) -> tuple[list[str], Origins]:
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


def read_times(grid: Grid, column: str, notes: Notes) -> list[float] | None:
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
