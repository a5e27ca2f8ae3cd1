"""Points from a table: one row a case, one column an input."""

from __future__ import annotations

import os
import tomllib
from typing import Any

from linesim.errors import WrongQuestionError
from linesim.questions.measured import open_table
from linesim.questions.varying.points import Point
from linesim.scenario.grid import Cell
from linesim.scenario.origins import Place

NAME_COLUMN = "case"  #: Heading of the column with the names, if there is one.


def read_points(path: str | os.PathLike[str]) -> tuple[Point, ...]:
    """Return the points of a CSV file or workbook.

    The headings are keys such as ``buffer.lane.capacity``; a column ``case`` may give names. A cell is a
    number, ``true`` or ``false``, a list or table as TOML writes it, and otherwise text such as
    ``95 s``. An empty cell leaves the input as the scenario has it.

    Raises:
        ScenarioError: If it cannot be read, is no table, or holds no rows.
        WrongQuestionError: With everything that is wrong in it.
    """
    table = open_table(path, prefer="cases")
    name = table.file
    wrong: list[str] = []
    keys: list[Place | None] = []
    for cell in table.heading:
        keys.append(None if cell.text == NAME_COLUMN else _path(cell, name, wrong))
    if len({key for key in keys if key is not None}) < len([key for key in keys if key is not None]):
        wrong.append(f"{name}: two columns have the same heading; keep one of them.")
    if wrong:
        raise WrongQuestionError(wrong)
    points = []
    for number, row in enumerate(table.rows, start=1):
        called = next((cell.text for cell, key in zip(row, keys, strict=True) if key is None), "")
        levels = [
            (key, cell_value(cell.text))
            for cell, key in zip(row, keys, strict=True)
            if key is not None and cell.text
        ]
        points.append(Point.at(levels, called or f"case {number}"))
    names = [point.name for point in points]
    if twice := [called for called in dict.fromkeys(names) if names.count(called) > 1]:
        raise WrongQuestionError(f"{name}: two cases are called {twice[0]!r}; each needs a name of its own.")
    return tuple(points)


def cell_value(text: str) -> Any:
    """Return what a cell says.

    Examples:
        >>> cell_value("4"), cell_value("0.25"), cell_value("95 s"), cell_value('["T1", "T2"]')
        (4, 0.25, '95 s', ['T1', 'T2'])
    """
    try:
        value = tomllib.loads(f"x = {text}")
    except (ValueError, RecursionError):
        return text
    if list(value) != ["x"] or not isinstance(value["x"], bool | int | float | str | list | dict):
        return text  # a date, which no input of a scenario is
    return value["x"]


def _path(cell: Cell, file: str, wrong: list[str]) -> Place | None:
    """Return the place that a heading names."""
    try:
        raw: Any = tomllib.loads(f"{cell.text} = 0")
    except (ValueError, RecursionError):
        raw = None
    path: Place = ()
    while isinstance(raw, dict) and len(raw) == 1:
        (part,) = raw
        path, raw = (*path, part), raw[part]
    if raw == 0 and path:
        return path
    wrong.append(
        f"{file}: {cell.place}: found the heading {cell.text!r}; write a key such as buffer.lane.capacity, "
        f"or {NAME_COLUMN} above the names."
    )
    return ()
