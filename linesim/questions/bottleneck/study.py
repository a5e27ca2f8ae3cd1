"""`bottleneck`: the study."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Unpack

import numpy as np

from linesim.errors import WrongQuestionError
from linesim.questions.answer import Answer
from linesim.questions.bottleneck.cautions import cautions
from linesim.questions.bottleneck.chain import Link, idle_shares, links_of
from linesim.questions.bottleneck.evidence import (
    GAIN,
    ONE_MORE,
    PERIOD,
    SHARE,
    STOP,
    Nomination,
    StationFigures,
    by_rules,
    highest,
    main_cause,
    period_rows,
    period_values,
    share_values,
)
from linesim.questions.bottleneck.one_more import OneMore, asked_of, tells_more
from linesim.questions.bottleneck.periods import AVERAGE, NOTES
from linesim.questions.bottleneck.sentences import on_paper, sentences
from linesim.questions.bottleneck.tables import links_table, methods_table, resources_table, stations_table
from linesim.questions.cautions import cautions_on
from linesim.questions.scaled import scaled_task
from linesim.questions.verdicts import sign_of
from linesim.runs.cases import Case, CaseRuns, FloatArray, run_cases
from linesim.runs.main_measure import RATE, Measure, asked, main_figure
from linesim.runs.replicate import Replications
from linesim.runs.replication import Label
from linesim.runs.rows import Row, change_row
from linesim.runs.run_options import How
from linesim.scenario.line import placed_tasks
from linesim.stats import joint_confidence

if TYPE_CHECKING:
    from linesim.scenario import Scenario

TOLD = 10  #: Replications, if the scenario has as many and nobody asks for others.
BASE = "as it is"
LOG = "as it is, event log"


@dataclass(frozen=True, slots=True)
class Bottleneck(Answer):
    """Which station holds the line back, by several methods.

    Attributes:
        figure: The figure that a faster station is to raise.
        faster: By how many percent stations were made faster.
        stations: What the methods look at, station by station in line order.
        resources: What one more of each crew, tool and carrier brings, in file order.
        methods: Whom each method names.
        links: What the rules of blocking and starving compare.
    """

    figure: Measure
    faster: float
    stations: tuple[StationFigures, ...]
    resources: tuple[OneMore, ...]
    methods: tuple[Nomination, ...]
    links: tuple[Link, ...]

    def method(self, name: str) -> Nomination:
        """Return whom a method names.

        Raises:
            KeyError: If there is none of this name.
        """
        for named in self.methods:
            if named.method == name:
                return named
        raise KeyError(f"no method {name!r}; there are {', '.join(m.method for m in self.methods)}")

    def station(self, name: str) -> StationFigures:
        """Return the figures of a station.

        Raises:
            KeyError: If there is none of this name.
        """
        for figures in self.stations:
            if figures.station == name:
                return figures
        raise KeyError(f"no station {name!r}; there are {', '.join(s.station for s in self.stations)}")


def bottleneck(
    scenario: Scenario,
    *,
    faster: float = 0.05,
    only: Sequence[str] = (),
    on: str | None = None,
    replications: int | None = None,
    seed: int | None = None,
    confidence: float = 0.95,
    file: str = "",
    **how: Unpack[How],
) -> Bottleneck:
    """Say which station holds the line back, by the published methods side by side.

    The gain if a station were faster is the yardstick: what counts is what the line makes. The other
    methods read the records of the line as it is and cost no further run; where they name another
    station, the answer says so and, on a paced line, why. Crews, tools and carriers are asked about by what
    one more of each brings.

    Args:
        scenario: The line.
        faster: By which share the work of a station is made faster, one station at a time: every
            time of its tasks is divided by ``1 + faster``. Between 0 and 1.
        only: What is asked about: stations, or ``crew.NAME``, ``tool.NAME``, ``carrier.NAME``; empty means
            all.
        on: The figure that counts, such as ``"throughput"``, of which more is better; None means jobs per
            shift, or jobs per hour where the run holds no whole shift.
        replications: How many of each; None takes what the scenario says, at most `TOLD`.
        seed: Seed of all draws; None takes what the scenario says.
        confidence: Confidence with which all gains hold together, and with which each method's true first
            is among those it could be.
        file: Name of the scenario's file, for the answer to carry.
        how: How replications are run, such as ``workers=4``; see `linesim.runs.run_options.How`.

    Raises:
        WrongQuestionError: If there is no such station, crew, tool, carrier or figure.
        LineStuck: If a line can no longer move.

    Notes:
        Speed gain: C.-T. Kuo, J.-T. Lim and S. M. Meerkov, Mathematical Problems in Engineering 2 (1996)
        233-276. The other methods: `linesim.stats.arrow_rule`, `turning_point`, `active_periods`.

    Examples:
        >>> from linesim import load
        >>> bottleneck(load("line.toml"), replications=10).sentences  # doctest: +SKIP
    """
    from linesim.plan.build import build

    wanted = _wanted(on)
    asked_about, resources = asked_of(scenario, only)
    if not 0 < faster < 1:
        raise WrongQuestionError(f"faster: found {faster:g}; write a share such as 0.05.")
    percent = round(100 * faster, 6)
    made_faster = [_faster(scenario, name, percent) for name in asked_about]
    with_more = [resource.case(scenario) for resource in resources]
    cases = [Case(BASE, scenario), *made_faster, *with_more, Case(LOG, scenario, notes=NOTES)]
    runs = run_cases(cases, replications=replications, usual=TOLD, seed=seed, **how)
    periods, card = runs.found[LOG], runs.card(confidence, file=file)
    runs = runs.only(name for name in runs.names if name != LOG)
    figure = main_figure(runs, wanted)
    names = tuple(scenario.station)
    changed = [faster_name(name, percent) for name in asked_about]
    more = [resource.case_name for resource in resources]
    found = _gains(runs, figure, [*changed, *more], confidence)
    gains = {name: found[case] for name, case in zip(asked_about, changed, strict=True)}
    one_more = tuple(OneMore(resource, found[resource.case_name]) for resource in resources)
    figures = tuple(_figures(scenario, runs, periods, names, gains, confidence))
    links = links_of(build(scenario))
    blocked, starved = idle_shares(partial(runs.values, BASE), links)
    paced = [s for link in links if link.is_paced for s in link.stations]
    caused = np.array([runs.values(BASE, "own_stop", name) for name in paced]).T
    methods = (
        highest(GAIN, asked_about, _gain_values(runs, figure, changed), confidence),
        *_by_one_more(one_more, _gain_values(runs, figure, more), confidence),
        highest(STOP, paced, caused.reshape(len(runs.numbers), len(paced)), confidence),
        highest(SHARE, names, share_values(periods, names), confidence),
        highest(PERIOD, names, period_values(periods, AVERAGE, names), confidence),
        *by_rules(links, blocked, starved, confidence),
    )
    every = _gain_values(runs, figure, [*changed, *more])
    could_be = highest(GAIN, [*changed, *more], every, confidence).level
    is_beyond = bool(changed) and tells_more(one_more) and not set(changed) & set(could_be)
    said = sentences(figures, one_more, methods, links, figure, percent, len(runs.numbers), is_beyond)
    return Bottleneck(
        study="bottleneck",
        sentences=(*said, *on_paper(scenario, runs.row(BASE, *RATE, confidence=confidence))),
        tables_=(
            methods_table(methods),
            stations_table(figures),
            resources_table(one_more),
            links_table(links, blocked, starved, *methods[-2:]),
        ),
        cautions=(
            *cautions(scenario, figures, methods, links, percent, len(runs.numbers)),
            *cautions_on(
                (one.resource.kind, one.resource.name, "people")
                for one in one_more
                if one.resource.kind == "crew" and sign_of(one.gain) > 0
            ),
        ),
        card=card,
        figure=figure,
        faster=percent,
        stations=figures,
        resources=one_more,
        methods=methods,
        links=links,
    )


def _wanted(on: str | None) -> Measure | None:
    wanted = None if on is None else asked(on)
    if wanted is not None and not wanted.more_is_better:
        raise WrongQuestionError(
            f"a bottleneck holds back a figure of which more is better, not {wanted}; write one such as "
            "throughput or jobs_per_shift."
        )
    return wanted


def _faster(scenario: Scenario, name: str, percent: float) -> Case:
    changes = dict(
        setting
        for station, task_name, at, task in placed_tasks(scenario.station)
        if at == name
        for setting in scaled_task(("station", station, "task", task_name), task, 1 / (1 + percent / 100))
    )
    return Case.changed(faster_name(name, percent), scenario, changes)


def faster_name(station: str, percent: float) -> str:
    """Return what the case is called in which a station is faster."""
    return f"{station} {percent:g} % faster"


def _gain_values(runs: CaseRuns, figure: Measure, names: Sequence[str]) -> FloatArray:
    """Return what each case brings in each replication, shape ``(replications, cases)``."""
    base = runs.values(BASE, *figure)
    return np.array([runs.values(name, *figure) - base for name in names]).reshape(len(names), len(base)).T


def _gains(runs: CaseRuns, figure: Measure, names: Sequence[str], confidence: float) -> dict[str, Row]:
    """Return what each case brings, by its name, with intervals that all hold together."""
    base = runs.values(BASE, *figure)
    alone = joint_confidence(confidence, len(names))
    unit = next(label.unit for label in runs.found[BASE].labels if label[:3] == tuple(figure))
    found = {}
    for name in names:
        found[name] = change_row(Label(*figure, unit), runs.values(name, *figure), base, alone)
    return found


def _by_one_more(found: Sequence[OneMore], values: FloatArray, confidence: float) -> Iterator[Nomination]:
    """Yield the crew, tool or carrier of which one more brings the most, if anything surely does."""
    if found:
        named = highest(ONE_MORE, [one.resource.label for one in found], values, confidence)
        yield named if tells_more(found) else named._replace(stations=())


def _figures(
    scenario: Scenario,
    runs: CaseRuns,
    periods: Replications,
    names: Sequence[str],
    gains: dict[str, Row],
    confidence: float,
) -> list[StationFigures]:
    section_of = {s: (name, table) for name, table in scenario.section.items() for s in table.stations}
    rows = period_rows(periods, names, confidence)
    found = []
    for station in names:
        section, table = section_of[station]
        stop = None
        if table.pacing != "free":
            stop = runs.row(BASE, "own_stop", station, confidence=confidence)
        states = [
            runs.row(BASE, "station_state", station, state, confidence=confidence)
            for state in ("blocked", "starved", "down")
        ]
        period, sole, shifting, share = rows[station]
        found.append(
            StationFigures(
                station=station,
                section=section,
                pacing=table.pacing,
                gain=gains.get(station),
                stop=stop,
                cause=main_cause(runs, BASE, station),
                period=period,
                sole=sole,
                shifting=shifting,
                share=share,
                blocked=states[0],
                starved=states[1],
                down=states[2],
            )
        )
    return found
