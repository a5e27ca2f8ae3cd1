"""One recorded figure against the simulated one: the mean over shifts, and how far single shifts scatter."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from linesim.answers.values import Change, Estimate
from linesim.plan.tables import FloatArray
from linesim.questions.validate.actuals import JOBS, STOPS, RecordColumn
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
        difference: Mean over the simulated shifts (`after`) minus mean over the plant's (`before`); its
            interval holds together with those of all other figures.
        matters_from: The smallest difference that matters, in the unit of the figure.
        verdict: ``plausible``, ``too good``, ``too bad``, or ``can't tell``.
        singles: Middle of single simulated shifts, and the range that eight in ten of them fall in.
        plant_shifts_inside: Plant's shifts in that range.
        line_share_inside: Share of further simulated shifts in it; little where few were simulated.
        scatter: ``plausible``, ``too steady`` or ``too unsteady`` for the scatter of single simulated
            shifts about their mean; empty where the records are too few or the mean is off.
    """

    column: RecordColumn
    difference: Change
    matters_from: float
    verdict: str
    singles: Estimate
    plant_shifts_inside: int
    line_share_inside: float
    scatter: str

    @property
    def figure(self) -> str:
        """What the records call it."""
        return self.column.name

    @property
    def plant_shifts(self) -> int:
        """How many shifts of the plant there are."""
        return len(self.column.values)

    @property
    def plant_share_inside(self) -> float:
        """Share of the plant's shifts in the range of eight simulated ones in ten."""
        return self.plant_shifts_inside / self.plant_shifts

    @property
    def is_off(self) -> bool:
        """Whether the line is surely off by more than matters."""
        return self.verdict in (TOO_GOOD, TOO_BAD)

    @property
    def off_by(self) -> float:
        """By how much the means differ, whichever is higher."""
        return abs(self.difference.mean or 0.0)

    @property
    def could_hide(self) -> float | None:
        """The largest difference that the records do not exclude."""
        low, high = self.difference.low, self.difference.high
        return None if low is None or high is None else max(abs(low), abs(high))


def singles(simulated: FloatArray) -> Estimate:
    """Return the middle of single simulated shifts, and the range that eight in ten of them fall in."""
    low, middle, high = (float(np.quantile(simulated, p, method="inverted_cdf")) for p in (0.1, 0.5, 0.9))
    return Estimate(middle, low, high, n=simulated.size, method="eight single ones in ten")


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
    means = simulated.mean(axis=1)
    difference = Change.between(
        welch_difference(means, plant, alone), "min" if column.kind == STOPS else "jobs",
        before=mean_interval(plant).mean, after=mean_interval(means).mean, comparisons=comparisons,
    )  # fmt: skip
    matters = within * (1.0 if column.kind == JOBS else OTHERS) * float(plant.mean())
    band = singles(simulated)
    verdict = _verdict(column.kind, difference, matters)
    return Judged(
        column=column,
        difference=difference,
        matters_from=matters,
        verdict=verdict,
        singles=band,
        plant_shifts_inside=_inside(plant, band),
        line_share_inside=(_inside(simulated, band) - 1) / (simulated.size + 1),
        scatter=_scatter(plant, simulated, alone) if verdict in (PLAUSIBLE, CANT_TELL) else "",
    )


def _inside(values: FloatArray, band: Estimate) -> int:
    assert band.low is not None and band.high is not None
    return int(np.sum((values >= band.low) & (values <= band.high)))


def _verdict(kind: str, found: Change, matters: float) -> str:
    if found.mean is None or found.low is None or found.high is None:
        return CANT_TELL
    if found.sign:
        if abs(found.mean) <= matters:
            return PLAUSIBLE
        return TOO_GOOD if (found.mean > 0) == (kind == JOBS) else TOO_BAD
    is_near = max(-found.low, found.high) <= HIDDEN * matters
    return PLAUSIBLE if is_near or found.verdict == "the same" else CANT_TELL


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
