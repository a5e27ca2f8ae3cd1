"""`sweep`: many cases of a line over common draws, and ranges widened until the best lies inside."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from math import prod
from typing import Any, Literal, NamedTuple

from linesim.answers.document import Chart, Document, Part, View
from linesim.answers.measure import Measure
from linesim.answers.table import Column, Table
from linesim.answers.values import Change
from linesim.answers.wording import change_in_words, level_text, listed, text, together
from linesim.errors import ScenarioError, WrongQuestionError
from linesim.questions.cautions import cautions_on
from linesim.questions.compare.study import AGAINST_BASE, best_of
from linesim.questions.decision import decision_between
from linesim.questions.sweep import Sweep
from linesim.questions.sweep.effects import (
    Effect,
    Responses,
    amount_of,
    cases_table,
    effects_chart,
    effects_table,
    level_columns,
    levels_of,
    paths_of,
    ranked,
    slopes,
    steps,
)
from linesim.questions.varying import (
    BASE,
    Factor,
    Point,
    cases_of,
    factors_of,
    grid,
    hypercube,
    one_at_a_time,
    read_points,
)
from linesim.runs.case_runner import change_of, estimate_of, unit_of
from linesim.runs.cases import Case, CaseRuns
from linesim.runs.cost import CostOnly
from linesim.runs.select import main_figure
from linesim.scenario import Scenario
from linesim.scenario.origins import Place
from linesim.scenario.toml import key, shown_value


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
        if ahead == measure.sign:
            yield SweepEnd(path, value, neighbour, is_least)


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
        means = {p.name: measure.sign * float(runs.values(p.name, *measure).mean()) for p in points}
        best = max(means, key=lambda name: means[name])  # the first of equals
        found = list(ends_at(runs, measure, best, points, confidence))
        try:
            beyond = {end.path: (end, _next(end)) for end in found}
            wider = []
            for factor in factors:
                values = factor.values
                if factor.path in beyond:  # a value more, on the side of the end
                    end, value = beyond[factor.path]
                    values = (value, *values) if values[0] == end.value else (*values, value)
                wider.append(Factor(factor.path, values))
            further = grid(wider)
            cases = cases_of(scenario, further)
        except (ScenarioError, WrongQuestionError) as error:
            why_not = str(error.problems[0].message if isinstance(error, ScenarioError) else error)
            break
        if not found:
            break
        runs = runs.add(cases)
        factors, points = tuple(wider), further
        for end, value in beyond.values():
            added.setdefault(key(end.path), []).append(shown_value(value))
    return Widened(tuple(factors), tuple(points), runs, added, why_not)


def _next(end: SweepEnd) -> Any:
    """Return the value one step beyond the end."""
    if isinstance(end.value, int) and isinstance(end.neighbour, int):
        return 2 * end.value - end.neighbour
    return Factor(end.path, (end.neighbour, end.value)).between(2.0)


Design = Literal["grid", "one at a time", "latin hypercube", "list"]
MOST_LINES = 40  #: Cases that a terminal shows.


def study(asked: Sweep, scenario: Scenario) -> Document:
    """Return what each case makes against the line as it is, and what each factor brings."""
    wanted = asked.wanted
    design = design_of(asked)
    seed = scenario.run.seed if asked.seed is None else asked.seed
    factors = factors_of(asked.vary)
    points = _points(asked, design, seed)
    if asked.widen and design != "grid":
        raise WrongQuestionError(
            f"--widen goes on along a grid of values; a {design} has no step to go on by."
        )
    cases = (Case(BASE, scenario), *cases_of(scenario, points))
    try:
        runs = asked.run(cases)
    except CostOnly as found:
        cost, more = found.cost, 0
        if asked.widen:
            more = prod(len(factor.values) + asked.widen for factor in factors) - len(points)
        more *= cost.replications // cost.cases
        raise CostOnly(cost.between(cost.least or cost.replications, cost.replications + more)) from None
    measure = main_figure(runs, wanted)
    wider = Widened(factors, points, runs, {}, "")
    if asked.widen:
        wider = widened(scenario, runs, measure, factors, points, asked.widen, asked.confidence)
        factors, points, runs = wider.factors, wider.points, wider.runs
    changes = {
        point.name: change_of(runs, BASE, point.name, measure, asked.confidence, len(points))
        for point in points
    }
    effects: tuple[Effect, ...] = ()
    if design in ("grid", "latin hypercube"):
        seen = Responses.of(runs, points, measure, asked.confidence)
        effects = (steps if design == "grid" else slopes)(factors, points, seen)
    says = "What the factors do to the deciding measure."
    tables = (
        cases_table(runs, points, measure, confidence=asked.confidence, everything=asked.all),
        _against_table(points, measure, changes),
        effects_table(effects, "effects", says, unit_of(runs, measure)),
    )
    levels = {point.name: levels_of(point, points).items() for point in points}
    return asked.told(
        asked.card(runs),
        (
            *_sentences(runs, measure, design, points, changes, effects, asked.confidence),
            *(f"{name} was widened to {listed(values)}." for name, values in wider.added.items()),
            wider.why_not and f"It cannot be widened further: {wider.why_not}",
        ),
        tables,
        _parts(*tables[1:], design, measure, changes),
        cautions_on(paths_of(points)),
        decision=decision_between(
            runs, list(changes), measure, asked.confidence,
            levels={name: [(key, value or BASE) for key, value in each] for name, each in levels.items()},
        ),
    )  # fmt: skip


def design_of(asked: Sweep) -> Design:
    """Return which combinations are looked at.

    Raises:
        WrongQuestionError: If more than one way is asked for.
    """
    ways = {
        "list": asked.table is not None,
        "latin hypercube": asked.latin is not None,
        "one at a time": asked.one_at_a_time,
    }
    chosen = [way for way, is_asked in ways.items() if is_asked]
    if len(chosen) > 1:
        raise WrongQuestionError(f"{' and '.join(chosen)} are not allowed with each other; keep one.")
    if asked.table is not None and asked.vary:
        raise WrongQuestionError(
            "a list of cases says itself what is varied; give the list and nothing else."
        )
    designs: tuple[Design, ...] = ("list", "latin hypercube", "one at a time")
    return next((design for design in designs if design in chosen), "grid")


def _points(asked: Sweep, design: Design, seed: int) -> tuple[Point, ...]:
    factors = factors_of(asked.vary)
    if design == "list":
        found = read_points(asked.table)
    elif design == "grid":
        found = grid(factors)
    elif design == "one at a time":
        found = one_at_a_time(factors)
    else:
        found = hypercube(factors, asked.latin or 0, seed=seed)
    if any(point.name == BASE for point in found):
        raise WrongQuestionError(
            f"a case cannot be called {BASE!r}: that is the line itself, which runs anyway."
        )
    return found


def _against_table(points: Sequence[Point], measure: Measure, changes: Mapping[str, Change]) -> Table:
    columns = (
        Column("case"), *level_columns(points), Column("measure", "measure"), Column("unit"),
        Column("difference", "change", flat=AGAINST_BASE,
               faces=("after=mean", "mean=against as it is", "interval")),
    )  # fmt: skip
    rows = (
        {
            "case": point.name,
            **levels_of(point, points),
            "measure": measure,
            "difference": changes[point.name],
        }
        for point in points
    )
    return Table.of("against_base", columns, rows, "Each case minus the line as it is.")


def _parts(
    against: Table, effects: Table, design: Design, measure: Measure, changes: Mapping[str, Change]
) -> list[Part]:
    first = next(iter(changes.values()))
    heading = {
        "grid": "Case by case",
        "one at a time": "One factor at a time: no interactions seen",
        "latin hypercube": "Points spread over the ranges",
        "list": "The listed cases",
    }[design]
    hidden = ("measure", "unit") if design == "list" else ("measure", "unit", "case")
    view = View(
        "against_base", f"{heading}: {measure.label}",
        tuple(column for column in against.columns if column.name not in hidden), most=MOST_LINES,
        note=f"As it is: {level_text(first.before, first)} {measure.label}.",
    )  # fmt: skip
    says = "Every case against the line as it is, paired over common draws; the intervals hold together."
    chart = Chart("forest", "against-base", says, view, "difference", "{case}", f"more {measure.label}")
    title = "What each step brings" if design == "grid" else "What matters"
    return [chart, *([effects_chart(effects, f"{title}: {measure.label}", measure)] if len(effects) else [])]


def _sentences(
    runs: CaseRuns, measure: Measure, design: Design, points: Sequence[Point], changes: Mapping[str, Change],
    effects: Sequence[Effect], confidence: float,
) -> list[str]:  # fmt: skip
    said = []
    if len(points) > 1 and len(runs.numbers) > 1:
        said.append(best_of(runs, measure, confidence, names=list(changes)))
    first = max(changes, key=lambda name: measure.sign * (changes[name].after or 0.0))  # the first of equals
    level = text(estimate_of(runs, first, measure, confidence))
    same = changes[first].verdict == "the same"
    against = "the same" if same else change_in_words(changes[first], measure)
    said.append(f"{first}: {level} {measure.label}, against the line as it is: {against}.")
    if ends := [str(end) for end in ends_at(runs, measure, first, points, confidence)]:
        where = f"The best lies at the end of a range: {listed(ends)}."
        said.append(f"{where} Look further before it is called best.")
    if design == "grid":
        said += _by_step(measure, effects)
    elif design == "latin hypercube":
        said += ranked(measure, effects, "over its range")
    elif design == "one at a time":
        said += _alone(measure, changes)
    if len(runs.numbers) > 1:
        said.append(together("The differences from the line as it is", confidence, len(points)))
    return said


def _by_step(measure: Measure, effects: Sequence[Effect]) -> list[str]:
    said = []
    others = ", average over the others" if len({one.factor for one in effects}) > 1 else ""
    by_factor = [(factor, list(mine)) for factor, mine in groupby(effects, key=lambda one: one.factor)]
    by_factor.sort(key=lambda pair: -max(abs(one.effect.mean or 0.0) for one in pair[1]))
    for factor, mine in by_factor:
        parts = [f"{one.before} → {one.after}: {change_in_words(one.effect, measure)}" for one in mine]
        said.append(f"{factor}, step by step{others}: {'; '.join(parts)}.")
    return said


def _alone(measure: Measure, changes: Mapping[str, Change]) -> list[str]:
    by_size = sorted(changes.items(), key=lambda item: -abs(item[1].mean or 0.0))
    said = [f"{case} alone: {change_in_words(found, measure)}." for case, found in by_size if found.sign]
    left = [case for case, found in changes.items() if not found.sign and found.verdict != "the same"]
    if left:
        said.append(f"Of these the data can't tell: {'; '.join(left)}.")
    said.append(
        "One factor at a time: no interactions seen. What two changes do together may be more or less than "
        "the sum of both; screen or a grid would show it."
    )
    return said
