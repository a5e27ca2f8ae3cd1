"""The best of several candidates: replications are run only as long as they can still change the choice."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from linesim.answers.measure import OUTPUT, RATE, Measure
from linesim.answers.measure import measure_named as asked
from linesim.errors import LinesimError, WrongQuestionError
from linesim.plan.tables import FloatArray
from linesim.runs.case_runner import Runner
from linesim.runs.cases import Case, CaseRuns
from linesim.stats.precision import elimination_boundary, last_look

__all__ = ["OUTPUT", "RATE", "Measure", "asked", "main_figure"]


def main_figure(runs: CaseRuns, wanted: Measure | None) -> Measure:
    """Return the figure that decides: the one asked for, else jobs per shift, else jobs per hour.

    Raises:
        WrongQuestionError: If a case does not give it.
    """
    if wanted is None:
        whole = all(runs.row(name, *OUTPUT).mean is not None for name in runs.names)
        return OUTPUT if whole else RATE
    for name in runs.names:
        try:
            given = runs.row(name, *wanted).mean is not None
        except KeyError as error:
            raise WrongQuestionError(f"{name}: {error.args[0]}") from None
        if not given:
            raise WrongQuestionError(f"{name}: no replication gives {wanted}.")
    return wanted


#: Candidates and replication numbers, both by number, to figures of shape ``(replications, candidates)``.
Look = Callable[[Sequence[int], Sequence[int]], FloatArray]

FIRST = 10  #: Replications of every candidate before the first is dropped.
LOOK_AHEAD = 4  #: A batch is a quarter of what was run, at least so many; changes no choice.


@dataclass(frozen=True, slots=True)
class Choice:
    """Which candidate is the best, and how sure that is.

    Attributes:
        best: The candidate with the highest mean of those left, as a place in the list.
        left: Candidates still in the running; the best alone if the choice is made.
        dropped_after: For each candidate after how many replications it was dropped; None if it was not.
        level: Candidates that were dropped only because the difference from the best matters no more.
        used: Replications looked at.
        most: Replications after which the choice would be made in any case, known from the first ones.
        error: Chance of a wrong choice that was allowed.
        matters: The smallest difference that matters.
    """

    best: int
    left: tuple[int, ...]
    dropped_after: tuple[int | None, ...]
    level: tuple[int, ...]
    used: int
    most: int
    error: float
    matters: float

    @property
    def is_made(self) -> bool:
        """Whether the promise holds: with a chance of ``1 - error`` none is better by what matters."""
        return len(self.left) == 1


def choose(
    look: Look,
    candidates: int,
    *,
    matters: float,
    error: float = 0.05,
    first: int = FIRST,
    most: int | None = None,
) -> Choice:
    """Choose the candidate with the highest mean, dropping others as soon as they are surely not it.

    All candidates see the same draws, so only the spread of their differences counts. If the best
    leads by at least ``matters``, it is chosen with a chance of at least ``1 - error``; else the one
    chosen is no further than that behind.

    Args:
        look: Runs replications of candidates and returns the figures, higher is better.
        candidates: How many there are, >= 1.
        matters: The smallest difference that matters, > 0.
        error: Chance of a wrong choice, between 0 and 1.
        first: Replications of every candidate before the first is dropped, >= 2.
        most: Replications of one candidate at most; None goes on until the choice is made. If they do
            not decide, several candidates are left.

    Raises:
        ValueError: If an argument is outside its limits or a figure is not a number.

    Notes:
        S.-H. Kim and B. L. Nelson, "A fully sequential procedure for indifference-zone selection in
        simulation", ACM TOMACS 11 (2001) 251-273, with c = 1.
    """
    if candidates < 1 or first < 2 or not matters > 0:
        raise ValueError(
            f"need candidates >= 1, first >= 2, matters > 0, got {candidates}, {first}, {matters}"
        )
    if candidates == 1:
        return Choice(0, (0,), (None,), (), 0, 0, error, matters)
    first = first if most is None else max(2, min(first, most))
    race = _Race(look, candidates, matters, error, first)
    cap = race.last if most is None else min(race.last, most)
    while len(race.alive) > 1 and race.used < cap:
        race.run_on(min(cap, race.used + max(LOOK_AHEAD, race.used // 4)))
    return race.choice()


class _Race:
    """The candidates still in the running, with the sums of what they did so far."""

    def __init__(self, look: Look, candidates: int, matters: float, error: float, first: int) -> None:
        self.look, self.matters, self.error = look, matters, error
        self.boundary = elimination_boundary(candidates, first, error)
        start = _checked(look(range(candidates), range(1, first + 1)), first, candidates)
        spread = start[:, :, None] - start[:, None, :]
        self.spread: FloatArray = spread.var(axis=0, ddof=1)
        self.last = max(first, last_look(float(self.spread.max()), matters, self.boundary) + 1)
        self.sums: FloatArray = start.sum(axis=0)
        self.used = first
        self.alive = list(range(candidates))
        self.gone: list[int | None] = [None] * candidates
        self.level: list[int] = []
        self._drop()

    def run_on(self, until: int) -> None:
        """Run those in the running up to ``until`` replications, dropping them one look after the other."""
        asked, numbers = list(self.alive), range(self.used + 1, until + 1)
        values = _checked(self.look(asked, numbers), len(numbers), len(asked))
        for row in values:
            self.sums[asked] += row
            self.used += 1
            self._drop()
            if len(self.alive) == 1:
                return

    def _drop(self) -> None:
        r, alive = self.used, np.array(self.alive)
        mean = self.sums[alive] / r
        spread = self.spread[np.ix_(alive, alive)]
        reach = np.maximum(0.0, self.matters / (2 * r) * (self.boundary.h2 * spread / self.matters**2 - r))
        behind = mean[:, None] < mean[None, :] - reach
        np.fill_diagonal(behind, False)
        leaving = [int(i) for i in alive[behind.any(axis=1)]]
        if r >= self.last:  # the boundary has closed: the leader is chosen, the first of equals
            leader = int(alive[int(np.argmax(mean))])
            rest = [int(i) for i in alive if i != leader]
            self.level += [i for i in rest if self._is_close(i, leader)]
            leaving = rest
        for i in leaving:
            self.gone[i] = r
        self.alive = [i for i in self.alive if i not in leaving]

    def _is_close(self, i: int, leader: int) -> bool:
        return bool(self.sums[leader] - self.sums[i] < self.matters * self.used)

    def choice(self) -> Choice:
        best = max(self.alive, key=lambda i: (self.sums[i], -i))
        return Choice(
            best, tuple(self.alive), tuple(self.gone), tuple(self.level), self.used, self.last,
            self.error, self.matters,
        )  # fmt: skip


def _checked(values: FloatArray, rows: int, columns: int) -> FloatArray:
    if values.shape != (rows, columns) or not np.isfinite(values).all():
        raise ValueError(f"look must return {rows} x {columns} numbers, got shape {values.shape}")
    return values


def choose_case(
    runner: Runner,
    cases: Sequence[Case],
    figure: Measure,
    *,
    matters: float,
    error: float = 0.05,
    first: int = FIRST,
    most: int | None = None,
) -> tuple[str, Choice, tuple[str, ...]]:
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
        The case chosen; how sure that is, places in it counting the cases that do not come to a stand; and
        the cases that the data cannot tell from it.

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
        level = tuple(moving[i].name for i in choice.left if i != choice.best)
        return moving[choice.best].name, choice, level
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
