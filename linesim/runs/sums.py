"""Several states taken together, with the interval of their sum."""

from __future__ import annotations

from collections.abc import Callable

from linesim.runs.replication import Label
from linesim.runs.result import Result
from linesim.runs.rows import Row, row_of


def together(result: Result, measure: str, where: str, belongs: Callable[[str], bool]) -> Row:
    """Return the row of the sum of the causes or states of ``where`` that ``belongs`` picks.

    Summed in each replication and then averaged: the parts go up and down together, so the
    interval of the sum does not follow from theirs.
    """
    columns = [
        column
        for column, label in enumerate(result.labels)
        if label[:2] == (measure, where) and belongs(label.cause)
    ]
    sums = []
    for replication in result.replications:
        given = [value for column in columns if (value := replication.values[column]) is not None]
        if given:
            sums.append(sum(given))
    unit = result.labels[columns[0]].unit if columns else ""
    return row_of(Label(measure, where, "", unit), sums, result.run.confidence)
