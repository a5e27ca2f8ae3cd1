"""The tables behind an answer about the plant's records."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from linesim.plan.arrays import FloatArray
from linesim.questions.answer_table import AnswerTable
from linesim.questions.csv_tables import Cell
from linesim.questions.validate.actuals import Actuals
from linesim.questions.validate.judged import Judged

FIGURES = (
    "figure", "plant_shifts", "plant_mean", "line_mean", "difference", "low", "high", "matters_from",
    "verdict", "p10", "p90", "plant_shifts_inside", "line_share_inside", "scatter",
)  # fmt: skip
SHIFTS = ("figure", "shift", "plant", "p10", "p90", "line_share_at_most")


def figures_table(figures: Sequence[Judged]) -> AnswerTable:
    """Return what each recorded figure says."""
    rows: list[tuple[Cell, ...]] = [
        (j.column.name, j.shifts, j.plant, j.line, j.difference, j.low, j.high, j.matters, j.verdict, j.p10,
         j.p90, j.inside, j.expected, j.scatter or None)
        for j in figures
    ]  # fmt: skip
    return AnswerTable.of(
        "figures", FIGURES, rows, "Simulated line minus plant; p10 to p90 holds eight single shifts in ten."
    )


def shifts_table(records: Actuals, simulated: Mapping[str, FloatArray]) -> AnswerTable:
    """Return each shift of the plant beside the simulated range, and which share of them is no higher."""
    rows: list[tuple[Cell, ...]] = []
    for column in records.columns:
        every = np.sort(simulated[column.name], axis=None)
        p10, p90 = (float(np.quantile(every, p, method="inverted_cdf")) for p in (0.1, 0.9))
        for label, value in zip(column.shifts, column.values, strict=True):
            share = float(np.searchsorted(every, value, side="right")) / every.size
            rows.append((column.name, label, value, p10, p90, share))
    return AnswerTable.of("shifts", SHIFTS, rows, "The plant's shifts against single simulated ones.")
