"""Every figure that two cases share, as a difference."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np

from linesim.plan.arrays import FloatArray
from linesim.stats import Difference, joint_confidence, mean_interval
from linesim.studies.asked import Asked
from linesim.studies.cases import CaseRuns
from linesim.studies.comparison.pairing import fair_difference
from linesim.studies.replicate import Replications
from linesim.studies.rows import Row
from linesim.studies.verdicts import verdict


class DifferenceRow(NamedTuple):
    """One figure of one case against the base.

    Attributes:
        case: The case.
        measure, where, cause, unit: Which figure; see `linesim.measures.DEFINITIONS`.
        base_mean, case_mean: Its means over the replications that give it in both.
        difference, low, high, half_width: Case minus base, with its interval.
        replications: Pairs of replications.
        correlation: Of the two over replications; None if nothing varies.
        saving: Replications of independent draws that one with common draws is worth; None if nothing
            varies, or if all differences are the same.
        method: How the interval was found.
        confidence: Of this interval alone.
        comparisons: How many such intervals hold together with the confidence of the study.
        verdict: ``higher``, ``lower``, ``can't tell``, ``the same``, or ``no interval``.
    """

    case: str
    measure: str
    where: str
    cause: str
    unit: str
    base_mean: float
    case_mean: float
    difference: float
    low: float | None
    high: float | None
    half_width: float | None
    replications: int
    correlation: float | None
    saving: float | None
    method: str
    confidence: float
    comparisons: int
    verdict: str

    @property
    def figure(self) -> Asked:
        """Which figure it is."""
        return Asked(self.measure, self.where, self.cause)

    @property
    def as_row(self) -> Row:
        """The difference as a row of a table of measures, for putting it into words."""
        return Row(
            self.measure, self.where, self.cause, self.unit, self.difference, self.low, self.high,
            self.half_width, None, self.replications, self.method,
        )  # fmt: skip


def difference_rows(
    runs: CaseRuns, base: str, case: str, figures: Iterable[Asked], *, confidence: float, comparisons: int
) -> tuple[DifferenceRow, ...]:
    """Return the differences of figures that both cases give in some replication.

    Args:
        runs: The replications.
        base: Name of the case to compare with.
        case: Name of the case whose gain is asked for.
        figures: Which figures; those that either lacks are left out.
        confidence: Of all comparisons together, between 0 and 1.
        comparisons: How many intervals have to hold together (Bonferroni), >= 1.
    """
    numbers = runs.common((base, case))
    ours, theirs = _columns(runs.found[case], numbers), _columns(runs.found[base], numbers)
    alone = joint_confidence(confidence, comparisons)
    rows = []
    for figure in figures:
        if figure not in ours or figure not in theirs:
            continue
        (unit, values), (_, before) = ours[figure], theirs[figure]
        both = ~(np.isnan(values) | np.isnan(before))
        if both.any():
            found = fair_difference(values[both], before[both], alone)
            means = mean_interval(before[both]).mean, mean_interval(values[both]).mean
            rows.append(_row(case, figure, unit, means, found, alone, comparisons))
    return tuple(rows)


def shared_figures(runs: CaseRuns, names: Sequence[str]) -> tuple[Asked, ...]:
    """Return the figures that all the named cases have rows for, in the order of the first."""
    others = [{label[:3] for label in runs.found[name].labels} for name in names[1:]]
    return tuple(
        Asked(*label[:3])
        for label in runs.found[names[0]].labels
        if all(label[:3] in other for other in others)
    )


def _columns(runs: Replications, numbers: Sequence[int]) -> dict[Asked, tuple[str, FloatArray]]:
    """Return unit and values of every figure, in the order of the numbers."""
    given = {replication.number: replication.values for replication in runs.finished}
    table = np.array([given[number] for number in numbers], dtype=np.float64).reshape(len(numbers), -1)
    return {Asked(*label[:3]): (label.unit, table[:, column]) for column, label in enumerate(runs.labels)}


def _row(
    case: str,
    figure: Asked,
    unit: str,
    means: tuple[float, float],
    found: Difference,
    confidence: float,
    comparisons: int,
) -> DifferenceRow:
    interval = found.interval
    saving = found.variance_ratio
    low, high = interval.low, interval.high
    if unit == "share" and low is not None and high is not None:
        low, high = max(low, -1.0), min(high, 1.0)  # no two shares lie further apart
    row = DifferenceRow(
        case=case, measure=figure.measure, where=figure.where, cause=figure.cause, unit=unit,
        base_mean=means[0], case_mean=means[1], difference=interval.mean, low=low,
        high=high, half_width=interval.half_width, replications=interval.n,
        correlation=found.correlation, saving=None if saving is None or saving == float("inf") else saving,
        method=found.method if interval.low is not None else "none: one replication",
        confidence=confidence, comparisons=comparisons, verdict="",
    )  # fmt: skip
    return row._replace(verdict=verdict(row.as_row))
