"""The best of a list of cases, whatever they differ in."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linesim.errors import LinesimError
from linesim.plan.arrays import FloatArray
from linesim.runs.cases import Case, CaseRuns, run_cases
from linesim.runs.main_measure import Measure
from linesim.runs.select import FIRST, Choice, choose


@dataclass(frozen=True, slots=True)
class CaseChoice:
    """Which case is the best.

    Attributes:
        name: The case chosen.
        choice: How sure that is; places in it count the cases as they were given.
        runs: The replications behind it, more of those that were hard to tell apart.
    """

    name: str
    choice: Choice
    runs: CaseRuns


def choose_case(
    cases: Iterable[Case],
    figure: Measure,
    *,
    matters: float,
    error: float = 0.05,
    first: int = FIRST,
    most: int | None = None,
    seed: int | None = None,
    **how: Any,
) -> CaseChoice:
    """Choose the best of some cases over common draws, dropping others as soon as they are surely not it.

    Args:
        cases: The cases; the first gives the seed where ``seed`` does not.
        figure: The figure that decides.
        matters: The smallest difference that matters, in its unit, > 0.
        error: Chance that another case is better by that much all the same.
        first: Replications of each before the first is dropped.
        most: Replications of one case at most; None for as many as the choice needs.
        seed: Seed of all draws.
        how: How replications are run: ``workers``, ``progress`` and what else `run_cases` takes.

    Raises:
        LinesimError: If a replication is lost or gives no such figure.
        LineStuck: If the line of a case comes to a stand for good.
    """
    listed = tuple(cases)
    sign = 1 if figure.more_is_better else -1
    runs = run_cases(listed, numbers=[1], seed=seed, **how)

    def look(which: Sequence[int], numbers: Sequence[int]) -> FloatArray:
        nonlocal runs
        names = [listed[i].name for i in which]
        runs = runs.extend(numbers, names)
        if lost := [pair for pair in runs.lost if pair[0] in names]:
            raise LinesimError(f"replication {lost[0][1]} of {lost[0][0]} is lost; the choice needs it")
        table = np.column_stack([runs.values(name, *figure, numbers=numbers) for name in names])
        if np.isnan(table).any():
            raise LinesimError(f"not every replication gives {figure}; measure a longer run")
        return sign * table

    choice = choose(look, len(listed), matters=matters, error=error, first=first, most=most)
    return CaseChoice(listed[choice.best].name, choice, runs)
