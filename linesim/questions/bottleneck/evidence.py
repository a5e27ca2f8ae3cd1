"""What each method makes of each station, with intervals, and whom it names."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from linesim.plan.words import HANDED_ON
from linesim.questions.bottleneck.chain import Link
from linesim.questions.bottleneck.periods import AVERAGE, SHIFTING, SOLE
from linesim.runs.cases import CaseRuns, FloatArray
from linesim.runs.replicate import Replications
from linesim.runs.replication import Label
from linesim.runs.rows import Row, row_of
from linesim.stats import arrow_rule, could_be_highest, surely_turning, surely_worst, turning_point

#: The methods, in the order in which they are told.
GAIN, ONE_MORE, STOP, SHARE, PERIOD, ARROW, TURN = (
    "gain",
    "one more",
    "stop caused",
    "shifting",
    "active period",
    "arrows",
    "turning",
)


class Nomination(NamedTuple):
    """Whom a method names.

    Attributes:
        method: Which method.
        stations: Station named, or all stations of the section named, or the crew, tool or carrier of which
            one more brings the most; empty if it names nobody, or if the data can't tell whom.
        place: What the method calls it: the station or section.
        level: Stations that could be first as well as far as the replications tell; the one named is
            among them.
        times: In how many replications by themselves a rule of blocking and starving names the place, or any
            place that could be it; None for methods that compare figures.
        replications: Of how many.
    """

    method: str
    stations: tuple[str, ...]
    place: str
    level: tuple[str, ...]
    times: int | None
    replications: int


class StationFigures(NamedTuple):
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
    gain: Row | None
    stop: Row | None
    cause: str
    period: Row
    sole: Row
    shifting: Row
    share: Row
    blocked: Row
    starved: Row
    down: Row


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


def period_rows(
    periods: Replications, stations: Sequence[str], confidence: float
) -> dict[str, tuple[Row, Row, Row, Row]]:
    """Return average period, sole, shifting and whole share of each station, each with its own interval."""
    tables = [period_values(periods, measure, stations) for measure in (AVERAGE, SOLE, SHIFTING)]
    tables.append(tables[1] + tables[2])
    labels = ((AVERAGE, "s"), (SOLE, "share"), (SHIFTING, "share"), ("bottleneck_share", "share"))
    found = {}
    for place, station in enumerate(stations):
        rows = [
            row_of(Label(measure, station, "", unit), table[:, place].tolist(), confidence)
            for (measure, unit), table in zip(labels, tables, strict=True)
        ]
        found[station] = (rows[0], rows[1], rows[2], rows[3])
    return found


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
        return Nomination(method, (), "", (), None, n)
    order = could_be_highest(values, confidence)
    level = tuple(stations[place] for place in order)
    first = stations[int(np.argmax(values.mean(axis=0)))]
    return Nomination(method, (first,), first, level, None, n)


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
    rows = list(zip(blocked.tolist(), starved.tolist(), strict=True))
    if len(links) < 2 or not (blocked.any() or starved.any()):
        return Nomination(ARROW, (), "", (), 0, n), Nomination(TURN, (), "", (), 0, n)
    found = []
    for method, surely, alone in ((ARROW, surely_worst, _worst), (TURN, surely_turning, turning_point)):
        told = surely(blocked, starved, confidence)
        times = sum(alone(*row) in (told.could_be or (None,)) for row in rows)
        level = tuple(s for place in told.could_be for s in links[place].stations)
        named = () if told.place is None else links[told.place].stations
        found.append(Nomination(method, named, _place(links, told.could_be), level, times, n))
    return found[0], found[1]


def _place(links: Sequence[Link], could_be: Sequence[int]) -> str:
    return " or ".join(links[place].name for place in could_be)


def _worst(blocked: Sequence[float], starved: Sequence[float]) -> int | None:
    return arrow_rule(blocked, starved).worst
