"""The tables of a result as rows of text, for files that a spreadsheet opens."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

from linesim.runs.result import Result
from linesim.runs.rows import Row

Cell = str | int | float | None


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """Return a table as CSV: UTF-8, commas, one line a row; what is unknown is empty.

    Numbers are written in full, so that they read back as the same numbers. Text that a
    spreadsheet would take for a formula is written with an apostrophe before it.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([plain(cell) for cell in row] for row in rows)
    return out.getvalue()


def plain(cell: Cell) -> Cell:
    """Return a cell that no spreadsheet takes for a formula.

    Examples:
        >>> plain("=1+1"), plain("K1"), plain(-3.5), plain(None)
        ("'=1+1", 'K1', -3.5, None)
    """
    if isinstance(cell, str) and cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n")):
        return "'" + cell
    return cell


def measures_csv(result: Result) -> str:
    """Return the table of measures."""
    return csv_text(Row._fields, result.measures)


def replications_csv(result: Result) -> str:
    """Return every figure of every replication, one a row."""
    columns = ("replication", "measure", "where", "cause", "unit", "value")
    return csv_text(columns, _figures(result))


def shifts_csv(result: Result) -> str:
    """Return every whole shift of every replication: jobs, stop minutes of each section, jobs put right."""
    columns = (
        "replication",
        "shift",
        "jobs",
        "reworked",
        *(f"stop_min_{name}" for name in result.run.sections),
    )
    rows = (
        (replication.number, number, shift.jobs, shift.reworked, *shift.stop_min)
        for replication in result.replications
        for number, shift in enumerate(replication.shifts, start=1)
    )
    return csv_text(columns, rows)


def _figures(result: Result) -> Iterator[tuple[Cell, ...]]:
    for replication in result.replications:
        for label, value in zip(result.labels, replication.values, strict=True):
            yield (replication.number, *label, value)
