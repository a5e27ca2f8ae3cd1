"""What a factor does, averaged over the others, with intervals over replications."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from linesim.plan.arrays import FloatArray
from linesim.scenario.toml import shown_value
from linesim.stats import Interval, joint_confidence, mean_interval
from linesim.studies.asked import Asked
from linesim.studies.cases import CaseRuns
from linesim.studies.rows import Row
from linesim.studies.varying import Factor, Point
from linesim.studies.verdicts import verdict
from linesim.studies.wrong_question import WrongQuestionError


class Effect(NamedTuple):
    """What it does to the deciding figure that a factor goes from one value to another.

    Attributes:
        factor: The factor; ``a × b`` for what two do together.
        before, after: The values, as text.
        effect, low, high: Change of the figure, with its interval.
        replications: Values behind it, one a replication.
        confidence: Of this interval alone.
        comparisons: How many such intervals hold together with the confidence of the study.
        method: How it was found.
        verdict: ``higher``, ``lower``, ``can't tell``, ``the same``, or ``no interval``.
    """

    factor: str
    before: str
    after: str
    effect: float
    low: float | None
    high: float | None
    replications: int
    confidence: float
    comparisons: int
    method: str
    verdict: str

    def as_row(self, figure: Asked) -> Row:
        """Return the effect as a row of a table of measures, for putting it into words."""
        half = None if self.low is None or self.high is None else (self.high - self.low) / 2
        return Row(
            *figure, "", self.effect, self.low, self.high, half, None, self.replications, self.method
        )  # fmt: skip


def effect_of(
    factor: str, before: str, after: str, values: FloatArray, confidence: float, comparisons: int, how: str
) -> Effect:
    """Return an effect from its value in each replication, shape ``(replications,)``."""
    found = mean_interval(values, joint_confidence(confidence, comparisons))
    return effect_from(factor, before, after, found, comparisons, how)


def effect_from(factor: str, before: str, after: str, found: Interval, comparisons: int, how: str) -> Effect:
    """Return an effect from its interval."""
    row = Row("", "", "", "", found.mean, found.low, found.high, found.half_width, found.sd, found.n, "")
    return Effect(
        factor, before, after, found.mean, found.low, found.high, found.n, found.confidence, comparisons,
        how, verdict(row),
    )  # fmt: skip


def responses(runs: CaseRuns, names: Sequence[str], figure: Asked) -> FloatArray:
    """Return a figure of each case and replication, shape ``(cases, replications)``.

    Replications in which some case does not give the figure are left out, of all cases.

    Raises:
        WrongQuestionError: If none is left.
    """
    table = np.array([runs.values(name, *figure) for name in names])
    kept: FloatArray = table[:, ~np.isnan(table).any(axis=0)]
    if not kept.shape[1]:
        raise WrongQuestionError(f"no replication gives {figure} in every case.")
    return kept


def steps(
    factors: Sequence[Factor], points: Sequence[Point], table: FloatArray, confidence: float
) -> tuple[Effect, ...]:
    """Return what each step from one value of a factor to the next brings, over a whole grid.

    Args:
        factors: The factors of the grid.
        points: Its points, every combination once.
        table: The deciding figure, shape ``(points, replications)``.
        confidence: With which all steps hold together.
    """
    count = sum(len(factor.values) - 1 for factor in factors)
    how = "paired t" if len(factors) == 1 else "paired t, mean over the other factors"
    found = []
    for factor in factors:
        means = []
        for value in factor.values:
            level = shown_value(value)
            rows = [k for k, point in enumerate(points) if point.level(factor.path) == level]
            means.append(table[rows].mean(axis=0))
        for k in range(1, len(means)):
            before, after = (shown_value(factor.values[i]) for i in (k - 1, k))
            gain = means[k] - means[k - 1]
            found.append(effect_of(factor.name, before, after, gain, confidence, count, how))
    return tuple(found)


def slopes(
    factors: Sequence[Factor], points: Sequence[Point], table: FloatArray, confidence: float
) -> tuple[Effect, ...]:
    """Return what each factor does over its whole range, by a straight line through spread-out points.

    One least-squares fit a replication, with all factors in it; so the interval holds what luck does
    to the line, and not how far the truth bends away from it.

    Args:
        factors: Each with the two ends of its range.
        points: Points within the ranges, more than factors.
        table: The deciding figure, shape ``(points, replications)``.
        confidence: With which all effects hold together.

    Raises:
        WrongQuestionError: If there are too few points to tell the factors apart.
    """
    place = np.array([[_share(f, _value(point, f)) for f in factors] for point in points])
    left = np.column_stack([np.ones(len(points)), place])
    if np.linalg.matrix_rank(left) < left.shape[1]:
        raise WrongQuestionError(
            f"{len(points)} different points cannot tell {len(factors)} factors apart; take more points."
        )
    fitted = np.linalg.lstsq(left, table, rcond=None)[0]
    return tuple(
        effect_of(
            factor.name, shown_value(factor.values[0]), shown_value(factor.values[1]), fitted[1 + k],
            confidence, len(factors), "least squares in each replication",
        )
        for k, factor in enumerate(factors)
    )  # fmt: skip


def _value(point: Point, factor: Factor) -> object:
    return dict(point.levels)[factor.path]


def _share(factor: Factor, value: object) -> float:
    """Return where a value lies between the ends of a factor's range, from 0 to 1."""
    low, high, here = (_number(item) for item in (*factor.values, value))
    return (here - low) / (high - low)


def _number(value: object) -> float:
    from linesim.ticks import parse_duration

    if isinstance(value, int | float):
        return float(value)
    assert isinstance(value, str), "a range has numbers or times"
    found = parse_duration(value)
    return found.amount if found.unit == "shift" else found.seconds
