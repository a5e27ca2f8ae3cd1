"""The tables behind a fit."""

from __future__ import annotations

from collections.abc import Sequence

from linesim.plan.arrays import FloatArray
from linesim.questions.answer_table import AnswerTable
from linesim.questions.csv_tables import Cell
from linesim.questions.fit.candidates import Candidate, LeftOut, tail_shares
from linesim.runs.rows import Row
from linesim.ticks import Duration

DATA = ("figure", "unit", "mean", "low", "high", "times", "method")
SHAPES = (
    "shape", "parameter_1", "parameter_2", "parameter_3", "mean_s", "sd_s", "log_likelihood", "aic",
    "measure", "distance", "chance", "fate",
)  # fmt: skip
TAIL = ("shape", "share_below", "data_s", "shape_s")


def data_table(mean: Row, cv: Row | None) -> AnswerTable:
    """Return what the times are without any shape."""
    rows = [(r.measure, r.unit, r.mean, r.low, r.high, r.replications, r.method) for r in (mean, cv) if r]
    return AnswerTable.of("data", DATA, rows, "Mean and coefficient of variation of the times as measured.")


def shapes_table(found: Sequence[Candidate], left_out: Sequence[LeftOut]) -> AnswerTable:
    """Return every shape with its parameters and how far off it is."""
    rows: list[tuple[Cell, ...]] = []
    for one in found:
        figures = [v.seconds if isinstance(v, Duration) else float(v) for v in one.shape.figures.values()]
        params = [*figures, None, None][:3]
        rows.append(
            (one.kind, *params, one.mean_s, one.sd_s, one.log_likelihood, one.aic, one.measure, one.distance,
             one.chance, one.fate)
        )  # fmt: skip
    rows += [(out.kind, *(None,) * 10, f"not tried: {out.why}") for out in left_out]
    return AnswerTable.of(
        "shapes", SHAPES, rows, "Most likely parameters, times in seconds; chance: of samples as far off."
    )


def tail_table(times: FloatArray, found: Sequence[Candidate]) -> AnswerTable:
    """Return what data and shapes say at some quantiles."""
    rows = [(one.kind, *row) for one in found for row in tail_shares(times, one)]
    return AnswerTable.of("quantiles", TAIL, rows, "Times that so large a share of times stays below.")
