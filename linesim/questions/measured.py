"""A table that somebody names beside a scenario: read whole, every fault told at once."""

from __future__ import annotations

import os
from pathlib import Path

from linesim.errors import ScenarioError
from linesim.scenario.files import TABLE_LIMIT, Folder
from linesim.scenario.grid import Cell, CellGrid, read_grid
from linesim.scenario.problems import Notes, UnreadableError


def open_table(path: str | os.PathLike[str], *, prefer: str) -> CellGrid:
    """Return the table of a CSV file or workbook.

    Args:
        path: The file, as a user names it.
        prefer: Sheet that is read if a workbook has one of this name; else the first.

    Raises:
        ScenarioError: If it cannot be read, is no table, or holds no rows.
    """
    name = os.fspath(path)
    real = Path(os.path.realpath(name))
    notes = Notes()
    try:
        found = Folder(os.path.dirname(name), real.parent).read(real.name, limit=TABLE_LIMIT)
        table = read_grid(found, prefer=prefer)
    except UnreadableError as error:
        notes.of_file(name, error)
        raise ScenarioError(notes.sorted([name])) from None
    table = CellGrid(name, table.heading, table.rows)
    if not table.rows:
        notes.at_cell(
            name, Cell("", None, ""), "empty-table", "there is no row below the headings; write at least one."
        )
    raise_notes(notes, name)
    return table


def raise_notes(notes: Notes, name: str) -> None:
    """Raise everything that was found wrong in a table, if anything was.

    Raises:
        ScenarioError: With all of it.
    """
    if notes.has_errors:
        raise ScenarioError(notes.sorted([name]))
