"""Task tables: one row a task, as plants keep them."""

from __future__ import annotations

import re
from typing import Any

from linesim.scenario import cells
from linesim.scenario.grid import Cell, CellGrid
from linesim.scenario.origins import Origin, Origins, Path
from linesim.scenario.problems import Notes, shown

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
    *(f"{name}_{unit}" for name, _ in _TIMES for unit in cells.UNITS),
    *(name for name, _, _ in _OTHERS),
)
#: A heading of the times of one model or option: unit and name.
TIME_FOR = re.compile(rf"mean_({'|'.join(cells.UNITS)})_for_(.+)")


def read_tasks(grid: CellGrid, notes: Notes) -> tuple[dict[str, Any], Origins]:
    """Return the tasks of a table as a raw scenario, and where its cells stand.

    Args:
        grid: The table; columns as in `COLUMNS` and `TIME_FOR`, blank cells mean the default.
        notes: Where problems go.
    """
    by_variant = [cell.text for cell in grid.heading if TIME_FOR.fullmatch(cell.text)]
    found = cells.columns(grid, (*COLUMNS, *by_variant), ("station", "task"), notes)
    if not any(f"mean_{unit}" in found or f"low_{unit}" in found for unit in cells.UNITS):
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
        for unit in cells.UNITS:
            if (at := found.get(f"{name}_{unit}")) is not None:
                spots.setdefault((*path, *inside), Origin(grid.file, row[at].line, row[at].place))
                spots.setdefault((*path, inside[0]), Origin(grid.file, row[at].line, row[at].place))
                if row[at].text:
                    spots[(*path, *inside)] = Origin(grid.file, row[at].line, row[at].place)
                    put(inside, row[at], cells.duration(grid, row[at], unit, notes))
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
            put(("time_for", named[2]), row[at], cells.duration(grid, row[at], named[1], notes))
    for name, mean in raw.get("time_for", {}).items():
        raw["time_for"][name] = {"mean": mean, **spread}
    return raw


def _content(grid: CellGrid, cell: Cell, kind: str, notes: Notes) -> Any:
    if kind == "share":
        return cells.share(grid, cell, notes)
    if kind == "whole":
        return cells.whole(grid, cell, notes)
    if kind == "flag":
        return cells.yes_or_no(grid, cell, notes)
    return cells.listed(cell) if kind == "list" else cell.text
