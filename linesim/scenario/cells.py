"""Tables of a scenario: cells and columns, and what tables of tasks, orders and times hold."""

from __future__ import annotations

import re
from collections.abc import Iterable
from types import MappingProxyType
from typing import Any

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
    found = columns(grid, names, ("model", "options"), notes)
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
            orders.append("+".join((model.text, *listed(row[found["options"]]))))
    return orders, Origins(grid.file, spots)


def read_times(grid: CellGrid, column: str, notes: Notes) -> list[float] | None:
    """Return the times of one column [s]; `None`, with notes, if there are none.

    Args:
        grid: The table.
        column: Its heading, ending in `_s`, `_min` or `_h`; blank cells are left out.
        notes: Where problems go.
    """
    names = tuple(dict.fromkeys([column, *(cell.text for cell in grid.heading if cell.text)]))
    at = columns(grid, names, (column,), notes).get(column)
    if at is None:
        return None
    unit = column.rpartition("_")[2]
    if unit not in UNITS:
        notes.at_cell(
            grid.file,
            grid.heading[at],
            "no-unit",
            f'the heading "{column[:60]}" names no unit; end it in _s, _min or _h, such as '
            f'"{column[:60]}_s".',
        )
        return None
    read = [duration(grid, row[at], unit, notes) for row in grid.rows if row[at].text]
    if not read:
        empty = Cell("", grid.heading[at].line, grid.heading[at].place)
        notes.at_cell(grid.file, empty, "empty-table", f'the column "{column[:60]}" holds no times.')
        return None
    times = [time.seconds for time in read if time is not None]
    return times if len(times) == len(read) else None


_TIMES: tuple[tuple[str, Path], ...] = (
    ("mean", ("time", "mean")),
    ("low", ("time", "low")),
    ("mode", ("time", "mode")),
    ("high", ("time", "high")),
    ("fault_repair", ("fault", "repair")),
)
#: Column, path inside the task, kind of content.
_OTHERS: tuple[tuple[str, Path, str], ...] = (
    ("title", ("title",), "text"),
    ("cv", ("time", "cv"), "share"),
    ("shape", ("time", "shape"), "text"),
    ("crew", ("crew",), "list"),
    ("people", ("people",), "whole"),
    ("robot", ("robot",), "list"),
    ("tool", ("tool",), "list"),
    ("zone", ("zone",), "text"),
    ("after", ("after",), "list"),
    ("options", ("options",), "list"),
    ("unless", ("unless",), "list"),
    ("models", ("models",), "list"),
    ("again", ("again",), "flag"),
    ("at", ("at",), "text"),
    ("fixed", ("fixed",), "flag"),
    ("fault_chance", ("fault", "chance"), "share"),
    ("fault_found", ("fault", "found"), "text"),
    ("fault_tries", ("fault", "tries"), "whole"),
    ("fault_right", ("fault", "right"), "text"),
    ("fault_detect", ("fault", "detect"), "share"),
    ("source", ("source",), "text"),
    ("confidence", ("confidence",), "text"),
)

#: Every heading that a task table may have.
COLUMNS: tuple[str, ...] = (
    "station",
    "task",
    *(f"{name}_{unit}" for name, _ in _TIMES for unit in UNITS),
    *(name for name, _, _ in _OTHERS),
)
#: A heading of the times of one model or option: unit and name.
TIME_FOR = re.compile(rf"mean_({'|'.join(UNITS)})_for_(.+)")


def read_tasks(grid: CellGrid, notes: Notes) -> tuple[dict[str, Any], Origins]:
    """Return the tasks of a table as a raw scenario, and where its cells stand.

    Args:
        grid: The table; columns as in `COLUMNS` and `TIME_FOR`, blank cells mean the default.
        notes: Where problems go.
    """
    by_variant = [cell.text for cell in grid.heading if TIME_FOR.fullmatch(cell.text)]
    found = columns(grid, (*COLUMNS, *by_variant), ("station", "task"), notes)
    if not any(f"mean_{unit}" in found or f"low_{unit}" in found for unit in UNITS):
        notes.at_cell(
            grid.file,
            Cell("", grid.heading[0].line, "headings"),
            "missing-column",
            'there is no column of times; name it "mean_s" for seconds.',
        )
    stations: dict[str, Any] = {}
    spots: dict[Path, Origin] = {}
    if "station" not in found or "task" not in found:
        return {}, Origins(grid.file, spots)
    for row in grid.rows:
        station, task = row[found["station"]], row[found["task"]]
        if not (station.text and task.text):
            empty = task if station.text else station
            notes.at_cell(
                grid.file, empty, "missing-field", "this cell is empty; every row names a station and a task."
            )
            continue
        tasks = stations.setdefault(station.text, {"task": {}})["task"]
        if task.text in tasks:
            notes.at_cell(
                grid.file,
                task,
                "name-twice",
                f"the task {shown(task.text)} stands at station {shown(station.text)} twice; rename one.",
            )
            continue
        path: Path = ("station", station.text, "task", task.text)
        spots.setdefault(path[:2], Origin(grid.file, station.line, station.place))
        spots[path] = Origin(grid.file, task.line, task.place)
        tasks[task.text] = _task(grid, row, found, path, spots, notes)
    return {"station": stations}, Origins(grid.file, spots)


def _task(
    grid: CellGrid,
    row: tuple[Cell, ...],
    found: dict[str, int],
    path: Path,
    spots: dict[Path, Origin],
    notes: Notes,
) -> dict[str, Any]:
    raw: dict[str, Any] = {"time": {}}

    def put(inside: Path, cell: Cell, value: Any) -> None:
        if value is None:
            notes.fail((*path, *inside))
        table = raw.setdefault(str(inside[0]), {}) if len(inside) > 1 else raw
        key = str(inside[-1])
        if key in table:
            notes.at_cell(grid.file, cell, "one-of", "the row has this time in two units; fill one column.")
        elif value is not None:
            table[key] = value

    for name, inside in _TIMES:
        for unit in UNITS:
            if (at := found.get(f"{name}_{unit}")) is not None:
                spots.setdefault((*path, *inside), Origin(grid.file, row[at].line, row[at].place))
                spots.setdefault((*path, inside[0]), Origin(grid.file, row[at].line, row[at].place))
                if row[at].text:
                    spots[(*path, *inside)] = Origin(grid.file, row[at].line, row[at].place)
                    put(inside, row[at], duration(grid, row[at], unit, notes))
    for name, inside, kind in _OTHERS:
        if (at := found.get(name)) is not None:
            spots[(*path, *inside)] = Origin(grid.file, row[at].line, row[at].place)
            if row[at].text:
                put(inside, row[at], _content(grid, row[at], kind, notes))
    spread = {
        key: raw["time"][key] for key in ("cv", "shape") if "mean" in raw["time"] and key in raw["time"]
    }
    for heading, at in found.items():
        if (named := TIME_FOR.fullmatch(heading)) and row[at].text:
            spots[(*path, "time_for", named[2])] = Origin(grid.file, row[at].line, row[at].place)
            put(("time_for", named[2]), row[at], duration(grid, row[at], named[1], notes))
    for name, mean in raw.get("time_for", {}).items():
        raw["time_for"][name] = {"mean": mean, **spread}
    return raw


def _content(grid: CellGrid, cell: Cell, kind: str, notes: Notes) -> Any:
    if kind == "share":
        return share(grid, cell, notes)
    if kind == "whole":
        return whole(grid, cell, notes)
    if kind == "flag":
        return yes_or_no(grid, cell, notes)
    return listed(cell) if kind == "list" else cell.text
