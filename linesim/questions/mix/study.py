"""`mix`: what an option mix does to the line, which option drives it, and what spacing gives back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from linesim.answers.document import Chart, Document, Grid, Heading, Part, View, Words
from linesim.answers.table import BESIDE, BESIDE_CHANGE, Column, Kind, Row, Table
from linesim.answers.wording import Value, listed
from linesim.capacity.loads import Loads, LoadSpread, crew_spread, station_spread
from linesim.errors import WrongQuestionError
from linesim.plan.build import build
from linesim.plan.plan import Plan
from linesim.questions.alternatives import open_table, raise_notes, the_alternative
from linesim.questions.cautions import cautions_on
from linesim.questions.changes import InputChange, changes_between
from linesim.questions.compare.study import inputs_table
from linesim.questions.decision import decision_between
from linesim.questions.mix import MixQuestion
from linesim.questions.mix.drivers import (
    MOST_WORST,
    Driver,
    Rule,
    RuleGain,
    apart,
    drivers,
    kept_rules,
    removals,
    rule_gains,
    rule_of,
    shares,
    usual_rule,
    worst,
)
from linesim.questions.mix.levels import MixFigures, MixLevel, levels_of, limit_of
from linesim.questions.mix.sentences import MixSentences
from linesim.questions.varying import BASE, Factor, Point, cases_of, factors_of
from linesim.runs.cases import Case
from linesim.runs.cost import RunCost
from linesim.runs.select import main_figure
from linesim.scenario import Scenario
from linesim.scenario.cells import read_orders
from linesim.scenario.problems import Notes
from linesim.scenario.toml import shown_value

NEW = "new mix"  #: Name of the line with the new mix.
MOST_STATIONS = 6  #: Stations of the grid that a terminal shows.
MOST_LOADS = 6  #: Stations and crews whose load a terminal shows.


def study(asked: MixQuestion, scenario: Scenario) -> Document:
    """Return what each mix does: one case for each, one for each option taken away, and for each rule."""
    rules = [rule_of(rule) for rule in asked.rules]
    if asked.no_options and asked.options:
        raise WrongQuestionError("--option and --no-options contradict each other; leave one out.")
    factor, new = _factor(asked), _new_mix(asked, scenario)
    _require_same_run(scenario, new.scenario)
    cases = [Case(BASE, scenario), *([new] if new.scenario is not scenario else [])]
    points = _points(factor, cases)
    cases += cases_of(new.scenario, points)
    focus = cases[-1]
    plan = build(focus.scenario)
    taken_away = removals(focus.scenario, plan, () if asked.no_options else asked.options or None)
    tried = [_spaced(focus, plan, rule) for rule in rules]
    runs = asked.run([*cases, *(item.case for item in taken_away), *(case for _, case in tried)])
    figures = MixFigures(runs, asked.confidence, main_figure(runs, None))
    costs = drivers(figures, focus.name, taken_away)
    if not rules and (tried := _usual(costs, focus, plan)):
        figures = replace(figures, runs=runs.add([case for _, case in tried]))
    target = scenario.target.jobs_per_shift if asked.target is None else asked.target
    plans = {case.name: build(case.scenario) for case in cases}
    built = {name: shares(one) for name, one in plans.items()}
    values = {point.name: shown_value(point.levels[0][1]) for point in points}
    levels = levels_of(
        figures, {case.name: values.get(case.name, "") for case in cases},
        {name: _share_built(found, factor) for name, found in built.items()}, target,
    )  # fmt: skip
    rates = {point.name: float(point.levels[0][1]) for point in points} if _is_numeric(factor) else {}
    gains = rule_gains(figures, focus.name, tried)
    limit = limit_of(figures, rates, target)
    say = MixSentences(figures.output, levels, focus.name, plan, factor, target, limit, costs, gains)
    changes = {case.name: changes_between(scenario, case.scenario) for case in cases[1:]}
    tables = (
        _levels_table(levels, figures), _drivers_table(costs, figures), _overload_table(costs),
        _rules_table(gains, figures, focus.name), _built_table(built),
        _loads_table(plans[BASE], plan), inputs_table(changes),
    )  # fmt: skip
    return asked.told(
        asked.card(figures.runs),
        say.all(asked.confidence),
        tables,
        (*_parts(figures, focus.name, *tables[:-1]), *_inputs(changes, list(values))),
        cautions_on(change.path for found in changes.values() for change in found),
        decision=decision_between(figures.runs, list(changes), figures.output, asked.confidence),
    )


def steps(asked: MixQuestion, scenario: Scenario, first: RunCost) -> RunCost:
    """Return the cost with the rules that may be tried once it is known which options hurt most."""
    factor = _factor(asked)
    mixes = 1 + (_new_mix(asked, scenario).scenario is not scenario) + len(factor.values if factor else ())
    spaced = 0 if asked.rules else min(MOST_WORST, max(0, first.cases - mixes))
    each = first.replications // first.cases
    return first.between(first.least or first.replications, first.replications + spaced * each)


def _new_mix(asked: MixQuestion, scenario: Scenario) -> Case:
    """Return the line with the new mix, from all that makes it one after the other."""
    new, lines = scenario, []
    if isinstance(asked.new, Mapping):
        case = Case.changed(NEW, new, asked.new)
        new, lines = case.scenario, [*case.changes]
    elif asked.new is not None:
        new = asked.new
    if asked.orders is not None:
        notes = Notes()
        orders, _ = read_orders(open_table(asked.orders, prefer="orders"), notes)
        raise_notes(notes, asked.orders)
        new = new.replace({("orders", "list"): orders, ("orders", "sequence"): "listed"})
        lines.append(f"orders of {asked.orders}")
    if tried := the_alternative(asked.tries):
        new, lines = tried.case(new).scenario, [*lines, *tried.lines]
    return Case(NEW, new, tuple(lines))


def _require_same_run(scenario: Scenario, changed: Scenario) -> None:
    """Refuse a new mix that is looked at for another time, or from another start, than the line as it is."""
    if differs := [change.name for change in changes_between(scenario, changed) if change.path[0] == "run"]:
        raise WrongQuestionError(
            f"{listed(differs)} of the new mix would differ from the line as it is, which makes them two "
            "different looks; change it in both (--set on the command line)."
        )


def _factor(asked: MixQuestion) -> Factor | None:
    vary = asked.vary
    found = () if vary is None else factors_of(vary if isinstance(vary, Mapping) else (vary,))
    if len(found) > 1:
        raise WrongQuestionError(f"a mix varies one share or take rate; found {len(found)}.")
    return found[0] if found else None


def _points(factor: Factor | None, cases: Sequence[Case]) -> tuple[Point, ...]:
    if factor is None:
        return ()
    values = tuple(sorted(factor.values)) if _is_numeric(factor) else factor.values
    points = tuple(Point.at([(factor.path, value)]) for value in values)
    taken = {case.name for case in cases}
    if clash := [point.name for point in points if point.name in taken]:
        raise WrongQuestionError(f"a mix cannot be called {clash[0]!r}: that is another case.")
    return points


def _is_numeric(factor: Factor | None) -> bool:
    values = () if factor is None else factor.values
    return all(isinstance(value, int | float) and not isinstance(value, bool) for value in values)


def _share_built(built: Mapping[str, float], factor: Factor | None) -> float | None:
    """Return the share of jobs that have what is varied, which packages and needs can make larger."""
    if factor is None or len(factor.path) < 3 or factor.path[0] not in ("option", "model"):
        return None
    return built.get(factor.path[1])


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


def _levels_table(levels: Sequence[MixLevel], figures: MixFigures) -> Table:
    output, stops, overload = _columns(figures, "estimate", BESIDE)
    more_output, more_stops, more_overload = _columns(figures, "change", BESIDE_CHANGE, before="more_")
    columns = (
        Column("case"), Column("mix"), Column("built_share", "share", head="built, %"),
        replace(output, head=figures.output.label, faces=("plus minus",)),
        replace(more_output, head="against", faces=("doubted",)),
        replace(stops, head="stops, min", faces=("mean",)), more_stops,
        replace(overload, head="overload, s", faces=("mean",)), more_overload,
        Column("plan_met", "estimate", head="plan, %", unit="share", flat=BESIDE, faces=("mean",)),
    )  # fmt: skip
    rows = [
        {"case": one.case, "mix": one.value or one.case, "built_share": one.built_share, **one.level,
         **{f"more_{kind}": one.more.get(kind) for kind in one.level}, "plan_met": one.plan_met}
        for one in levels
    ]  # fmt: skip
    return Table.of("mixes", columns, rows, "Each mix by itself, and minus the line as it is.")


def _columns(figures: MixFigures, kind: Kind, flat: str, *, before: str = "") -> tuple[Column, ...]:
    """Return columns of output, stops and overload."""
    return tuple(
        Column(f"{before}{name}", kind, unit=figures.unit(measure), flat=flat)
        for name, measure in figures.kinds.items()
    )


def _drivers_table(costs: Sequence[Driver], figures: MixFigures) -> Table:
    output, stops, overload = _columns(figures, "change", BESIDE_CHANGE)
    columns = (
        Column("option"), Column("goes_with"), Column("share", "share", head="built, %"),
        replace(overload, head="all", faces=("doubted",)), Column("overload_each", "number", head="each"),
        replace(overload, name="own_overload", head="by itself", faces=("doubted",)),
        replace(output, head="jobs", faces=("doubted",)), replace(output, name="own_output"), stops,
    )  # fmt: skip
    says = (
        "What each option costs: overload and stops with it minus without, jobs without it minus with; own "
        "is what remains once the options that need it are gone."
    )
    return Table.of("drivers", columns, costs, says)


def _overload_table(costs: Sequence[Driver]) -> Table:
    rows = [
        {"option": cost.option, "station": one.measure.where, "overload": one.difference}
        for cost in costs
        for one in cost.by_station
    ]
    flat = "mean low high half_width n=replications method verdict"
    columns = (
        Column("option"), Column("station"),
        Column("overload", "change", unit="s/job", flat=flat, faces=("doubted",)),
    )  # fmt: skip
    says = "Seconds of work left at the limit per job that an option brings, by station."
    return Table.of("overload", columns, rows, says, keys=("option", "station"))


def _rules_table(gains: Sequence[RuleGain], figures: MixFigures, focus: str) -> Table:
    output, _, overload = _columns(figures, "change", BESIDE_CHANGE)
    columns = (
        Column("rule"), Column("of"), Column("at_most", "count"), Column("in_any", "count"),
        replace(output, head=figures.output.label), replace(overload, head="overload, s per job"),
    )  # fmt: skip
    rows = [
        {"rule": str(one.rule), "of": one.rule.of, "at_most": one.rule.at_most, "in_any": one.rule.in_any,
         "output": one.output, "overload": one.overload}
        for one in gains
    ]  # fmt: skip
    return Table.of("spacing", columns, rows, f"What a rule does in {focus!r}: with it minus without it.")


def _built_table(built: Mapping[str, Mapping[str, float]]) -> Table:
    """Return the share of jobs of each model and with each option."""
    rows = [
        {"case": case, "name": name, "share": share}
        for case, found in built.items()
        for name, share in found.items()
    ]
    columns = (Column("case"), Column("name", head="model or option"), Column("share", "share"))
    return Table.of(
        "built", columns, rows, "What is built, packages and needs included.", keys=("case", "name")
    )


def _loads_table(base: Plan, focus: Plan) -> Table:
    """Return the load of each station and crew, as it is and in the mix taken apart."""
    before, after = Loads(base), Loads(focus)
    rows = [
        _load("station", load.station, load.takt_s, station_spread(before, s), station_spread(after, s))
        for s, load in enumerate(after.stations)
    ]
    rows += [
        _load("crew", crew.name, crew.takt_s, then, now)
        for c, crew in enumerate(after.crews)
        if (then := crew_spread(before, c)) is not None and (now := crew_spread(after, c)) is not None
    ]
    heads = {
        "as_it_is_share": "as it is", "load_share": "mix", "p95_share": "P95", "heaviest_share": "heaviest",
        "over_takt_share": "over",
    }  # fmt: skip
    columns = (
        Column("kind", head=""), Column("name", head=""),
        *(Column(name, "share", head=head) for name, head in heads.items()),
        Column("heaviest", head="which job"),
    )  # fmt: skip
    says = (
        "Work per job as a share of the takt, by mean times: the shortest time at a station, the work per "
        "person of a crew; on average, for nineteen jobs in twenty, for the heaviest, and the share of jobs "
        "above the takt."
    )
    return Table.of("loads", columns, rows, says, keys=("kind", "name"))


def _load(kind: str, name: str, takt_s: float, then: LoadSpread, now: LoadSpread) -> dict[str, Value]:
    return {
        "kind": kind, "name": name, "as_it_is_share": then.mean / takt_s, "load_share": now.mean / takt_s,
        "p95_share": now.p95 / takt_s, "heaviest_share": now.high / takt_s, "over_takt_share": now.over,
        "heaviest": now.heaviest if now.high > now.mean * (1 + 1e-9) else "",
    }  # fmt: skip


def _parts(
    figures: MixFigures, focus: str, mixes: Table, costs: Table, overloads: Table, spacing: Table,
    what_is_built: Table, loads: Table,
) -> list[Part]:  # fmt: skip
    """Return each mix, the options that drive it and where, and what it loads."""
    label, shown = figures.output.label, ["mix", "built_share", "output", "more_output", "stops", "overload"]
    if any(cell is not None for cell in mixes.column("plan_met")):
        shown.append("plan_met")
    parts: list[Part] = [
        View("mixes", "Output, stops and overload against the mix", mixes.pick(*shown),
             note="Stops: minutes a shift that begin on the line itself, over all sections. Overload: work "
             "left when a job reaches a station's limit, per job. Plan: shifts that make it."),
    ]  # fmt: skip
    others = mixes.places(lambda row: row["more_output"] is not None)
    says = "One row a mix, minus the line as it is, paired over common draws; the intervals hold together."
    for figure, title, unit in (
        ("more_output", f"{label} with each mix, against the line as it is", f"more {label}"),
        ("more_overload", "Seconds of work over the limits per job with each mix, against the line as it is",
         "more seconds per job"),
    ):  # fmt: skip
        case, change = mixes.pick("case", figure)
        column = replace(change, head="change", faces=())
        view = View("mixes", title, (case, column), others, only_page=True)
        parts.append(Chart("forest", f"mix-{figure.replace('_', '-')}", says, view, figure, "{case}", unit))
    if len(costs):
        view = View(
            "drivers", f"Overload by option, s per job, in {focus!r}",
            costs.pick("option", "share", "overload", "overload_each", "own_overload", "output"),
            note="all: over all stations, per job of all jobs; each: per job that has the option; by itself: "
            "what remains once the options that need it are gone; jobs: what the line would make more or "
            "less a shift if nobody took it. In brackets: can't be told from 0.",
        )  # fmt: skip
        says = "Seconds of work over the limits per job, with the option minus without it."
        parts.append(Chart("forest", "drivers", says, view, "overload", "{option}", "seconds per job"))
    option, overload = overloads.pick("option", "overload")
    name, share = what_is_built.pick("name", "share")
    parts += [
        Grid("overload", "Overload by option and station, s per job", option, "station", overload,
             most=MOST_STATIONS),
        View("spacing", "What a rule of the sequence gives: with it minus without it",
             spacing.pick("rule", "output", "overload"), only_page=True),
        View("loads", "The fullest stations and crews, % of their takt by mean times", loads.columns,
             loads.places(by=_fullest), most=MOST_LOADS,
             note="P95: nineteen jobs in twenty need no more. Over: % of the jobs above the takt."),
        Grid("built", "What is built, packages and needs included, % of the jobs", name, "case", share,
             only_page=True),
    ]  # fmt: skip
    return parts


def _fullest(row: Row) -> float:
    share = row["p95_share"]
    assert isinstance(share, float)
    return -share


def _inputs(changes: Mapping[str, Sequence[InputChange]], inside: Sequence[str]) -> list[Part]:
    """Say what differs: in the new mix all of it, in a range only what the varied input was at its end."""
    told = [
        f"{case}: {change}" for case, found in changes.items() if case not in inside[:-1] for change in found
    ]
    return [Heading("What differs in the input"), Words(tuple(told))] if told else []
