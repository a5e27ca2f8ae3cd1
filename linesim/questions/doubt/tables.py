"""The tables behind an answer about doubt."""

from __future__ import annotations

from collections.abc import Sequence

from linesim.questions.answer_table import AnswerTable
from linesim.questions.csv_tables import Cell
from linesim.questions.doubt.moves import BASE, Move, RangeEnd
from linesim.questions.verdicts import verdict
from linesim.runs.rows import Row

_END = ("measure", "unit", "change", "low", "high", "replications", "method", "verdict")
INPUTS = ("rank", "input", "weight", "what", "inputs", "end", "factor", "usual_range", *_END, "decision")
TOGETHER = ("case", *_END, "decided_by", "decided_low", "decided_high", "decision")


def inputs_table(moves: Sequence[Move]) -> AnswerTable:
    """Return what each input does at either end, in their order of rank."""
    rows: list[tuple[Cell, ...]] = []
    for rank, move in enumerate(moves, start=1):
        item = move.input
        for name, end in (("low", move.low), ("high", move.high)):
            rows.append(
                (rank, item.name, item.weight, item.what, item.count, name, end.factor, item.is_default,
                 *_cells(end.change), end.fate or None)
            )  # fmt: skip
    return AnswerTable.of(
        "inputs", INPUTS, rows, "The line with one input at an end of its range, minus the line as it is."
    )


def together_table(level: Row, decided: Row | None, together: Sequence[RangeEnd]) -> AnswerTable:
    """Return the line as it is, and with every input at its worse and its better end at once."""
    none = (None,) * 3
    rows: list[tuple[Cell, ...]] = [
        (BASE, level.measure, level.unit, level.mean, level.low, level.high, level.replications,
         level.method, None, *(none if decided is None else (decided.mean, decided.low, decided.high)), None)
    ]  # fmt: skip
    for end in together:
        row = end.decided
        rows.append(
            (end.case, *_cells(end.change), *(none if row is None else (row.mean, row.low, row.high)),
             end.fate or None)
        )  # fmt: skip
    return AnswerTable.of(
        "together", TOGETHER, rows, f"'{BASE}' by itself; the others as changes against it."
    )


def _cells(row: Row) -> tuple[Cell, ...]:
    return (
        row.measure, row.unit, row.mean, row.low, row.high, row.replications, row.method, verdict(row),
    )  # fmt: skip
