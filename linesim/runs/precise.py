"""As many replications as a figure needs to be as sharp as one wants, and no more than a stated cap."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from linesim.answers.card import AT_LEAST, Convergence, Goal, Look
from linesim.errors import LinesimError
from linesim.runs.cases import CaseRuns
from linesim.runs.replication import FIGURES
from linesim.runs.select import Measure, main_figure
from linesim.stats.intervals import mean_interval
from linesim.stats.precision import Enough, enough_replications, look_ahead, replications_for

_GROWTH = 2  #: At most so many times as many replications as there are, in one step.


def run_until_precise(runs: CaseRuns, goal: Goal, names: Iterable[str] | None = None) -> CaseRuns:
    """Run replications until a figure is sharp in each case.

    The rule looks at the replications in the order of their numbers, so how many are used depends on
    the figures alone, and neither on the number of workers nor on how many were there before.

    Args:
        runs: The cases, with any number of replications.
        goal: Which figure has to be how sharp.
        names: Of which cases; None means all that give figures of the line.

    Returns:
        Runs that hold exactly the replications used, the same ones for every case, and in
        ``convergences`` how the figure became sharp in each named case.

    Raises:
        WrongQuestionError: If there is no such figure.
        LinesimError: If a replication gives no such figure, or as `run_cases` does.

    Notes:
        The rule is `linesim.stats.enough_replications`, by Hoad, Robinson and Davies (2010).
    """
    giving = [case.name for case in runs.cases if case.notes is FIGURES]
    chosen = tuple(giving if names is None else names)
    ran = AT_LEAST
    runs = runs.extend(range(1, ran + 1))
    goal = _decided(runs, goal, giving)
    while True:
        runs = runs.extend(range(1, ran + 1))
        numbers = tuple(number for number in runs.numbers if number <= ran)
        needs = [_need(_values(runs, name, goal, numbers), goal) for name in chosen]
        run = max(need.run for need in needs)
        if ran >= goal.cap or all(need.is_known for need in needs):
            break
        ran = min(goal.cap, run + ran - len(numbers))  # those that were lost are replaced by others
    numbers = numbers[:run]
    found = tuple(_convergence(name, _values(runs, name, goal, numbers), goal) for name in chosen)
    return replace(runs.take(numbers), convergences=found)


def _decided(runs: CaseRuns, goal: Goal, names: Sequence[str]) -> Goal:
    """Return the goal with a figure: what was asked, else jobs per shift, else jobs per hour."""
    if goal.measure:
        main_figure(
            runs.only(names), Measure(goal.measure, goal.where, goal.cause)
        )  # refused with the nearest
        return goal
    whole = all(runs.row(name, "jobs_per_shift").mean is not None for name in names)
    return replace(goal, measure="jobs_per_shift" if whole else "throughput")


class _Need(NamedTuple):
    """Whether a case has enough.

    Attributes:
        is_known: Whether the question is answered.
        run: Replications to use if it is, else how many to have before the next look.
    """

    is_known: bool
    run: int


def _need(values: Sequence[float], goal: Goal) -> _Need:
    found = _enough(values, goal)
    if found.enough is not None:
        return _Need(True, found.run)
    return _Need(False, max(found.run, _likely(values, goal)))


def _enough(values: Sequence[float], goal: Goal) -> Enough:
    return enough_replications(values, goal.precision, confidence=goal.confidence, at_least=AT_LEAST)


def _values(runs: CaseRuns, name: str, goal: Goal, numbers: Sequence[int]) -> tuple[float, ...]:
    values = runs.values(name, goal.measure, goal.where, goal.cause, numbers=numbers)
    if missing := [number for number, value in zip(numbers, values, strict=True) if np.isnan(value)]:
        raise LinesimError(
            f"replication {missing[0]} of {name} gives no {goal.figure}, so it cannot be made precise; "
            "choose another measure"
        )
    return tuple(float(value) for value in values)


def _likely(values: Sequence[float], goal: Goal) -> int:
    """Return how many replications will probably do, for a step that keeps all workers busy.

    What is run too much is not used, so this decides how long it takes and never a figure.
    """
    mean = mean_interval(values, goal.confidence).mean
    if mean == 0:
        return len(values) * _GROWTH
    likely = replications_for(values, goal.precision * abs(mean), goal.confidence)
    return min(len(values) * _GROWTH, likely + look_ahead(likely))


def _convergence(case: str, values: Sequence[float], goal: Goal) -> Convergence:
    looks = []
    for n in range(1, len(values) + 1):
        found = mean_interval(values[:n], goal.confidence)
        looks.append(Look(n, found.mean, found.low, found.high, found.relative_half_width))
    return Convergence(case, goal, _enough(values, goal).enough, tuple(looks))
