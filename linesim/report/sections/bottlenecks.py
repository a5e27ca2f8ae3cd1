"""Where is the bottleneck?"""

from __future__ import annotations

from linesim.answers.wording import number
from linesim.capacity.ceiling import Limit, limits
from linesim.measures.output import TICKS_PER_HOUR, shift_ticks
from linesim.plan.words import HANDED_ON
from linesim.questions.bottleneck.evidence import Nomination, by_rules, idle_shares, links_of
from linesim.report.page_input import Told
from linesim.report.parts import PageSection, fold, section
from linesim.report.table import PageCell, PageTable, numeric, table
from linesim.runs.replication import Label
from linesim.runs.rows import Row, row_of


def bottlenecks(told: Told) -> PageSection | None:
    """Return in a sentence where each way to look for the bottleneck points, and all limits on paper."""
    return section(
        "bottlenecks", "Where is the bottleneck?", _words(told),
        fold("Everything that limits output on paper", _limits(told)),
    )  # fmt: skip


def tightest(told: Told) -> tuple[Limit, ...]:
    """Return what limits output, the tightest first; several crews together only where that is tighter."""
    found = limits(told.loads)
    crews = [(frozenset(limit.name.split("+")), limit) for limit in found if limit.what == "crew"]
    weaker = {
        limit.name
        for names, limit in crews
        for part, other in crews
        if part < names and other.jobs_per_hour <= limit.jobs_per_hour
    }
    return tuple(limit for limit in found if limit.what != "crew" or limit.name not in weaker)


def turn_of(told: Told) -> Nomination | None:
    """Return where blocked turns into starved; None with fewer than three links, or if none ever is.

    Shares and rule are those of the study of bottlenecks: a paced section is blocked as its last station is
    and starved as its first, and feeders are left out.
    """
    links = links_of(told.plan)
    if len(links) < 3:
        return None
    blocked, starved = idle_shares(told.result.values, links)
    if not (blocked.any() or starved.any()):
        return None
    _, turn = by_rules(links, blocked, starved, told.result.run.confidence)
    return turn


def begun_at(told: Told) -> list[tuple[str, Row]]:
    """Return each place with the stop minutes that began there, the largest first.

    What only passes on what happened elsewhere is left out.
    """
    result = told.result
    places = list(dict.fromkeys(row.where for row in result.rows("line_stop") if row.cause))
    sums = {place: [0.0] * len(result.replications) for place in places}
    for column, label in enumerate(result.labels):
        if label.measure == "line_stop" and label.cause and label.cause not in HANDED_ON:
            for r, replication in enumerate(result.replications):
                sums[label.where][r] += replication.values[column] or 0.0
    found = [
        (place, row_of(Label("line_stop", place, "", "min/shift"), values, result.run.confidence))
        for place, values in sums.items()
        if any(values)
    ]
    return sorted(found, key=lambda item: -(item[1].mean or 0.0))


def _limits(told: Told) -> PageTable | None:
    found, hours = tightest(told), shift_ticks(told.plan) / TICKS_PER_HOUR
    if not found:
        return None
    return table(
        "From mean times, as if nothing ever waited",
        ["limit", *numeric("jobs per shift at most"), "how it comes about"],
        [
            (one.label, PageCell(number(one.jobs_per_hour * hours, 1), one.jobs_per_hour), one.because)
            for one in found
        ],
    )


def _words(told: Told) -> str:
    limits, begun = tightest(told), begun_at(told)
    turn = turn_of(told)
    said = []
    if limits:
        said.append(f"on paper {limits[0].label} is the tightest limit")
    if begun:
        place, row = begun[0]
        told_apart = len(begun) == 1 or (
            row.low is not None and begun[1][1].high is not None and row.low > begun[1][1].high
        )
        said.append(
            f"the most stop minutes begin at {place}"
            if told_apart
            else f"the most stop minutes begin at {place} or {begun[1][0]}, the data can't tell which"
        )
    if turn is not None and turn.level:
        place, is_told = turn.place, bool(turn.stations)
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
