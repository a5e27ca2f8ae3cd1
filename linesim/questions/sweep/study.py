"""`sweep`: many cases of a line over common draws."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from math import prod
from typing import TYPE_CHECKING, Literal

from linesim.answers.document import Chart, Document, Part, View
from linesim.answers.measure import Measure
from linesim.answers.table import Column, Table
from linesim.answers.values import Change
from linesim.answers.wording import change_in_words, level_text, listed, text
from linesim.errors import WrongQuestionError
from linesim.questions.cautions import cautions_on
from linesim.questions.compare.study import AGAINST_BASE, best_of
from linesim.questions.decision import decision_between
from linesim.questions.sweep import Sweep
from linesim.questions.sweep.effects import (
    Effect,
    cases_table,
    effects_chart,
    effects_table,
    level_columns,
    levels_of,
    paths_of,
    ranked,
    responses,
    slopes,
    steps,
)
from linesim.questions.sweep.widen import Widened, ends_at, widened
from linesim.questions.varying import (
    BASE,
    Point,
    cases_of,
    factors_of,
    grid,
    hypercube,
    one_at_a_time,
    read_points,
)
from linesim.runs.case_runner import change_of, estimate_of, unit_of
from linesim.runs.cases import Case, CaseRuns, run_cases
from linesim.runs.cost import CostOnly
from linesim.runs.select import main_figure
from linesim.stats import joint_confidence

if TYPE_CHECKING:
    from linesim.scenario import Scenario

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
        runs = run_cases(cases, replications=asked.replications, seed=asked.seed, **asked.how)
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
    unit = unit_of(runs, measure)
    if design in ("grid", "latin hypercube"):
        table = responses(runs, [point.name for point in points], measure)
        effects = (steps if design == "grid" else slopes)(
            factors, points, table, asked.confidence, measure, unit
        )
    against = _against_table(points, measure, changes)
    of_effects = effects_table(effects, "effects", "What the factors do to the deciding measure.", unit)
    cases_by = cases_table(runs, points, measure, confidence=asked.confidence, everything=asked.all)
    return Document(
        study="sweep",
        sentences=(
            *_sentences(runs, measure, design, points, changes, effects, asked.confidence),
            *_told_of(wider),
        ),
        tables_=(cases_by, against, of_effects),
        parts=tuple(_parts(against, of_effects, design, points, measure, changes)),
        cautions=cautions_on(paths_of(points)),
        card=runs.card(asked.confidence, file=asked.file),
        asked=asked.echo(),
        decision=decision_between(runs, list(changes), measure, asked.confidence, levels=_levels(points)),
    )


def _levels(points: Sequence[Point]) -> dict[str, tuple[tuple[str, str], ...]]:
    """Return what each point sets, as texts by the names of the factors."""
    return {
        point.name: tuple((name, value or "as it is") for name, value in levels_of(point, points).items())
        for point in points
    }


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


def _against_table(points: Sequence[Point], measure: Measure, changes: dict[str, Change]) -> Table:
    faces = ("after=mean", "mean=against as it is", "interval")
    columns = (
        Column("case"),
        *level_columns(points),
        Column("measure", "measure"),
        Column("unit"),
        Column(
            "difference",
            "change",
            flat=AGAINST_BASE,
            faces=faces,
        ),
    )
    rows = (
        {
            "case": point.name, **levels_of(point, points), "measure": measure,
            "unit": changes[point.name].unit, "difference": changes[point.name],
        }
        for point in points
    )  # fmt: skip
    return Table.of("against_base", columns, rows, "Each case minus the line as it is.")


def _parts(
    against: Table,
    effects: Table,
    design: Design,
    points: Sequence[Point],
    measure: Measure,
    changes: dict[str, Change],
) -> list[Part]:
    factors = tuple(column.name for column in level_columns(points))
    first = changes[points[0].name]
    heading = {
        "grid": "Case by case",
        "one at a time": "One factor at a time: no interactions seen",
        "latin hypercube": "Points spread over the ranges",
        "list": "The listed cases",
    }[design]
    named = ("case",) if design == "list" else ()
    view = View(
        "against_base",
        f"{heading}: {measure.label}",
        tuple(column for column in against.columns if column.name in (*named, *factors, "difference")),
        most=MOST_LINES,
        note=f"As it is: {level_text(first.before, first)} {measure.label}.",
    )
    says = "Every case against the line as it is, paired over common draws; the intervals hold together."
    unit = f"more {measure.label}"
    parts: list[Part] = [
        Chart("forest", "against-base", says, view, "difference", "{case}", unit),
    ]
    title = (
        f"What each step brings: {measure.label}" if design == "grid" else f"What matters: {measure.label}"
    )
    return [*parts, effects_chart(effects, title, measure)] if len(effects) else parts


def _sentences(
    runs: CaseRuns,
    measure: Measure,
    design: Design,
    points: Sequence[Point],
    changes: dict[str, Change],
    effects: Sequence[Effect],
    confidence: float,
) -> tuple[str, ...]:
    said = []
    if len(points) > 1 and len(runs.numbers) > 1:
        said.append(best_of(runs, measure, confidence, names=list(changes)))
    sign = 1 if measure.more_is_better else -1
    first = max(changes, key=lambda name: sign * (changes[name].after or 0.0))  # the first of equals
    level = text(estimate_of(runs, first, measure, confidence))
    same = changes[first].verdict == "the same"
    against = "the same" if same else change_in_words(changes[first], measure)
    said.append(f"{first}: {level} {measure.label}, against the line as it is: {against}.")
    said += _at_an_end(runs, measure, first, points, confidence)
    if design == "grid":
        said += _by_step(measure, effects)
    elif design == "latin hypercube":
        said += ranked(measure, effects, "over its range")
    elif design == "one at a time":
        said += _alone(measure, changes)
        said.append(
            "One factor at a time: no interactions seen. What two changes do together may be more or less "
            "than the sum of both; screen or a grid would show it."
        )
    if len(runs.numbers) > 1:
        each = 100 * joint_confidence(confidence, len(points))
        said.append(
            f"The differences from the line as it is hold together with {100 * confidence:g} % confidence, "
            f"each by itself with {each:.4g} %."
        )
    return tuple(said)


def _at_an_end(
    runs: CaseRuns, measure: Measure, best: str, points: Sequence[Point], confidence: float
) -> list[str]:
    """Return which inputs have the best case at an end of what was tried, surely ahead of its neighbour."""
    ends = [str(end) for end in ends_at(runs, measure, best, points, confidence)]
    if not ends:
        return []
    return [f"The best lies at the end of a range: {listed(ends)}. Look further before it is called best."]


def _told_of(wider: Widened) -> list[str]:
    """Return by which values ranges were widened, and why one was not."""
    said = [f"{name} was widened to {listed(values)}." for name, values in wider.added.items()]
    return [*said, f"It cannot be widened further: {wider.why_not}"] if wider.why_not else said


def _by_step(measure: Measure, effects: Sequence[Effect]) -> list[str]:
    said = []
    others = ", average over the others" if len({one.factor for one in effects}) > 1 else ""
    by_factor = [(factor, list(mine)) for factor, mine in groupby(effects, key=lambda one: one.factor)]
    by_factor.sort(key=lambda pair: -max(abs(one.effect.mean or 0.0) for one in pair[1]))
    for factor, mine in by_factor:
        parts = [f"{one.before} → {one.after}: {change_in_words(one.effect, measure)}" for one in mine]
        said.append(f"{factor}, step by step{others}: {'; '.join(parts)}.")
    return said


def _alone(measure: Measure, changes: dict[str, Change]) -> list[str]:
    by_size = sorted(changes.items(), key=lambda item: -abs(item[1].mean or 0.0))
    said = [f"{case} alone: {change_in_words(found, measure)}." for case, found in by_size if found.sign]
    left = [case for case, found in changes.items() if not found.sign and found.verdict != "the same"]
    if left:
        said.append(f"Of these the data can't tell: {'; '.join(left)}.")
    return said
