"""What a study decides between: the line as it is and each case, in jobs, against the plan and in money."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from linesim.answers.decision import CaseChoice, CaseDecision, Moments
from linesim.answers.measure import OUTPUT, RATE, Measure
from linesim.answers.values import Estimate
from linesim.measures import SEGMENT
from linesim.questions.money import PARTS, money_between
from linesim.runs.case_runner import change_of, estimate_of, pairs_of
from linesim.runs.cases import CaseRuns
from linesim.runs.result import Result
from linesim.stats import joint_confidence, replications_for, student_quantile

if TYPE_CHECKING:
    from linesim.runs.cases import FloatArray
    from linesim.scenario import Scenario

MATTERS = 0.01  #: Share of what the line makes that is worth knowing, where nobody says.
MOST = 400  #: Choices that a decision holds; of more the first, and the best.
_PLAN = Measure("plan_met")


def decision_between(
    runs: CaseRuns,
    names: Sequence[str],
    measure: Measure,
    confidence: float,
    *,
    best: str = "",
    comparisons: int | None = None,
    levels: Mapping[str, Sequence[tuple[str, str]]] | None = None,
    words: Mapping[str, str] | None = None,
) -> CaseDecision:
    """Return the decision between the first case and others, all intervals of a kind holding together.

    Args:
        runs: The replications, the line as it is first.
        names: Cases that can be chosen.
        measure: The measure that decides.
        confidence: Of all intervals of a kind together.
        best: The case that the study calls best; empty takes the one with the best mean.
        comparisons: How many intervals hold together; None takes the number of cases.
        levels: What was chosen in each case, as pairs of an input and its value.
        words: What a case is called, where its name says too little.
    """
    base, scenario = runs.names[0], runs.cases[0].scenario
    sign = 1 if measure.more_is_better else -1
    means = {name: sign * (runs.row(name, *measure).mean or 0.0) for name in names}
    first = best or max(means, key=lambda name: means[name], default="")
    kept = list(dict.fromkeys([*names[: MOST - 1], *([first] if first else [])]))
    said, count = words or {}, max(1, len(names) if comparisons is None else comparisons)

    def choice(name: str) -> CaseChoice:
        return CaseChoice(
            said.get(name, name),
            estimate_of(runs, name, measure, confidence),
            tuple((levels or {}).get(name, ())),
            change_of(runs, base, name, measure, confidence, count),
            _met(runs, name, confidence),
            tuple(money_between(runs, base, name, confidence, count).items()),
            moments_of(runs, base, name, joint_confidence(confidence, count)),
        )

    now = CaseChoice(
        said.get(base, "as it is"), estimate_of(runs, base, measure, confidence),
        met=_met(runs, base, confidence), money=tuple(_money_now(runs, base, confidence)),
    )  # fmt: skip
    matters = MATTERS * abs(now.makes.mean or 0.0)
    needed = None
    if first:
        after, before = pairs_of(runs, base, first, measure)
        needed = _needed(after - before, matters, joint_confidence(confidence, count))
    return CaseDecision(
        measure, now, tuple(map(choice, kept)), said.get(first, first), scenario.target.jobs_per_shift,
        matters, needed, *_prices(scenario),
    )  # fmt: skip


def decision_of(result: Result, scenario: Scenario) -> CaseDecision:
    """Return what a run of one line says of the plan and of money, with nothing to choose."""
    whole = result.row(OUTPUT.measure).mean is not None
    measure = OUTPUT if whole else RATE
    makes = result.estimate(measure.measure)
    met = result.estimate("plan_met") if scenario.target.jobs_per_shift is not None and whole else None
    now = CaseChoice("as it is", makes, met=met, money=_money_of(result))
    matters = MATTERS * abs(makes.mean or 0.0)
    values = np.array([value for value in result.values(measure.measure) if value is not None])
    needed = _needed(values, matters, result.run.confidence)
    currency, margin, wage = _prices(scenario)
    return CaseDecision(
        measure, now, target=scenario.target.jobs_per_shift, matters=matters, needed=needed,
        currency=currency, margin=margin, wage=wage,
    )  # fmt: skip


def moments_of(runs: CaseRuns, base: str, name: str, confidence: float) -> Moments | None:
    """Return what a case brings more in amounts, so that other prices can be put in; None without pairs.

    Args:
        runs: The replications.
        base: Name of the line as it is.
        name: Name of the case.
        confidence: Of the interval alone that other prices give.
    """
    given = {label.cause for label in runs.found[base].labels if label.measure == "net_money"}
    cost = runs.cases[0].scenario.cost
    pairs = {
        part: np.subtract(*pairs_of(runs, base, name, Measure("net_money", SEGMENT, part)))
        for part in PARTS
        if part in given
    }
    jobs = np.subtract(*pairs_of(runs, base, name, OUTPUT))
    if len(jobs) < 2:
        return None
    nothing = np.zeros(len(jobs))
    people = _people(runs.case(name).scenario) - _people(runs.cases[0].scenario) + nothing
    if "people" in pairs and cost.operator_per_shift:
        people = -pairs["people"] / float(cost.operator_per_shift)
    table = np.array([jobs, pairs.get("stops", nothing), people, pairs.get("equipment", nothing)])
    if np.isnan(table).any():
        return None
    reach = student_quantile((1 + confidence) / 2, len(jobs) - 1) / len(jobs) ** 0.5
    covariance = np.cov(table)
    return Moments(
        tuple(table.mean(axis=1).tolist()), tuple(tuple(row) for row in covariance.tolist()), reach
    )


def _people(scenario: Scenario) -> int:
    return sum(crew.people for crew in scenario.crew.values())


def _met(runs: CaseRuns, name: str, confidence: float) -> Estimate | None:
    if runs.case(name).scenario.target.jobs_per_shift is None:
        return None
    found = estimate_of(runs, name, _PLAN, confidence)
    return None if found.mean is None else found


def _money_now(runs: CaseRuns, base: str, confidence: float) -> Iterator[tuple[str, Estimate]]:
    for label in runs.found[base].labels:
        if label.measure == "net_money" and label.where == SEGMENT:
            found = estimate_of(runs, base, Measure(*label[:3]), confidence)
            if found.mean is not None:
                yield label.cause, found


def _money_of(result: Result) -> tuple[tuple[str, Estimate], ...]:
    """Return net money of a line and its parts; empty where nothing has a price."""
    found = [(row.cause, result.estimate_of(row)) for row in result.rows("net_money")]
    return tuple(pair for pair in found if pair[1].mean is not None)


def _needed(values: FloatArray, matters: float, confidence: float) -> int | None:
    """Return how many replications tell a difference that matters; None where one says nothing of it."""
    if len(values) < 2 or not matters > 0:
        return None
    return replications_for(values, matters, confidence)


def _prices(scenario: Scenario) -> tuple[str, float | None, float | None]:
    cost = scenario.cost
    margin, wage = (
        None if price is None else float(price) for price in (cost.margin_per_job, cost.operator_per_shift)
    )
    return cost.currency or "", margin, wage
