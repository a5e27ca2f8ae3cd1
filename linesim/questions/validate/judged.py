"""One recorded figure against the simulated one: the mean over shifts, and how far single shifts scatter."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from linesim.plan.arrays import FloatArray
from linesim.questions.validate.actuals import JOBS, RecordColumn
from linesim.stats import between_ranks, joint_confidence, mean_interval, welch_difference

PLAUSIBLE, TOO_GOOD, TOO_BAD, CANT_TELL = "plausible", "too good", "too bad", "can't tell"
STEADY, WILD, ALIKE = "too steady", "too unsteady", "plausible"

OTHERS = 5.0  #: Stop minutes and reworked jobs may be so many times as far off as jobs, as shares.
HIDDEN = 2.0  #: An interval that reaches further than so many times what matters tells nothing.
FEWEST = 2  #: So many shifts at least have a spread.


class Judged(NamedTuple):
    """What the comparison says of one recorded figure.

    Attributes:
        column: The record.
        plant: Mean over the plant's shifts.
        line: Mean over the simulated shifts.
        difference: Line minus plant.
        low, high: Its interval, together with those of all other figures; None if there is none.
        matters: The smallest difference that matters, in the unit of the figure.
        verdict: ``plausible``, ``too good``, ``too bad``, or ``can't tell``.
        p10, p90: Range that eight single simulated shifts in ten fall in.
        inside: Plant's shifts in that range.
        expected: Share of further simulated shifts in it; little where few were simulated.
        scatter: ``plausible``, ``too steady`` or ``too unsteady`` for the scatter of single simulated
            shifts about their mean; empty where the records are too few or the mean is off.
    """

    column: RecordColumn
    plant: float
    line: float
    difference: float
    low: float | None
    high: float | None
    matters: float
    verdict: str
    p10: float
    p90: float
    inside: int
    expected: float
    scatter: str

    @property
    def shifts(self) -> int:
        """How many shifts of the plant there are."""
        return len(self.column.values)

    @property
    def is_off(self) -> bool:
        """Whether the line is surely off by more than matters."""
        return self.verdict in (TOO_GOOD, TOO_BAD)

    @property
    def could_hide(self) -> float | None:
        """The largest difference that the records do not exclude."""
        return None if self.low is None or self.high is None else max(abs(self.low), abs(self.high))


def judge(
    column: RecordColumn, simulated: FloatArray, *, within: float, confidence: float, comparisons: int
) -> Judged:
    """Return what a recorded figure says of the simulated one.

    Replications are independent of each other; so, it is assumed, are the plant's shifts.

    Args:
        column: The plant's figures, one a shift.
        simulated: The line's, shape ``(replications, shifts)``.
        within: Share of the plant's mean from which on a difference in jobs matters; `OTHERS` times that
            for other figures.
        confidence: Of all comparisons together.
        comparisons: How many there are.
    """
    plant = np.asarray(column.values)
    alone = joint_confidence(confidence, comparisons)
    found = welch_difference(simulated.mean(axis=1), plant, alone).interval
    matters = within * (1.0 if column.kind == JOBS else OTHERS) * float(plant.mean())
    p10, p90 = (float(np.quantile(simulated, p, method="inverted_cdf")) for p in (0.1, 0.9))
    verdict = _verdict(column.kind, found.mean, found.low, found.high, matters)
    return Judged(
        column=column,
        plant=mean_interval(plant).mean,
        line=mean_interval(simulated.mean(axis=1)).mean,
        difference=found.mean,
        low=found.low,
        high=found.high,
        matters=matters,
        verdict=verdict,
        p10=p10,
        p90=p90,
        inside=int(np.sum((plant >= p10) & (plant <= p90))),
        expected=float((np.sum((simulated >= p10) & (simulated <= p90)) - 1) / (simulated.size + 1)),
        scatter=_scatter(plant, simulated, alone) if verdict in (PLAUSIBLE, CANT_TELL) else "",
    )


def _verdict(kind: str, mean: float, low: float | None, high: float | None, matters: float) -> str:
    if low is None or high is None:
        return CANT_TELL
    if low > 0 or high < 0:
        if abs(mean) <= matters:
            return PLAUSIBLE
        return TOO_GOOD if (mean > 0) == (kind == JOBS) else TOO_BAD
    return PLAUSIBLE if max(-low, high) <= HIDDEN * matters or low == high == 0 else CANT_TELL


def _scatter(plant: FloatArray, simulated: FloatArray, confidence: float) -> str:
    """Return whether single shifts of the line scatter about their mean as those of the plant do.

    As many of the plant's shifts should lie in the middle range of the simulated ones as further
    simulated ones would, once the means are laid on each other; few simulated shifts tell little of it.
    """
    if plant.size < FEWEST or simulated.size < FEWEST:
        return ""
    off = np.sort(simulated - simulated.mean(), axis=None)
    n = off.size
    first, last = math.ceil(0.1 * n) - 1, math.ceil(0.9 * n) - 1
    if first == last:
        return ""
    slack = 1e-9 * max(1.0, float(np.abs(off).max()))
    low, high = off[first] - slack, off[last] + slack
    theirs = plant - plant.mean()
    inside = int(np.sum((theirs >= low) & (theirs <= high)))
    # Values that occur again and again, as counts do, only bring more into the range: against few inside
    # the ranks alone are held, against many inside everything in the range.
    held = int(np.sum((off >= low) & (off <= high)))
    few = between_ranks(inside, plant.size, gaps=last - first, sample=n).at_most
    many = between_ranks(inside, plant.size, gaps=min(held, n - 1), sample=n).at_least
    if few < (1 - confidence) / 2:
        return STEADY
    return WILD if many < (1 - confidence) / 2 else ALIKE
