"""`mix`: the study."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Unpack

from linesim.answers.wording import listed
from linesim.errors import WrongQuestionError
from linesim.plan.build import build
from linesim.plan.plan import Plan
from linesim.questions.answer import Answer
from linesim.questions.cautions import cautions_on
from linesim.questions.changes import changes_between, changes_table
from linesim.questions.mix.books import Rule, apart, kept_rules, shares, usual_rule
from linesim.questions.mix.curve import PlanLimit, plan_limit
from linesim.questions.mix.drivers import MOST_WORST, Driver, drivers, removals, worst
from linesim.questions.mix.figures import labels, output
from linesim.questions.mix.sentences import MixFindings, sentences
from linesim.questions.mix.tables import (
    MixLevel,
    built_table,
    drivers_table,
    grid_table,
    levels_of,
    levels_table,
    loads_table,
    spacing_gains,
    spacing_table,
)
from linesim.questions.varying import Factor, Point, cases_of, factors_of
from linesim.questions.varying.points import BASE
from linesim.runs.cases import Case, CaseRuns, run_cases
from linesim.runs.cost import CostOnly
from linesim.runs.rows import Row, row_of
from linesim.runs.run_options import How
from linesim.scenario.replace import NOTHING, Changes
from linesim.scenario.toml import shown_value
from linesim.stats import joint_confidence

if TYPE_CHECKING:
    from linesim.scenario import Scenario

NEW = "new mix"  #: Name of the line with the new mix.


@dataclass(frozen=True, slots=True)
class OptionMix(Answer):
    """What an option mix does to the line.

    Attributes:
        focus: Name of the case that is taken apart: the highest rate of a range, else the new mix, else the
            line as it is.
        levels: Each mix by itself and against the line as it is.
        limit: Up to which rate the plan is made; None without a range of numbers or without a plan.
        drivers: What each option costs in ``focus``, the largest overload first.
        spacings: Each rule that was tried in ``focus``, and the jobs it would give back.
    """

    focus: str
    levels: tuple[MixLevel, ...]
    limit: PlanLimit | None
    drivers: tuple[Driver, ...]
    spacings: tuple[tuple[Rule, Row], ...]


def mix(
    scenario: Scenario,
    new: Scenario | Changes = NOTHING,
    *,
    vary: Factor | Mapping[str, Sequence[Any]] | None = None,
    target: float | None = None,
    options: Sequence[str] | None = None,
    rules: Sequence[Rule] = (),
    replications: int | None = None,
    seed: int | None = None,
    confidence: float = 0.95,
    file: str = "",
    **how: Unpack[How],
) -> OptionMix:
    """Say what a new option mix does to the line, where it hurts, and what drives it.

    Every mix sees the same luck: who takes an option at one rate takes it at every higher one, and no
    other option and no task time moves.

    Args:
        scenario: The line as it is.
        new: The line with the new mix, or changes that make it (shares, take rates), such as
            ``{"option.roof.take": 0.4}``; none to look at the mix as it is.
        vary: A share or take rate and its values, such as ``{"option.roof.take": [0.2, 0.3, 0.4]}``, laid
            over the new mix one by one.
        target: Jobs per shift that the plan asks for; None takes what the scenario says.
        options: Options whose part is worked out; None means all, an empty list none.
        rules: Spacing rules to try; none tries the tightest usual one (1 in 3, else 1 in 2, 2 in 3 …) for the
            option that drives the overload and for the one that costs most jobs.
        replications: How many of each case; None takes what the scenario says.
        seed: Seed of all draws; None takes what the scenario says.
        confidence: Confidence with which figures of one kind that are compared hold together.
        file: Name of the scenario's file, for the answer to carry.
        how: How replications are run, such as ``workers=4``; see `linesim.runs.run_options.How`.

    Raises:
        WrongQuestionError: If an option, a rule or the range is none of this line.
        ScenarioError: If a mix is no line, such as a rule that its take rate leaves no room for.
        LineStuck: If a line can no longer move.
    """
    factor = _factor(vary)
    other = Case.changed(NEW, scenario, new) if isinstance(new, Mapping) else Case(NEW, new)
    changed = other.scenario
    cases = [Case(BASE, scenario)]
    _require_same_run(scenario, changed)
    if changed is not scenario:
        cases.append(other)
    points = _points(factor, cases)
    cases += cases_of(changed, points)
    focus = cases[-1]
    plan = build(focus.scenario)
    taken_away = removals(focus.scenario, plan, options)
    tried = [_spaced(focus, plan, rule) for rule in rules]
    first = [*cases, *(item.case for item in taken_away), *(case for _, case in tried)]
    try:
        runs = run_cases(first, replications=replications, seed=seed, **how)
    except CostOnly as found:
        spaced = 0 if rules else min(MOST_WORST, len(taken_away))
        raise CostOnly(found.cost.with_at_most(spaced)) from None
    costs = drivers(runs, focus.name, taken_away, confidence)
    if not rules and (tried := _usual(costs, focus, plan)):
        runs = runs.add([case for _, case in tried])
    wanted = scenario.target.jobs_per_shift if target is None and scenario.target else target
    return _answer(
        runs, [case.name for case in cases], focus, factor, points, wanted, costs, tried, confidence, file
    )


def _answer(
    runs: CaseRuns,
    names: Sequence[str],
    focus: Case,
    factor: Factor | None,
    points: Sequence[Point],
    target: float | None,
    costs: tuple[Driver, ...],
    tried: Sequence[tuple[Rule, Case]],
    confidence: float,
    file: str,
) -> OptionMix:
    plans = {name: build(runs.case(name).scenario) for name in names}
    built = {name: shares(plan) for name, plan in plans.items()}
    values = {point.name: shown_value(point.levels[0][1]) for point in points}
    levels = levels_of(runs, {name: values.get(name, "") for name in names}, confidence, target)
    limit = _limit(runs, factor, points, target, confidence)
    gains = spacing_gains(runs, focus.name, tried, confidence)
    base = runs.case(BASE).scenario
    changes = {name: changes_between(base, runs.case(name).scenario) for name in names[1:]}
    found = MixFindings(
        levels=levels, focus=focus.name, factor=factor, limit=limit, drivers=costs, spacings=gains,
        built=built, plan=plans[focus.name], target=target,
    )  # fmt: skip
    return OptionMix(
        study="mix",
        sentences=sentences(runs, found, confidence),
        tables_=(
            levels_table(levels, built, factor),
            drivers_table(costs),
            grid_table(costs),
            spacing_table(gains, focus.name, runs),
            built_table(built),
            loads_table(plans[BASE], plans[focus.name]),
            changes_table(changes),
        ),
        cautions=cautions_on(change.path for item in changes.values() for change in item),
        card=runs.card(confidence, file=file),
        focus=focus.name,
        levels=levels,
        limit=limit,
        drivers=costs,
        spacings=tuple((rule, row) for rule, row, _ in gains),
    )


def _require_same_run(scenario: Scenario, changed: Scenario) -> None:
    """Refuse a new mix that is looked at for another time, or from another start, than the line as it is."""
    if differs := [change.name for change in changes_between(scenario, changed) if change.path[0] == "run"]:
        raise WrongQuestionError(
            f"{listed(differs)} of the new mix would differ from the line as it is, which makes them two "
            "different looks; change it in both (--set on the command line)."
        )


def _factor(vary: Factor | Mapping[str, Sequence[Any]] | None) -> Factor | None:
    found = factors_of(vary) if isinstance(vary, Mapping) else () if vary is None else (vary,)
    if len(found) > 1:
        raise WrongQuestionError(f"a mix varies one share or take rate; found {len(found)}.")
    return found[0] if found else None


def _points(factor: Factor | None, cases: Sequence[Case]) -> tuple[Point, ...]:
    if factor is None:
        return ()
    values = factor.values
    if _is_numeric(factor):
        values = tuple(sorted(values))
    points = tuple(Point.at([(factor.path, value)]) for value in values)
    taken = {case.name for case in cases}
    if clash := [point.name for point in points if point.name in taken]:
        raise WrongQuestionError(f"a mix cannot be called {clash[0]!r}: that is another case.")
    return points


def _is_numeric(factor: Factor) -> bool:
    return all(isinstance(value, int | float) and not isinstance(value, bool) for value in factor.values)


def _spaced(focus: Case, plan: Plan, rule: Rule) -> tuple[Rule, Case]:
    changes, new = apart(plan, rule)
    return rule, Case.changed(str(rule), focus.scenario, changes, add=new)


def _usual(costs: Sequence[Driver], focus: Case, plan: Plan) -> list[tuple[Rule, Case]]:
    """Return the rules to try for the options that surely hurt most, if not on nearly all jobs.

    A rule that the sequence keeps already would change nothing.
    """
    rules = [usual_rule(driver.option, driver.share) for driver in worst(costs)]
    kept = kept_rules(plan)
    return [_spaced(focus, plan, rule) for rule in rules if rule is not None and rule not in kept]


def _limit(
    runs: CaseRuns, factor: Factor | None, points: Sequence[Point], target: float | None, confidence: float
) -> PlanLimit | None:
    if factor is None or target is None or len(points) < 2 or not _is_numeric(factor):
        return None
    if runs.row(BASE, "jobs_per_shift").mean is None:
        return None
    alone, label = joint_confidence(confidence, len(points)), labels(runs)["output"]
    rows = [row_of(label, output(runs, point.name).tolist(), alone) for point in points]
    rates = [float(point.levels[0][1]) for point in points]
    means = [row.mean for row in rows if row.mean is not None]
    return plan_limit(rates, means, [row.low for row in rows], [row.high for row in rows], target)
