"""Where the best case lies at the end of a range, and ranges that are widened until it does not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

from linesim.answers.measure import Measure
from linesim.errors import ScenarioError, WrongQuestionError
from linesim.questions.sweep.effects import amount_of
from linesim.questions.varying import Factor, Point, cases_of, grid
from linesim.runs.case_runner import change_of
from linesim.runs.cases import CaseRuns
from linesim.scenario.origins import Place
from linesim.scenario.toml import key, shown_value

if TYPE_CHECKING:
    from linesim.scenario import Scenario


class SweepEnd(NamedTuple):
    """An input whose best value is the last that was tried.

    Attributes:
        path: Its place.
        value: The value.
        neighbour: The value next to it.
        is_least: Whether it is the least; else it is the most.
    """

    path: Place
    value: Any
    neighbour: Any
    is_least: bool

    def __str__(self) -> str:
        which = "least" if self.is_least else "most"
        return f"{key(self.path)} = {shown_value(self.value)} is the {which} that was tried"


class Widened(NamedTuple):
    """A grid with what it was widened by.

    Attributes:
        factors, points, runs: The grid, its points and all their replications.
        added: Values that were tried beyond the ranges, by the name of their input.
        why_not: Why a range could not be widened further; empty if that was not so.
    """

    factors: tuple[Factor, ...]
    points: tuple[Point, ...]
    runs: CaseRuns
    added: dict[str, list[str]]
    why_not: str


def ends_at(
    runs: CaseRuns, measure: Measure, best: str, points: Sequence[Point], confidence: float
) -> Iterator[SweepEnd]:
    """Yield the inputs of which the best case has the last value tried, surely ahead of its neighbour.

    The neighbour has the next value of that input and all else alike; a best without one, as among points
    spread over ranges, says nothing, and neither do names, which have no order.
    """
    levels = next(dict(point.levels) for point in points if point.name == best)
    for path, value in levels.items():
        rest = {where: level for where, level in levels.items() if where != path}
        in_line = [
            (dict(point.levels)[path], point.name)
            for point in points
            if path in dict(point.levels) and {**rest, path: dict(point.levels)[path]} == dict(point.levels)
        ]
        try:
            by_amount = sorted(in_line, key=lambda pair: amount_of(pair[0]))
        except ValueError:
            continue
        names = [name for _, name in by_amount]
        is_least = best == names[0]
        if len(names) < 2 or best not in (names[0], names[-1]) or (is_least and amount_of(value) == 0):
            continue
        neighbour, name = by_amount[1 if is_least else -2]
        ahead = change_of(runs, name, best, measure, confidence).sign
        if ahead == (1 if measure.more_is_better else -1):
            yield SweepEnd(path, value, neighbour, is_least)


def best_point(runs: CaseRuns, measure: Measure, points: Sequence[Point]) -> str:
    """Return the name of the point with the best mean, the first of equals."""
    sign = 1 if measure.more_is_better else -1
    return max((p.name for p in points), key=lambda name: sign * float(runs.values(name, *measure).mean()))


def widened(
    scenario: Scenario, runs: CaseRuns, measure: Measure, factors: Sequence[Factor],
    points: Sequence[Point], most: int, confidence: float,
) -> Widened:  # fmt: skip
    """Return a grid whose ranges go on by their last step until the best case lies inside, or long enough.

    Args:
        scenario: The line as it is.
        runs: The replications of the grid.
        measure: What is best by it.
        factors: What the grid varies.
        points: Its points.
        most: How often to widen at most.
        confidence: With which the end must be ahead of its neighbour.
    """
    added: dict[str, list[str]] = {}
    why_not = ""
    for _ in range(most):
        found = list(ends_at(runs, measure, best_point(runs, measure, points), points, confidence))
        try:
            beyond = {end.path: (end, _next(end)) for end in found}
            wider = tuple(_with(factor, *beyond[factor.path]) if factor.path in beyond else factor
                          for factor in factors)  # fmt: skip
            further = grid(wider)
            cases = cases_of(scenario, further)
        except (ScenarioError, WrongQuestionError) as error:
            why_not = str(error.problems[0].message if isinstance(error, ScenarioError) else error)
            break
        if not found:
            break
        runs = runs.add(cases)
        factors, points = wider, further
        for end, value in beyond.values():
            added.setdefault(key(end.path), []).append(shown_value(value))
    return Widened(tuple(factors), tuple(points), runs, added, why_not)


def _next(end: SweepEnd) -> Any:
    """Return the value one step beyond the end."""
    if isinstance(end.value, int) and isinstance(end.neighbour, int):
        return 2 * end.value - end.neighbour
    return Factor(end.path, (end.neighbour, end.value)).between(2.0)


def _with(factor: Factor, end: SweepEnd, value: Any) -> Factor:
    """Return the factor with a value more, on the side of the end."""
    if factor.values[0] == end.value:
        return replace(factor, values=(value, *factor.values))
    return replace(factor, values=(*factor.values, value))
