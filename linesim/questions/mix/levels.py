"""What a mix is judged by, each mix against the line as it is, and the highest rate that makes the plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from linesim.answers.measure import OUTPUT, RATE, Measure
from linesim.answers.values import Change, Estimate
from linesim.plan.tables import FloatArray
from linesim.runs.case_runner import met_of, paired
from linesim.runs.cases import CaseRuns
from linesim.stats.comparisons import joint_confidence
from linesim.stats.intervals import mean_interval

STOPS = Measure("own_stop")  #: Minutes of stops that begin on the line itself, over all sections.
OVERLOAD = Measure("overload")  #: Seconds of work left at the limits, over all stations.


@dataclass(frozen=True, slots=True)
class MixFigures:
    """The figures of every case.

    Attributes:
        runs: The replications.
        confidence: With which figures of one kind that are compared hold together.
        output: Jobs per shift, or jobs per hour where a run holds no whole shift.
    """

    runs: CaseRuns
    confidence: float
    output: Measure

    @property
    def kinds(self) -> dict[str, Measure]:
        """What mixes are judged by, by the name that tables have for it."""
        return {"output": self.output, "stops": STOPS, "overload": OVERLOAD}

    def unit(self, measure: Measure) -> str:
        """Return the unit of one of the three."""
        return {OUTPUT: "jobs", RATE: "jobs/h", STOPS: "min/shift", OVERLOAD: "s/job"}[measure]

    def values(self, name: str, measure: Measure) -> FloatArray:
        """Return one of the three in each replication; overload [s a job] is summed over the stations."""
        if measure != OVERLOAD:
            return self.runs.values(name, *measure)
        labels = [label for label in self.runs.found[name].labels if label.measure == OVERLOAD.measure]
        table = np.array([self.runs.values(name, *label[:3]) for label in labels])
        summed: FloatArray = np.nan_to_num(table).sum(axis=0) if labels else np.zeros(len(self.runs.numbers))
        return summed

    def level(self, name: str, measure: Measure, confidence: float) -> Estimate:
        """Return one of the three with an interval that has this confidence by itself."""
        return Estimate.of(mean_interval(self.values(name, measure), confidence), self.unit(measure))

    def change(self, before: str, after: str, measure: Measure, comparisons: int) -> Change:
        """Return how much more of it one case has than another, all comparisons holding together."""
        return paired(
            self.values(before, measure), self.values(after, measure), measure, self.unit(measure),
            self.confidence, comparisons,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class MixLevel:
    """One mix.

    Attributes:
        case: Its name.
        value: What the varied input is set to, as text; empty for the line as it is and the new mix.
        built_share: Share of jobs that have what is varied; None without it.
        level: What mixes are judged by, see `MixFigures.kinds`.
        more: The same minus the line as it is; empty for that line.
        plan_met: Share of shifts that make the plan; None without one.
    """

    case: str
    value: str
    built_share: float | None
    level: Mapping[str, Estimate]
    more: Mapping[str, Change]
    plan_met: Estimate | None


def levels_of(
    figures: MixFigures,
    values: Mapping[str, str],
    built: Mapping[str, float | None],
    target: float | None,
) -> tuple[MixLevel, ...]:
    """Return each mix by itself, and against the first, kind by kind holding together.

    Args:
        figures: The figures of all cases.
        values: For each mix what the varied input is set to.
        built: For each mix the share of jobs that have what is varied.
        target: Jobs per shift that the plan asks for.
    """
    base, alone = next(iter(values)), joint_confidence(figures.confidence, len(values))
    count, kinds = max(1, len(values) - 1), figures.kinds.items()
    return tuple(
        MixLevel(
            name, value, built[name], {kind: figures.level(name, one, alone) for kind, one in kinds},
            {} if name == base else {kind: figures.change(base, name, one, count) for kind, one in kinds},
            met_of(figures.runs, name, target, alone),
        )
        for name, value in values.items()
    )  # fmt: skip


def limit_of(figures: MixFigures, rates: Mapping[str, float], target: float | None) -> PlanLimit | None:
    """Return up to which of some rates, ascending, the plan is made; None where it cannot be said.

    Args:
        figures: The figures of all cases.
        rates: The rate of each mix.
        target: Jobs per shift that the plan asks for.
    """
    if target is None or len(rates) < 2 or figures.output != OUTPUT:
        return None
    alone = joint_confidence(figures.confidence, len(rates))
    found = [figures.level(name, figures.output, alone) for name in rates]
    means, lows, highs = ([getattr(one, end) for one in found] for end in ("mean", "low", "high"))
    return plan_limit(list(rates.values()), means, lows, highs, target)


@dataclass(frozen=True, slots=True)
class PlanLimit:
    """Up to which rate the plan is made.

    Attributes:
        target: Jobs per shift that the plan asks for.
        rate: Where the mean, between the rates looked at by a straight line, falls below it; None if it is
            below already at the lowest rate, or never.
        low, high: Where the lower and the upper bound of the mean fall below it; None likewise.
        sure: Highest rate looked at up to which the mean surely makes it; None if none does.
        possible: Highest rate looked at up to which the data do not exclude it; None if none.
        never_fails, always_fails: Whether the mean makes it at every rate looked at, or at none.
        is_excluded: Whether the data exclude it at every rate looked at.
    """

    target: float
    rate: float | None
    low: float | None
    high: float | None
    sure: float | None
    possible: float | None
    never_fails: bool
    always_fails: bool
    is_excluded: bool


def plan_limit(
    rates: Sequence[float],
    means: Sequence[float],
    lows: Sequence[float | None],
    highs: Sequence[float | None],
    target: float,
) -> PlanLimit:
    """Return up to which rate the plan is made, going up from the lowest one.

    Args:
        rates: Take rates, ascending.
        means: Mean jobs per shift at each.
        lows: Lower bounds of them, that hold together over all rates; None with one replication.
        highs: Upper bounds.
        target: Jobs per shift that the plan asks for.
    """
    down = [low for low in lows if low is not None]
    up = [high for high in highs if high is not None]
    whole = len(down) == len(up) == len(rates)
    return PlanLimit(
        target=target,
        rate=first_fall(rates, means, target),
        low=first_fall(rates, down, target) if whole else None,
        high=first_fall(rates, up, target) if whole else None,
        sure=_last_before_fall(rates, down, target) if whole else None,
        possible=_last_before_fall(rates, up, target) if whole else None,
        never_fails=min(means) >= target,
        always_fails=max(means) < target,
        is_excluded=whole and max(up) < target,
    )


def first_fall(rates: Sequence[float], values: Sequence[float], target: float) -> float | None:
    """Return where values, joined by straight lines, first fall below a target; None if they never cross it.

    Examples:
        >>> first_fall([0.2, 0.3, 0.4], [124, 120, 110], 115)
        0.35
    """
    for k in range(1, len(rates)):
        before, after = values[k - 1], values[k]
        if before < target:
            return None
        if after < target:
            part = (before - target) / (before - after)
            return round(rates[k - 1] + part * (rates[k] - rates[k - 1]), 12)
    return None


def _last_before_fall(rates: Sequence[float], values: Sequence[float], target: float) -> float | None:
    found = None
    for rate, value in zip(rates, values, strict=True):
        if value < target:
            break
        found = rate
    return found
