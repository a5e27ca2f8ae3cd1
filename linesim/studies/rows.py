"""From many replications to one row a figure: mean, interval, spread."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from linesim.measures import SEGMENT
from linesim.stats import mean_interval
from linesim.studies.replication import Label, Replication

NO_INTERVAL = "none: one replication"  #: ``method`` of a figure that one replication alone gives
NO_FIGURE = "none: no replication gives it"


class Row(NamedTuple):
    """One row of the table of measures.

    Attributes:
        measure, where, cause, unit: What it is; see `linesim.measures.DEFINITIONS`.
        mean: Estimate over replications; None if no replication gives the figure.
        low, high: Bounds of its interval; None where there is none.
        half_width: Half the width of a symmetric interval.
        sd: Standard deviation between replications.
        replications: Number of replications that give the figure.
        method: How the interval was found, or why there is none.
    """

    measure: str
    where: str
    cause: str
    unit: str
    mean: float | None
    low: float | None
    high: float | None
    half_width: float | None
    sd: float | None
    replications: int
    method: str


def rows_of(labels: Sequence[Label], finished: Sequence[Replication], confidence: float) -> tuple[Row, ...]:
    """Return the table of measures.

    Args:
        labels: Names of the figures.
        finished: Replications, at least one.
        confidence: Chance that an interval covers the true value, between 0 and 1.
    """
    rows = []
    for column, label in enumerate(labels):
        given = [r.values[column] for r in finished]
        rows.append(row_of(label, [value for value in given if value is not None], confidence))
        if label[:2] == ("jobs_per_shift", SEGMENT):
            rows += [percentile_row(percent, finished) for percent in (10, 90)]
    return tuple(rows)


def row_of(label: Label, values: Sequence[float], confidence: float) -> Row:
    """Return the row of a figure from its values, one a replication that gives it."""
    if not values:
        return Row(*label, None, None, None, None, None, 0, NO_FIGURE)
    found = mean_interval(values, confidence)
    method = found.method if found.low is not None else NO_INTERVAL
    return Row(*label, found.mean, found.low, found.high, found.half_width, found.sd, found.n, method)


def percentile_row(percent: int, finished: Sequence[Replication]) -> Row:
    """Return the row of a percentile of jobs per shift, over the shifts of all replications together."""
    jobs = sorted(shift.jobs for replication in finished for shift in replication.shifts)
    label = (f"jobs_per_shift_p{percent}", SEGMENT, "", "jobs")
    if not jobs:
        return Row(*label, None, None, None, None, None, 0, NO_FIGURE)
    value = float(nearest_rank(jobs, percent))
    return Row(*label, value, None, None, None, None, len(finished), f"percentile of {len(jobs)} shifts")


def nearest_rank(ordered: Sequence[int], percent: int) -> int:
    """Return the smallest of ``ordered`` (ascending) that at least ``percent`` % of them do not exceed.

    A whole number of jobs that a shift really made, not a value between two of them.

    Examples:
        >>> nearest_rank([5, 6, 7, 8, 9, 10, 11, 12, 13, 14], 10)
        5
        >>> nearest_rank([5, 6, 7, 8, 9, 10, 11, 12, 13, 14], 90)
        13
    """
    return ordered[max(0, -(-percent * len(ordered) // 100) - 1)]
