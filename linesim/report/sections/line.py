"""What the page tells of the line: what it makes, what stops it, where it waits, people, buffers, faults."""

from __future__ import annotations

from linesim.plan.words import HANDED_ON
from linesim.questions.bottleneck.evidence import Nomination, by_rules, idle_shares, links_of
from linesim.questions.run.page_only import tightest
from linesim.report.charts.levels import bay_hours, bays, buffers
from linesim.report.charts.losses import losses_chart
from linesim.report.charts.minutes import crew_time, waits
from linesim.report.charts.over_time import shift_chart
from linesim.report.charts.piles import piles
from linesim.report.charts.strip import strip
from linesim.report.charts.work import operators, station_work
from linesim.report.page_input import Told
from linesim.report.parts import PageSection, fold, section
from linesim.runs.replication import Label
from linesim.runs.rows import Row, row_of


def line_sections(told: Told) -> tuple[PageSection | None, ...]:
    """Return the sections that tell of one line, in the order of the page; None for one that says nothing."""
    return (
        section(
            "makes",
            "What does the line make?",
            strip(told),
            shift_chart(told),
            fold("What it makes and brings, in numbers", told.view("makes"), told.view("money")),
        ),
        stops(told),
        section(
            "waits",
            "Where does it wait?",
            waits(told),
            fold("For what", told.view("waits")),
        ),
        section(
            "fits",
            "Does the work fit the takt?",
            station_work(told),
            piles(told),
            fold("What each place in a crew really does", operators(told)),
        ),
        section(
            "people",
            "What do people and machines do?",
            fold("One person's shift, crew by crew", crew_time(told)),
            fold("Robots, tools and carriers", *(told.view(name) for name in ("robots", "shared", "short"))),
        ),
        section(
            "buffers",
            "Do the buffers matter?",
            *(
                (buffers(told), fold("The buffers in numbers", told.view("buffers")))
                if told.plan.names.buffer
                else ("The line has no buffer.",)
            ),
        ),
        quality(told),
        bottlenecks(told),
    )


def stops(told: Told) -> PageSection | None:
    """Return stop minutes by section, place and cause, and what happens at the stations' limits."""
    sections = told.view("sections")
    if sections is None:
        return section(
            "stops",
            "What stops it?",
            "No section has a conveyor that could stop: every station hands on by itself. What holds jobs up "
            "is in the next section.",
        )
    return section(
        "stops",
        "What stops it?",
        losses_chart(told),
        fold("Minutes, section by section and station by station", sections, told.view("stop grid")),
        fold("Where work does not fit, and who calls for help", told.view("limits"), told.view("calls")),
    )


def quality(told: Told) -> PageSection | None:
    """Return quality at line-off, made at against found at, and the bays."""
    plan = told.plan
    title = "How good is what it makes?"
    if not plan.names.fault and not plan.names.bay:
        return section(
            "quality", title, "No task of this scenario can leave a fault, so nothing is said of quality."
        )
    return section(
        "quality",
        title,
        told.view("quality"),
        fold("Faults: where made, where found, by task", told.view("fault grid"), told.view("faults")),
        fold("The bays, on average and hour by hour", bays(told), bay_hours(told)),
    )


def bottlenecks(told: Told) -> PageSection | None:
    """Return in a sentence where each way to look for the bottleneck points, and all limits on paper."""
    return section(
        "bottlenecks", "Where is the bottleneck?", _several_sides(told),
        fold("Everything that limits output on paper", told.view("on paper")),
    )  # fmt: skip


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


def _several_sides(told: Told) -> str:
    limits, begun = tightest(told.loads), begun_at(told)
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
