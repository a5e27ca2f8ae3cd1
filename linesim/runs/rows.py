"""From many replications to one row a figure: mean, interval, spread."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from linesim.answers.measure import Measure
from linesim.answers.values import Estimate, possible
from linesim.measures import SEGMENT
from linesim.plan.tables import FloatArray, IntArray
from linesim.runs.replication import Label, Replication
from linesim.stats.intervals import Interval, bootstrap_interval, mean_interval, share_interval

NO_INTERVAL = "none: one replication"  #: ``method`` of a figure that one replication alone gives
NO_FIGURE = "none: no replication gives it"
_MAY_BE_NEGATIVE = frozenset({"net_money", "net_money_per_week"})


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

    @property
    def estimate(self) -> Estimate:
        """The figure as answers have it; money knows its currency, a share is read in percent."""
        currency = Measure(self.measure).currency(self.unit)
        return Estimate(
            self.mean, self.low, self.high, self.half_width, self.sd, self.replications, self.method,
            self.unit, currency=currency,
        )  # fmt: skip


def rows_of(
    labels: Sequence[Label],
    finished: Sequence[Replication],
    confidence: float,
    *,
    target: float | None = None,
) -> tuple[Row, ...]:
    """Return the table of measures.

    Args:
        labels: Names of the figures.
        finished: Replications, at least one.
        confidence: Chance that an interval covers the true value, between 0 and 1.
        target: Jobs per shift that the plan asks for.
    """
    rows = []
    for column, label in enumerate(labels):
        rows.append(figure_row(label, column, finished, confidence, target))
        if label[:2] == ("jobs_per_shift", SEGMENT):
            rows += [percentile_row(percent, finished, confidence) for percent in (10, 90)]
    return tuple(rows)


def figure_row(
    label: Label, column: int, finished: Sequence[Replication], confidence: float, target: float | None
) -> Row:
    """Return the row of the figure in a column of the replications' figures."""
    if label.measure == "plan_met" and target is not None:
        return plan_met_row(label, target, finished, confidence)
    given = (replication.values[column] for replication in finished)
    return row_of(label, [value for value in given if value is not None], confidence)


def row_of(label: Label, values: Sequence[float], confidence: float) -> Row:
    """Return the row of a figure of the line from its values, one a replication that gives it."""
    return row_from(label, mean_interval(values, confidence)) if len(values) else _row(label, None)


def row_from(label: Label, found: Interval) -> Row:
    """Return an interval as a row, without what is not possible."""
    may_be_negative = label.measure in _MAY_BE_NEGATIVE
    return _row(label, possible(found, label.unit, may_be_negative=may_be_negative))


def plan_met_row(label: Label, target: float, finished: Sequence[Replication], confidence: float) -> Row:
    """Return the row of the share of shifts that make ``target`` jobs."""
    cases = [len(replication.shifts) for replication in finished]
    if not sum(cases):
        return _row(label, None)
    hits = [sum(shift.jobs >= target for shift in replication.shifts) for replication in finished]
    found = share_interval(hits, cases, confidence=confidence)
    return _row(label, found)


def percentile_row(percent: int, finished: Sequence[Replication], confidence: float) -> Row:
    """Return the row of a percentile of jobs per shift, over the shifts of all replications together."""
    label = Label(f"jobs_per_shift_p{percent}", SEGMENT, "", "jobs")
    groups = [np.array([shift.jobs for shift in r.shifts], dtype=np.int64) for r in finished if r.shifts]
    if not groups:
        return _row(label, None)
    assert len({len(group) for group in groups}) == 1, "replications of a plan have the same shifts"
    table = np.stack(groups)

    def pooled(chosen: IntArray) -> FloatArray:
        return nearest_rank(table[chosen].reshape(len(chosen), -1), percent)

    found = bootstrap_interval(pooled, len(groups), confidence=confidence)
    return _row(label, found)


def nearest_rank(values: IntArray, percent: int) -> FloatArray:
    """Return, row by row, the smallest value that at least ``percent`` % of the row do not exceed.

    A whole number of jobs that a shift really made, not a value between two of them.

    Examples:
        >>> nearest_rank(np.array([[5, 6, 7, 8, 9, 10, 11, 12, 13, 14]]), 90)
        array([13.])
    """
    rank = max(0, -(-percent * values.shape[1] // 100) - 1)
    return np.asarray(np.partition(values, rank, axis=1)[:, rank], dtype=np.float64)


def _row(label: Label, found: Interval | None) -> Row:
    if found is None:
        return Row(*label, None, None, None, None, None, 0, NO_FIGURE)
    method = NO_INTERVAL if found.low is None else found.method
    return Row(*label, found.mean, found.low, found.high, found.half_width, found.sd, found.n, method)
