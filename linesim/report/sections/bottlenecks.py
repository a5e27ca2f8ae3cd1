"""Where is the bottleneck?"""

from __future__ import annotations

from linesim.plan.words import HANDED_ON
from linesim.report.charts.ceilings import ceilings, tightest
from linesim.report.charts.turning import chain, turning
from linesim.report.page_input import Told
from linesim.report.parts import PageSection, fold, section
from linesim.runs.replication import Label
from linesim.runs.rows import Row, row_of


def bottlenecks(told: Told) -> PageSection | None:
    """Return three ways to look for the bottleneck, and whether they agree."""
    return section(
        "bottlenecks",
        "Where is the bottleneck?",
        _words(told),
        fold(
            "What each part lets through, and where blocked turns into starved", ceilings(told), turning(told)
        ),
    )


def begun_at(told: Told) -> list[tuple[str, Row, float]]:
    """Return each place with the stop minutes that began there, and how often it began the most.

    What only passes on what happened elsewhere is left out.

    Returns:
        Place, minutes per shift, share of replications in which no other place began more; the largest first.
    """
    result = told.result
    places = list(dict.fromkeys(row.where for row in result.rows("line_stop") if row.cause))
    sums = {place: [0.0] * len(result.replications) for place in places}
    for column, label in enumerate(result.labels):
        if label.measure == "line_stop" and label.cause and label.cause not in HANDED_ON:
            for r, replication in enumerate(result.replications):
                sums[label.where][r] += replication.values[column] or 0.0
    most = [
        max((values[r] for values in sums.values()), default=0.0) for r in range(len(result.replications))
    ]
    found = []
    for place, values in sums.items():
        if any(values):
            row = row_of(Label("line_stop", place, "", "min/shift"), values, result.run.confidence)
            first = sum(value == top > 0 for value, top in zip(values, most, strict=True)) / len(values)
            found.append((place, row, first))
    return sorted(found, key=lambda item: -(item[1].mean or 0.0))


def _words(told: Told) -> str:
    limits, begun = tightest(told), begun_at(told)
    line = chain(told)
    said = []
    if limits:
        said.append(f"on paper {limits[0].label} is the tightest limit")
    if begun:
        place, row, _ = begun[0]
        told_apart = len(begun) == 1 or (
            row.low is not None and begun[1][1].high is not None and row.low > begun[1][1].high
        )
        said.append(
            f"the most stop minutes begin at {place}"
            if told_apart
            else f"the most stop minutes begin at {place} or {begun[1][0]}, the data can't tell which"
        )
    if line is not None and line.turn.level:
        place, is_told = line.turn.place, bool(line.turn.stations)
        said.append(
            f"blocked turns into starved at {place}"
            if is_told
            else f"blocked turns into starved at {place}, the data can't tell which"
        )
    if not said:
        return "Nothing limits this line, nothing stops it, and nothing in it is blocked or starved."
    text = "; ".join(said)
    return (
        f"No single number shows it, so look from several sides: {text}. Where they point to different "
        "places, only a change tried out tells: linesim bottleneck makes each station a little faster, adds "
        "one to each crew and tool, and says what that gains."
    )
