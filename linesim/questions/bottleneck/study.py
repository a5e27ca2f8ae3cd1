"""`bottleneck`: which station, crew or tool holds the line back, by the published methods side by side."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from linesim.answers.document import Chart, Document, Part, View, largest
from linesim.answers.measure import RATE, Measure
from linesim.answers.table import BESIDE, BESIDE_CHANGE, Column, Table
from linesim.answers.values import Change
from linesim.errors import WrongQuestionError
from linesim.plan.build import build
from linesim.questions.bottleneck import Bottleneck
from linesim.questions.bottleneck.evidence import (
    ARROW,
    GAIN,
    ONE_MORE,
    PERIOD,
    SHARE,
    STOP,
    TURN,
    Link,
    Nomination,
    Resource,
    StationFigures,
    asked_of,
    by_rules,
    highest,
    idle_shares,
    links_of,
    main_cause,
    period_figures,
    period_values,
    share_values,
    tells_more,
)
from linesim.questions.bottleneck.periods import AVERAGE, NOTES
from linesim.questions.bottleneck.sentences import BottleneckSentences, on_paper
from linesim.questions.cautions import cautions_on
from linesim.questions.changes import scaled_task
from linesim.questions.decision import decision_between
from linesim.runs.case_runner import change_of, estimate_of
from linesim.runs.cases import Case, CaseRuns, FloatArray
from linesim.runs.replicate import Replications
from linesim.runs.select import main_figure
from linesim.scenario import Scenario
from linesim.stats.bottlenecks import arrow_rule

TOLD = 10  #: Replications, if the scenario has as many and nobody asks for others.
BASE = "as it is"
LOG = "as it is, event log"


def study(asked: Bottleneck, scenario: Scenario) -> Document:
    """Return whom each method names: the line as it is, each station made faster, one more of all else.

    Notes:
        Speed gain: C.-T. Kuo, J.-T. Lim and S. M. Meerkov, Mathematical Problems in Engineering 2 (1996)
        233-276. The other methods: `linesim.stats.arrow_rule`, `turning_point`, `active_periods`.
    """
    wanted = asked.wanted
    if wanted is not None and not wanted.more_is_better:
        raise WrongQuestionError(
            f"a bottleneck holds back a measure of which more is better, not {wanted}; write one such as "
            "throughput or jobs_per_shift."
        )
    asked_about, resources = asked_of(scenario, asked.only)
    percent, confidence = round(100 * asked.faster, 6), asked.confidence
    cases = [
        Case(BASE, scenario),
        *(_faster(scenario, name, percent) for name in asked_about),
        *(one.case(scenario) for one in resources),
    ]
    runs = asked.run([*cases, Case(LOG, scenario, notes=NOTES)], usual=TOLD)
    periods, card = runs.found[LOG], asked.card(runs)
    runs = runs.only(case.name for case in cases)
    measure, plan = main_figure(runs, wanted), build(scenario)
    every = [case.name for case in cases[1:]]
    changed, more = every[: len(asked_about)], every[len(asked_about) :]
    gain = {case: change_of(runs, BASE, case, measure, confidence, len(every)) for case in every}
    one_more = {one: gain[one.case_name] for one in resources}
    gains = {name: gain[case] for name, case in zip(asked_about, changed, strict=True)}
    links, names = links_of(plan), tuple(scenario.station)
    blocked, starved = idle_shares(partial(runs.values, BASE), links)
    paced = [station for link in links if link.is_paced for station in link.stations]
    caused = np.array([runs.values(BASE, "own_stop", name) for name in paced])
    brought = np.array([runs.values(case, *measure) - runs.values(BASE, *measure) for case in every]).T
    by_speed, by_more = brought[:, : len(changed)], brought[:, len(changed) :]
    found = [
        highest(GAIN, asked_about, by_speed, confidence),
        *([highest(ONE_MORE, [one.label for one in resources], by_more, confidence)] if more else []),
        highest(STOP, paced, caused.T.reshape(len(runs.numbers), len(paced)), confidence),
        highest(SHARE, names, share_values(periods, names), confidence),
        highest(PERIOD, names, period_values(periods, AVERAGE, names), confidence),
        *by_rules(links, blocked, starved, confidence),
    ]
    tells = {GAIN: any(one.sign > 0 for one in gains.values()), ONE_MORE: tells_more(one_more)}
    methods = [one if tells.get(one.method, True) else replace(one, stations=()) for one in found]
    could_be = highest(GAIN, every, brought, confidence).level
    say = BottleneckSentences(
        tuple(_figures(scenario, runs, periods, gains, confidence)), one_more, methods, links, measure,
        percent, is_beyond=bool(changed) and tells[ONE_MORE] and not set(changed) & set(could_be),
    )  # fmt: skip
    tables = {
        "methods": _methods_table(methods),
        "stations": _stations_table(say.figures, measure, percent),
        "resources": _resources_table(one_more),
        "links": _links_table(links, blocked, starved, methods),
    }
    helping = [one.name for one, brings in one_more.items() if one.kind == "crew" and brings.sign > 0]
    return asked.told(
        card, (*say.all(), *on_paper(plan, estimate_of(runs, BASE, RATE, confidence))), tables.values(),
        _parts(tables, measure),
        (*say.cautions(scenario), *cautions_on(("crew", name, "people") for name in helping)),
        decision=decision_between(runs, every, measure, confidence),
    )  # fmt: skip


def _faster(scenario: Scenario, name: str, percent: float) -> Case:
    changes = dict(
        setting
        for station, task_name, at, task in scenario.placed_tasks
        if at == name
        for setting in scaled_task(("station", station, "task", task_name), task, 1 / (1 + percent / 100))
    )
    return Case.changed(f"{name} {percent:g} % faster", scenario, changes)


def _figures(
    scenario: Scenario,
    runs: CaseRuns,
    periods: Replications,
    gains: Mapping[str, Change],
    confidence: float,
) -> Iterator[StationFigures]:
    found = period_figures(periods, tuple(scenario.station), confidence)
    section_of = {station: name for name, table in scenario.section.items() for station in table.stations}
    for station, (period, sole, shifting, share) in found.items():
        section = section_of[station]
        pacing = scenario.section[section].pacing
        stop = None
        if pacing != "free":
            stop = estimate_of(runs, BASE, Measure("own_stop", station), confidence)
        blocked, starved, down = (
            estimate_of(runs, BASE, Measure("station_state", station, state), confidence)
            for state in ("blocked", "starved", "down")
        )
        yield StationFigures(
            station, section, pacing, gains.get(station), stop, main_cause(runs, BASE, station), period, sole,
            shifting, share, blocked, starved, down,
        )  # fmt: skip


def _methods_table(methods: Sequence[Nomination]) -> Table:
    columns = (
        Column("method"), Column("names"), Column("named", head="stations"),
        Column("times", "count", head="in"), Column("replications", "count", head="of"),
        Column("could_be", head="could be"),
    )  # fmt: skip
    rows = [
        {"method": one.method, "times": one.times, "replications": one.replications,
         "names": one.place if one.stations else "can't tell" if one.level else "",
         "named": ", ".join(one.stations), "could_be": ", ".join(one.level)}
        for one in methods
    ]  # fmt: skip
    says = (
        "Whom each method names; could be: who the data can't tell from it; in: replications that name it by "
        "themselves."
    )
    return Table.of("methods", columns, rows, says)


def _stations_table(figures: Sequence[StationFigures], measure: Measure, percent: float) -> Table:
    heads = {
        "stop": "stop", "share": "bottleneck", "sole": "alone", "shifting": "shifting",
        "period": "no pause, s", "blocked": "blocked", "starved": "starved", "down": "down",
    }  # fmt: skip
    units = {"stop": "min/shift", "period": "s"}
    unit = next((one.gain.unit for one in figures if one.gain is not None), "")
    columns = (
        Column("station"), Column("section"), Column("pacing"), Column("cause"),
        Column("gain", "change", head=f"{percent:g} % adds", flat=BESIDE_CHANGE, unit=unit),
        *(
            Column(name, "estimate", head=head, unit=units.get(name, "share"), flat=BESIDE, faces=("short",))
            for name, head in heads.items()
        ),
    )  # fmt: skip
    return Table.of("stations", columns, figures, "What the methods look at, station by station.")


def _resources_table(found: Mapping[Resource, Change]) -> Table:
    unit = next((gain.unit for gain in found.values()), "")
    gain = Column("gain", "change", head="adds", unit=unit, flat=BESIDE_CHANGE)
    columns = (Column("label", head="one more"), Column("kind"), Column("name"), gain)
    rows = [
        {"label": one.label, "kind": one.kind, "name": one.name, "gain": gain} for one, gain in found.items()
    ]
    return Table.of("resources", columns, rows, "What one more of each crew, tool and carrier brings.")


def _links_table(
    links: Sequence[Link], blocked: FloatArray, starved: FloatArray, methods: Sequence[Nomination]
) -> Table:
    """Return what the rules of blocking and starving compare, means over replications, and whom they name."""
    b, s = blocked.mean(axis=0).tolist(), starved.mean(axis=0).tolist()
    arrows, rules = arrow_rule(b, s), {one.method: one for one in methods}
    severity = dict(zip(arrows.bottlenecks, arrows.severity, strict=True))
    rows = [
        {
            "link": link.name, "is_section": link.is_paced, "blocked_share": b[i], "starved_share": s[i],
            "arrow_to_next": arrows.directions[i : i + 1], "severity": severity.get(i),
            "arrow_rule": _is_named(link, rules[ARROW]), "turning_point": _is_named(link, rules[TURN]),
        }
        for i, link in enumerate(links)
    ]  # fmt: skip
    columns = (
        Column("link", head="place"), Column("is_section"), Column("blocked_share", "share", head="blocked"),
        Column("starved_share", "share", head="starved"), Column("arrow_to_next", head="arrow"),
        Column("severity", "number"), Column("arrow_rule", head="arrow rule"),
        Column("turning_point", head="turning"),
    )  # fmt: skip
    says = "Stations of free sections and whole paced sections, and the arrows between."
    return Table.of("links", columns, rows, says)


def _is_named(link: Link, rule: Nomination) -> str:
    if link.stations == rule.stations:
        return "yes"
    return "can't tell" if not rule.stations and link.stations[0] in rule.level else "no"


def _parts(tables: Mapping[str, Table], measure: Measure) -> list[Part]:
    """Return what speed and one more bring, whom each method names, and what it looks at."""
    stations, resources, links = tables["stations"], tables["resources"], tables["links"]
    more, (name, gain) = f"more {measure.label}", stations.pick("station", "gain")
    most = largest("gain", downward=True)
    short = replace(gain, faces=("mean", "interval"))
    speed = View(
        "stations", "What the line would gain if one station were faster",
        (name, replace(gain, head="adds")),
        stations.places(lambda row: row["gain"] is not None, by=most), only_page=True,
    )  # fmt: skip
    says = "One row each, the largest gain first, paired over common draws; all gains hold together."
    parts: list[Part] = [
        Chart("forest", "speed-gains", says, speed, "gain", "{station}", more),
        View("methods", "Method by method", tables["methods"].pick("method", "names", "times", "replications",
                                                                    "could_be")),
        View(
            "stations", "Station by station",
            (name, short, *stations.pick("stop", "share", "sole", "period")),
            note="'stop': minutes a shift of its section's stop that it caused itself. 'bottleneck': % of "
            "the time in which its period without a pause was the longest of all; 'alone': without "
            "another's beside it. The gains hold together, the other figures each for itself.",
        ),
    ]  # fmt: skip
    if len(resources):
        view = View("resources", "One more of each crew, tool and carrier", resources.pick("label", "gain"),
                    resources.places(by=most))  # fmt: skip
        parts.append(Chart("forest", "one-more-gains", says, view, "gain", "{label}", more))
    if any(cell == "yes" for cell in links.column("arrow_rule")):
        columns = links.pick(
            "link", "blocked_share", "starved_share", "arrow_to_next", "arrow_rule", "turning_point"
        )
        note = (
            "A moving or indexed section counts as one place: its stations stop together. No arrow leads "
            "away from a place that the arrow rule points to."
        )
        parts.append(View("links", "Blocked and starved, % of working hours", columns, note=note))
    return parts
