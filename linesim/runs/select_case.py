"""The best of a list of cases, whatever they differ in."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from linesim.errors import LinesimError
from linesim.plan.arrays import FloatArray
from linesim.runs.case_runner import Runner
from linesim.runs.cases import Case
from linesim.runs.main_measure import Measure
from linesim.runs.select import FIRST, Choice, choose


def choose_case(
    runner: Runner,
    cases: Sequence[Case],
    figure: Measure,
    *,
    matters: float,
    error: float = 0.05,
    first: int = FIRST,
    most: int | None = None,
) -> tuple[str, Choice]:
    """Choose the best of some cases over common draws; those that come to a stand for good are left out.

    Args:
        runner: Runs them, and keeps what was run.
        cases: The cases, at least one that does not come to a stand.
        figure: The figure that decides.
        matters: The smallest difference that matters, in its unit, > 0.
        error: Chance that another case is better by that much all the same.
        first: Replications of each before the first is dropped.
        most: Replications of one case at most; None for as many as the choice needs.

    Returns:
        The case chosen, and how sure that is; places in it count the cases that do not come to a stand.

    Raises:
        LinesimError: If a replication is lost or gives no such figure, or every case comes to a stand.
    """
    sign = 1 if figure.more_is_better else -1
    while moving := [case for case in cases if case.name not in runner.stuck]:
        try:
            choice = choose(
                lambda which, numbers: sign * _table(runner, [moving[i] for i in which], figure, numbers),
                len(moving), matters=matters, error=error, first=first, most=most,
            )  # fmt: skip
        except _StandsError:
            continue  # what was run is kept
        return moving[choice.best].name, choice
    raise LinesimError("every one of these lines comes to a stand for good")


class _StandsError(Exception):
    """One of the cases has come to a stand for good."""


def _table(runner: Runner, cases: Sequence[Case], figure: Measure, numbers: Sequence[int]) -> FloatArray:
    if len(runner.ask(cases, numbers)) < len(cases):
        raise _StandsError
    names = [case.name for case in cases]
    if lost := [pair for pair in runner.runs.lost if pair[0] in names]:
        raise LinesimError(f"replication {lost[0][1]} of {lost[0][0]} is lost; the choice needs it")
    table = np.column_stack([runner.runs.values(name, *figure, numbers=numbers) for name in names])
    if np.isnan(table).any():
        raise LinesimError(f"not every replication gives {figure}; measure a longer run")
    return table
