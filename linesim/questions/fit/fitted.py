"""What is found of one task: shapes, the one proposed, its line of TOML, its cells in a task table."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linesim.answers.table import csv_text
from linesim.answers.values import Estimate
from linesim.answers.wording import count_of, listed
from linesim.errors import WrongQuestionError
from linesim.intake.figures import name_of
from linesim.intake.study import TimedElement
from linesim.plan.tables import FloatArray, IntArray
from linesim.questions.alternatives import open_table
from linesim.questions.fit.candidates import FITS, LeftOut, ShapeCandidate, candidates
from linesim.scenario import cells
from linesim.scenario.cells import TIME_FOR
from linesim.scenario.shapes import Constant, Erlang, Gamma, Lognormal, Normal, Shape, Weibull
from linesim.scenario.toml import toml_value
from linesim.stats.intervals import bootstrap_interval, mean_interval
from linesim.stats.precision import far_from_others
from linesim.ticks import Duration, Unit, of_seconds

_UNITS: tuple[tuple[Unit, float, float], ...] = (
    ("s", 1.0, 600.0), ("min", 60.0, 7200.0), ("h", 3600.0, math.inf),
)  #: Unit, its size, up to [s].  # fmt: skip
_DIGITS = 4  #: Digits of a figure: finer than any time study.


def toml_of(shape: Shape, *, source: str) -> str:
    """Return the line for a shape.

    Args:
        shape: The shape; with a spread, and not empirical.
        source: Where the times come from.

    Examples:
        >>> from linesim.scenario.shapes import Lognormal
        >>> toml_of(Lognormal(mean="55.2341 s", cv=0.18012), source="times.csv, 40 times")
        'time = { shape = "lognormal", mean = "55.23 s", cv = 0.1801, source = "times.csv, 40 times", \
confidence = "measured" }'
    """
    table: dict[str, Any] = {"shape": shape.kind, **_figures(shape)}
    return _line(table, source)


def _line(table: dict[str, Any], source: str) -> str:
    weight = {"source": source, "confidence": "measured"} if source else {"confidence": "measured"}
    return f"time = {toml_value({**table, **weight})}"


def _figures(shape: Shape) -> dict[str, Any]:
    """Return the figures of a shape as a scenario writes them, its times all in the unit of the longest."""
    figures = shape.figures
    lengths = {name: value.seconds for name, value in figures.items() if isinstance(value, Duration)}
    texts = dict(zip(lengths, durations(tuple(lengths.values())), strict=True))
    others = {name: short(value) if isinstance(value, float) else value for name, value in figures.items()}
    return {**others, **texts}


def unit_for(seconds: float) -> tuple[Unit, float]:
    """Return the unit in which people would say a time, and its size [s]."""
    return next((unit, size) for unit, size, most in _UNITS if seconds < most)


def durations(seconds: tuple[float, ...]) -> list[str]:
    """Return times as a scenario writes them, all in the unit of the longest.

    Examples:
        >>> durations((55.2341,)), durations((44.28, 1017.6))
        (['55.23 s'], ['0.738 min', '16.96 min'])
    """
    unit, size = unit_for(max(seconds))
    return [str(Duration(short(value / size), unit, value)) for value in seconds]


def short(value: float) -> float:
    """Return a figure with as many digits as any time study has."""
    return float(f"{value:.{_DIGITS}g}")


FEWEST = 10  #: Fewer times say nothing of a shape.
ALL, WITHOUT = "with", "without"  #: Which times a fit is of: with those far from the others, or without.
_FAR = 5.0  #: A time further from the middle than so many robust standard deviations is pointed at;
_FAR_OF_FEW = 8.0  #: of fewer than `FEWEST` one further than so many (2 % of normal studies of 8 have one);
_FEWEST_FAR = 6  #: of fewer than these none.
_OF_ALIKE = 0.02  #: Standard deviation over middle where most times are alike.


@dataclass(frozen=True, slots=True)
class Fitted:
    """A fit to the times of a task.

    Attributes:
        element: What was measured.
        task: What tells it apart from others.
        outliers: Which of its times: `ALL` or `WITHOUT`.
        times_s: The times [s], in the order in which they were measured.
        mean: Their mean [s].
        cv: Standard deviation over mean; None where all times are 0, or there is but one.
        shapes: The shapes that were fitted, the proposed one first.
        left_out: The shapes that were not, and why.
        shape: Name of the shape that the line has.
        proposed: The shape itself; None for the measured times as they are.
        line: The line of TOML to paste.
        source: Where the times come from; empty if from no file.
    """

    element: TimedElement
    task: str
    outliers: str
    times_s: FloatArray
    mean: Estimate
    cv: Estimate | None
    shapes: tuple[ShapeCandidate, ...]
    left_out: tuple[LeftOut, ...]
    shape: str
    proposed: Shape | None
    line: str
    source: str

    @property
    def chance(self) -> float | None:
        """Share of samples of the proposed shape that lie as far off; None where none was drawn."""
        return self.shapes[0].chance if self.shapes and self.shapes[0].fate == FITS else None

    @property
    def is_estimate(self) -> bool:
        """Whether there are too few times to tell a shape."""
        return self.times_s.size < FEWEST and self.shape == "lognormal"


def far_off(times: FloatArray) -> IntArray:
    """Return the places of times far from the others, in robust standard deviations.

    The standard deviation is taken from the median of the distances from the median, as of a normal; where
    more than half of the times are alike, as rounded ones may be, it is 2 % of the median.

    Examples:
        >>> far_off(np.array([48, 51, 47, 50, 49, 52, 150.0])).tolist()
        [6]
        >>> far_off(np.array([48, 48, 48, 48, 48, 150.0, 48, 48])).tolist()
        [5]
    """
    if times.size < _FEWEST_FAR:
        return np.zeros(0, dtype=np.int64)
    return far_from_others(times, _FAR if times.size >= FEWEST else _FAR_OF_FEW, least=_OF_ALIKE)


def fitted(
    element: TimedElement,
    task: str,
    outliers: str,
    kinds: Sequence[str],
    *,
    file: str,
    samples: int,
    seed: int,
    confidence: float,
    whatever_fits: bool = True,
    tell: Callable[[int, int], None] | None = None,
) -> Fitted:
    """Return the fit to the times of a task.

    Args:
        element: What was measured.
        task: What tells it apart.
        outliers: Which of its times.
        kinds: Shapes to try.
        file: Name of a file that a scenario can read the times from by their heading; empty for none.
        samples: Samples for the goodness of fit.
        seed: Of those samples.
        confidence: Of the intervals.
        whatever_fits: Whether shapes with two ends are tried also where another fits.
        tell: Told how many shapes are done, and of how many.
    """
    times = np.asarray(element.times_s, dtype=np.float64)
    if outliers == WITHOUT:
        times = np.delete(times, far_off(times))
    found: tuple[ShapeCandidate, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    if times.size >= FEWEST and times.min() < times.max():
        found, left_out = candidates(
            times, kinds, samples=samples, seed=seed, whatever_fits=whatever_fits, tell=tell
        )
    few = ", without outliers" if outliers == WITHOUT else ""
    source = f"{file}, {count_of(times.size, 'time')}{few}" if file else ""
    proposed = _proposed(times, found)
    if proposed is None:
        is_there = bool(file and element.heading) and outliers == ALL
        # A table has to stand in the scenario's folder or below; else the times are written out.
        where = {"file": file, "column": element.heading} if is_there else {"values_s": times.tolist()}
        line = _line({"shape": "empirical", **where}, source)
    else:
        line = toml_of(proposed, source=source)
        if times.size < FEWEST and times.min() < times.max():
            line = line.replace('confidence = "measured"', 'confidence = "estimated"')
    return Fitted(
        element, task, outliers, times, _mean(times, confidence), _cv(times, confidence), found, left_out,
        "empirical" if proposed is None else proposed.kind, proposed, line, source,
    )  # fmt: skip


def _proposed(times: FloatArray, found: Sequence[ShapeCandidate]) -> Shape | None:
    """Return the shape that is proposed; None for the measured times themselves."""
    if times.min() == times.max():
        return Constant(mean=of_seconds(float(times[0])))
    if times.size < FEWEST:
        mean, sd = float(times.mean()), float(times.std(ddof=1))
        return Lognormal(mean=of_seconds(mean), cv=sd / mean)
    return next((one.shape for one in found if one.fate == FITS), None)


def _mean(times: FloatArray, confidence: float) -> Estimate:
    return Estimate.of(mean_interval(times, confidence), "s")


def _cv(times: FloatArray, confidence: float) -> Estimate | None:
    """Return standard deviation over mean with its bootstrap interval; None where the mean is 0."""
    if times.size < 2 or times.mean() == 0:
        return None
    cv = float(times.std(ddof=1) / times.mean())
    if times.size < FEWEST or times.min() == 0 or cv == 0:
        return Estimate(cv, n=times.size, method="none: too few times", unit="share")

    def spread(chosen: IntArray) -> FloatArray:
        drawn = times[chosen]
        return np.asarray(drawn.std(axis=1, ddof=1) / drawn.mean(axis=1))

    found = bootstrap_interval(spread, times.size, confidence=confidence, studies=1000)
    return Estimate(cv, found.low, found.high, n=times.size, method=found.method, unit="share")


_TIMES = tuple(f"{name}_{unit}" for name in ("mean", "low", "mode", "high") for unit in cells.UNITS)
_OWN = (*_TIMES, "cv", "shape", "source", "confidence")  #: Columns that a fitted time has to itself.


def written_back(path: str | os.PathLike[str], fits: Sequence[Fitted]) -> tuple[str, str]:
    """Return a task table with the fitted times in it, and a sentence of what was done.

    A task is found by its name or its title, and by its station where the study names it.

    Raises:
        ScenarioError: If the table cannot be read.
        WrongQuestionError: If it is a workbook, or has no such columns or none of the tasks.
    """
    table = open_table(path, prefer="tasks", as_text=True)
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
    return {**_cells_of(shape), "source": one.source, "confidence": known}


def _cells_of(shape: Shape) -> dict[str, str]:
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
