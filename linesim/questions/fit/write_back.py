"""Fitted times written into a task table: the cells of their times, and nothing else of it."""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from pathlib import Path

from linesim.answers.table import csv_text
from linesim.answers.wording import count_of, listed
from linesim.errors import ScenarioError, WrongQuestionError
from linesim.intake.figures import name_of
from linesim.questions.fit.fitted import Fitted, short
from linesim.scenario import cells
from linesim.scenario.cells import TIME_FOR
from linesim.scenario.files import TABLE_LIMIT, Folder
from linesim.scenario.grid import CellGrid, is_workbook, read_grid
from linesim.scenario.problems import Notes, UnreadableError
from linesim.scenario.shapes import Constant, Erlang, Gamma, Lognormal, Normal, Shape, Weibull
from linesim.ticks import Duration

_TIMES = tuple(f"{name}_{unit}" for name in ("mean", "low", "mode", "high") for unit in cells.UNITS)
_OWN = (*_TIMES, "cv", "shape", "source", "confidence")  #: Columns that a fitted time has to itself.


def written_back(path: str | os.PathLike[str], fits: Sequence[Fitted]) -> tuple[str, str]:
    """Return a task table with the fitted times in it, and a sentence of what was done.

    A task is found by its name or its title, and by its station where the study names it.

    Raises:
        ScenarioError: If the table cannot be read.
        WrongQuestionError: If it is a workbook, or has no such columns or none of the tasks.
    """
    table = _table(path)
    heads = [cell.text for cell in table.heading]
    if not {"station", "task"} <= set(heads):
        raise WrongQuestionError(f"{table.file}: a task table has the columns station and task.")
    rows = [dict(zip(heads, (cell.text for cell in row), strict=True)) for row in table.rows]
    done, lost, unsaid, apart = [], [], [], []
    for one in fits:
        cell_texts = _cells(one)
        here = _rows_of(one, rows)
        if not here:
            lost.append(one.task)
        elif cell_texts is None:
            unsaid.append(one.task)
        else:
            for row in here:
                row.update(dict.fromkeys(_OWN, ""), **cell_texts)
            done.append(one.task)
            if any(TIME_FOR.fullmatch(name) and text for row in here for name, text in row.items()):
                apart.append(one.task)
    if not done:
        raise WrongQuestionError(f"{table.file}: none of the tasks stands in it: {listed(lost + unsaid)}.")
    said = f"{os.path.basename(table.file)} has measured times of {count_of(len(done), 'task')} now."
    if lost:
        said += f" It has no {listed(lost, 'or')}."
    if unsaid:
        said += f" A table cannot say the times of {listed(unsaid)}: paste their lines."
    if apart:
        said += f" Times that it has for one model or option alone are left as they are: {listed(apart)}."
    columns = [*heads, *(name for name in _OWN if name not in heads)]
    kept = [name for name in columns if name in heads or any(row.get(name) for row in rows)]
    return csv_text(kept, [[row.get(name, "") for name in kept] for row in rows]), said


def _table(path: str | os.PathLike[str]) -> CellGrid:
    name = os.fspath(path)
    real = Path(os.path.realpath(name))
    notes = Notes()
    try:
        found = Folder(os.path.dirname(name), real.parent).read(real.name, limit=TABLE_LIMIT)
        if is_workbook(found):
            raise WrongQuestionError(
                f"{name} is a workbook; times are written into CSV files: save it as one."
            )
        return read_grid(found, prefer="tasks")
    except UnreadableError as error:
        notes.of_file(name, error)
        raise ScenarioError(notes.sorted([name])) from None


def _rows_of(one: Fitted, rows: Sequence[dict[str, str]]) -> list[dict[str, str]]:
    element = one.element
    name = _plain(element.name)
    found = [row for row in rows if name in (_plain(row["task"]), _plain(row.get("title", "")))]
    if element.station:
        return [row for row in found if _plain(row["station"]) == _plain(element.station)]
    return found if len({row["station"] for row in found}) == 1 else []


def _plain(text: str) -> str:
    """Return a name or title as names are compared: what a plant writes is not always written alike."""
    return name_of(text).casefold() if text else ""


def _cells(one: Fitted) -> dict[str, str] | None:
    """Return the cells of a fitted time; None where a task table has no columns for it."""
    shape = one.proposed
    if shape is None:
        return None
    known = "estimated" if one.is_estimate else "measured"
    return {**_figures(shape), "source": one.source, "confidence": known}


def _figures(shape: Shape) -> dict[str, str]:
    if isinstance(shape, Constant):
        return {"mean_s": _text(shape.mean_s), "cv": ""}
    if isinstance(shape, Lognormal | Gamma | Weibull | Normal):
        named = "" if isinstance(shape, Lognormal) else shape.kind
        mean, sd = (shape.mean_s, shape.sd_s) if not isinstance(shape, Normal) else _bell(shape)
        return {"mean_s": _text(mean), "cv": _text(sd / mean), "shape": named}
    if isinstance(shape, Erlang):
        return {"mean_s": _text(shape.mean_s), "cv": _text(1 / math.sqrt(shape.stages)), "shape": "gamma"}
    lengths = {name: value.seconds for name, value in shape.figures.items() if isinstance(value, Duration)}
    return {**{f"{name}_s": _text(value) for name, value in lengths.items()}, "shape": shape.kind}


def _bell(shape: Normal) -> tuple[float, float]:
    """Return mean and standard deviation of the bell before it is cut at 0."""
    mean = shape.mean.seconds
    return mean, shape.sd.seconds if shape.sd is not None else (shape.cv or 0.0) * mean


def _text(value: float) -> str:
    return f"{short(value):.10g}"
