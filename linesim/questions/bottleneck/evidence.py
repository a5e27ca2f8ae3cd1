"""What each method makes of each station, with intervals, and whom it names; the line as a chain of links."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linesim.answers.values import Change, Estimate, possible
from linesim.errors import WrongQuestionError
from linesim.plan.plan import Plan
from linesim.plan.tables import FREE, SECTION
from linesim.plan.words import (
    HANDED_ON,
)
from linesim.questions.bottleneck.periods import AVERAGE, SHIFTING, SOLE
from linesim.questions.crew.hands import one_more
from linesim.runs.cases import Case, CaseRuns, FloatArray
from linesim.runs.replicate import Replications
from linesim.scenario.models import Scenario
from linesim.stats.bottlenecks import (
    arrow_rule,
    surely_turning,
    surely_worst,
    turning_point,
)
from linesim.stats.comparisons import could_be_highest
from linesim.stats.intervals import mean_interval

#: The methods, in the order in which they are told.
GAIN, ONE_MORE, STOP, SHARE, PERIOD, ARROW, TURN = (
    "gain", "one more", "stop caused", "shifting", "active period", "arrows", "turning"
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Nomination:
    """Whom a method names.

    Attributes:
        method: Which method.
        replications: How many it has to go by.
        stations: Station named, or all stations of the section named, or the crew, tool or carrier of which
            one more brings the most; empty if it names nobody, or if the data can't tell whom.
        place: What the method calls it: the station or section.
        level: Stations that could be first as well as far as the replications tell; the one named is
            among them.
        times: In how many replications by themselves a rule of blocking and starving names the place, or any
            place that could be it; None for methods that compare figures.
    """

    method: str
    replications: int
    stations: tuple[str, ...] = ()
    place: str = ""
    level: tuple[str, ...] = ()
    times: int | None = None


@dataclass(frozen=True, slots=True)
class StationFigures:
    """What the methods look at, for one station.

    Attributes:
        station, section, pacing: Names.
        gain: What the line makes more if the station's work goes faster; the interval holds together with
            those of everything else asked about. None if it has no task or was not asked about.
        stop: Minutes of stop a shift that it caused itself; None in a free section, which has no conveyor.
        cause: Word of the cause that most of them have; empty if there are none.
        period: Average active period [s].
        sole, shifting: Share of working time in which it was the momentary bottleneck alone, and
            together with the one before or after it.
        share: Both together.
        blocked, starved, down: Shares of its working hours.
    """

    station: str
    section: str
    pacing: str
    gain: Change | None
    stop: Estimate | None
    cause: str
    period: Estimate
    sole: Estimate
    shifting: Estimate
    share: Estimate
    blocked: Estimate
    starved: Estimate
    down: Estimate


@dataclass(frozen=True, slots=True)
class Link:
    """What moves by itself: a station of a free section, or a moving or indexed section as a whole.

    The stations of a paced section stop together. Between them nothing is ever blocked or starved that
    would say anything of their speed; the section as a whole is, at its end and at its beginning.

    Attributes:
        name: Name of the station or section.
        stations: Its stations, in line order.
        is_paced: Whether it is a moving or indexed section.
    """

    name: str
    stations: tuple[str, ...]
    is_paced: bool


def links_of(plan: Plan) -> tuple[Link, ...]:
    """Return the links of the main line in its order; feeders are not part of it."""
    found: list[Link] = []
    for kind, section in zip(plan.flow.kind.tolist(), plan.flow.index.tolist(), strict=True):
        if kind != SECTION:
            continue
        stations = tuple(plan.names.station[s] for s in plan.sections.stations[section].tolist())
        if plan.sections.pacing[section] == FREE:
            found += [Link(station, (station,), False) for station in stations]
        else:
            found.append(Link(plan.names.section[section], stations, True))
    return tuple(found)


def idle_shares(
    values: Callable[[str, str, str], Sequence[float | None] | FloatArray], links: Sequence[Link]
) -> tuple[FloatArray, FloatArray]:
    """Return how long each link is blocked and starved, as shares of its working hours.

    A paced section is blocked as its last station is, and starved as its first.

    Args:
        values: Gives a figure in each replication, by measure, place and cause.
        links: The links of the line.

    Returns:
        Blocked and starved, each of shape ``(replications, links)``.
    """

    def shares(station: str, state: str) -> FloatArray:
        return np.nan_to_num(np.array(values("station_state", station, state), dtype=np.float64))

    blocked = np.column_stack([shares(link.stations[-1], "blocked") for link in links])
    starved = np.column_stack([shares(link.stations[0], "starved") for link in links])
    return blocked, starved


def main_cause(runs: CaseRuns, case: str, station: str) -> str:
    """Return the cause of most minutes of stop that a station caused itself; empty if there are none."""
    minutes = {
        label.cause: float(np.nanmean(runs.values(case, *label[:3])))
        for label in runs.found[case].labels
        if label[:2] == ("line_stop", station) and label.cause not in HANDED_ON
    }
    worst = max(minutes, key=lambda cause: minutes[cause], default="")
    return worst if worst and minutes[worst] > 0 else ""


def period_values(periods: Replications, measure: str, stations: Sequence[str]) -> FloatArray:
    """Return a figure of the active periods, shape ``(replications, stations)``."""
    columns = [periods.column(measure, station) for station in stations]
    return np.array(
        [[replication.values[column] for column in columns] for replication in periods.finished],
        dtype=np.float64,
    )


def share_values(periods: Replications, stations: Sequence[str]) -> FloatArray:
    """Return the share of time in which each was the momentary bottleneck, alone or not."""
    return period_values(periods, SOLE, stations) + period_values(periods, SHIFTING, stations)


def period_figures(
    periods: Replications, stations: Sequence[str], confidence: float
) -> dict[str, tuple[Estimate, ...]]:
    """Return average period, sole, shifting and whole share of each station, each with its own interval."""
    average, sole, shifting = (period_values(periods, one, stations) for one in (AVERAGE, SOLE, SHIFTING))
    tables = ((average, "s"), (sole, "share"), (shifting, "share"), (sole + shifting, "share"))
    return {
        station: tuple(
            Estimate.of(possible(mean_interval(values[:, place], confidence), unit), unit)
            for values, unit in tables
        )
        for place, station in enumerate(stations)
    }


def highest(method: str, stations: Sequence[str], values: FloatArray, confidence: float) -> Nomination:
    """Return whom a method names that looks for the highest figure; nobody if all are 0 or less.

    Args:
        method: Which method.
        stations: The stations.
        values: Their figures, shape ``(replications, stations)``.
        confidence: With which the true first is among those that could be.
    """
    n = len(values)
    if not len(stations) or not (values.mean(axis=0) > 0).any():
        return Nomination(method, n)
    level = tuple(stations[place] for place in could_be_highest(values, confidence))
    first = stations[int(np.argmax(values.mean(axis=0)))]
    return Nomination(method, n, (first,), first, level)


def by_rules(
    links: Sequence[Link], blocked: FloatArray, starved: FloatArray, confidence: float
) -> tuple[Nomination, Nomination]:
    """Return whom the arrow rule and the turning point name, where the signs they go by are clear.

    Args:
        links: The links of the line.
        blocked: Their blocked shares, shape ``(replications, links)``.
        starved: Their starved shares, likewise.
        confidence: With which no wrong place is named.
    """
    n = len(blocked)
    if len(links) < 2 or not (blocked.any() or starved.any()):
        return Nomination(ARROW, n, times=0), Nomination(TURN, n, times=0)

    def worst(blocked: Sequence[float], starved: Sequence[float]) -> int | None:
        return arrow_rule(blocked, starved).worst

    rows = list(zip(blocked.tolist(), starved.tolist(), strict=True))
    found = []
    for method, surely, alone in ((ARROW, surely_worst, worst), (TURN, surely_turning, turning_point)):
        told = surely(blocked, starved, confidence)
        times = sum(alone(*row) in (told.could_be or (None,)) for row in rows)
        level = tuple(s for place in told.could_be for s in links[place].stations)
        named = () if told.place is None else links[told.place].stations
        place = " or ".join(links[k].name for k in told.could_be)
        found.append(Nomination(method, n, named, place, level, times))
    return found[0], found[1]


KINDS = ("crew", "tool", "carrier")


@dataclass(frozen=True, slots=True)
class Resource:
    """A crew, a tool or a carrier of the scenario.

    Attributes:
        kind: ``crew``, ``tool`` or ``carrier``.
        name: Its name.
    """

    kind: str
    name: str

    @property
    def label(self) -> str:
        """What sentences and tables call it."""
        return f"{self.kind} {self.name}"

    @property
    def case_name(self) -> str:
        """What the case is called in which there is one more."""
        return f"{self.label} +1"

    def case(self, scenario: Scenario) -> Case:
        """Return the line with one more."""
        if self.kind == "crew":
            return replace(one_more(scenario, self.name).case, name=self.case_name)
        count = getattr(scenario, self.kind)[self.name].count
        return Case.changed(self.case_name, scenario, {(self.kind, self.name, "count"): count + 1})


def asked_of(scenario: Scenario, only: Sequence[str]) -> tuple[tuple[str, ...], tuple[Resource, ...]]:
    """Return the stations that have a task, and the crews, tools and carriers, whose gain is asked for.

    Args:
        scenario: The line.
        only: Names of stations, or ``crew.NAME``, ``tool.NAME``, ``carrier.NAME``; empty means all.

    Raises:
        WrongQuestionError: If there is none of a name, or nothing is left that could be changed.
    """
    resources = {f"{kind}.{name}": Resource(kind, name) for kind in KINDS for name in getattr(scenario, kind)}
    if unknown := [name for name in only if name not in scenario.station and name not in resources]:
        raise WrongQuestionError(
            f"{unknown[0]!r} is not a station of this scenario, nor a crew, tool or carrier; it has "
            f"{', '.join((*scenario.station, *resources))}."
        )
    at_work = {one.at for one in scenario.placed_tasks}
    stations = tuple(name for name in scenario.station if name in at_work and (not only or name in only))
    chosen = tuple(resource for name, resource in resources.items() if not only or name in only)
    if not stations and not chosen:
        raise WrongQuestionError("none of these stations has a task that could be faster.")
    return stations, chosen


def tells_more(found: Mapping[Resource, Change]) -> bool:
    """Return whether one more of any of them surely brings more."""
    return any(gain.sign > 0 for gain in found.values())
