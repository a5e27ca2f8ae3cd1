"""What the page tells of the line: what it makes, what stops it, where it waits, people, buffers, faults."""

from __future__ import annotations

from linesim.answers.wording import mean_text, number
from linesim.capacity.ceiling import Limit, limits
from linesim.measures.output import TICKS_PER_HOUR, shift_ticks
from linesim.plan.words import HANDED_ON
from linesim.questions.bottleneck.evidence import Nomination, by_rules, idle_shares, links_of
from linesim.questions.run.sentences import cause_in_words
from linesim.report.charts.levels import bay_hours, bays, buffers
from linesim.report.charts.losses import losses_chart
from linesim.report.charts.minutes import crew_time, waits
from linesim.report.charts.over_time import shift_chart
from linesim.report.charts.piles import piles
from linesim.report.charts.strip import strip
from linesim.report.charts.work import operators, station_work
from linesim.report.page_input import Told
from linesim.report.parts import PageSection, fold, section
from linesim.report.table import PageCell, PageColumn, PageTable, estimated, numeric, table
from linesim.runs.replication import Label
from linesim.runs.rows import Row, row_of

_FAINT = 0.0005  #: Minutes below this are nothing.


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
        fold("Minutes, section by section and station by station", sections, stop_grid(told)),
        fold("Where work does not fit, and who calls for help", told.view("limits"), told.view("calls")),
    )


def stop_grid(told: Told) -> PageTable | None:
    """Return stop minutes as a grid of place by cause, in line order; None if nothing stopped.

    Numbers in shaded cells: a heat map in the sense of L. Wilkinson and M. Friendly, The history of the
    cluster heat map (2009), in which the number carries the meaning and the shade only guides the eye.
    """
    result = told.result
    found = {(row.where, row.cause): row for row in result.rows("line_stop") if row.cause}
    kept = {key: row for key, row in found.items() if (row.mean or 0.0) > _FAINT}
    if not kept:
        return None
    places = [place for section, _, stations in told.stations for place in (section, *stations)]
    places = [place for place in places if any(where == place for where, _ in kept)]
    causes = [cause for cause in told.plan.names.cause if any(why == cause for _, why in kept)]
    most = max(row.mean or 0.0 for row in kept.values())
    rows = []
    for place in places:
        cells = []
        for cause in causes:
            row = kept.get((place, cause))
            mean = 0.0 if row is None else row.mean or 0.0
            cells.append(PageCell(_minutes(mean), mean, mean / most))
        total = sum(cell.value or 0.0 for cell in cells)
        kind = " (conveyor)" if place in result.run.sections else ""
        rows.append((PageCell(f"{place}{kind}"), *cells, PageCell(_minutes(total), total)))
    sums = [sum((row[1 + k].value or 0.0) for row in rows) for k in range(len(causes) + 1)]
    return PageTable(
        "Station by cause: minutes of line stop per shift, in line order. Each minute counts once, for what "
        "began "
        "the stop; darker is more.",
        (
            PageColumn("place"),
            *(PageColumn(cause_in_words(cause), is_number=True) for cause in causes),
            PageColumn("sum", is_number=True),
        ),
        tuple(rows),
        foot=(PageCell("sum"), *(PageCell(number(value, 1), value) for value in sums)),
        upright=len(causes) > 8,
    )


def _minutes(value: float) -> str:
    if value < _FAINT:
        return "·"
    return number(value, 1) if value >= 0.05 else "<0.1"


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
        fold("Faults: where made, where found, by task", fault_grid(told), _faults(told)),
        fold("The bays, on average and hour by hour", bays(told), bay_hours(told)),
    )


def fault_grid(told: Told) -> PageTable | None:
    """Return faults by the station that made them and the place that found them; None without any."""
    found = {(row.where, row.cause): row for row in told.result.rows("fault_grid") if row.mean}
    if not found:
        return None
    order = [name for _, _, stations in told.stations for name in stations]
    made = [name for name in order if any(where == name for where, _ in found)]
    places = list(dict.fromkeys(place for _, place in found))
    rank = {name: i for i, name in enumerate(order)}
    ends = {"at once": -1, "not found": len(order) + 1}
    places.sort(key=lambda place: ends.get(place, rank.get(place.partition(".")[0], len(order))))
    most = max(row.mean or 0.0 for row in found.values())
    rows = []
    for name in made:
        cells = []
        for place in places:
            row = found.get((name, place))
            mean = 0.0 if row is None else row.mean or 0.0
            cells.append(PageCell("·" if row is None else mean_text(row.estimate), mean, mean / most))
        total = sum(cell.value or 0.0 for cell in cells)
        rows.append((PageCell(name), *cells, PageCell(number(total, 2), total)))
    return PageTable(
        "Made at (row) against found at (column): faults per hundred jobs; darker is more",
        (
            PageColumn("made at"),
            *(PageColumn(place, is_number=True) for place in places),
            PageColumn("sum", is_number=True),
        ),
        tuple(rows),
        upright=len(places) > 5,
    )


def _faults(told: Told) -> PageTable | None:
    result = told.result
    made = [row for row in result.rows("faults_made") if row.mean]
    if not made:
        return None
    return table(
        "Faults by task, per hundred jobs",
        ["fault", *numeric("made", "interval", "found", "not put right", "gone unfound", "interval")],
        [
            (
                row.where.removesuffix(".fault"),
                *estimated(row.estimate), estimated(result.estimate("faults_found", row.where))[0],
                estimated(result.estimate("faults_not_put_right", row.where))[0],
                *estimated(result.estimate("faults_escaped", row.where)),
            )
            for row in made
        ],
    )  # fmt: skip


def bottlenecks(told: Told) -> PageSection | None:
    """Return in a sentence where each way to look for the bottleneck points, and all limits on paper."""
    return section(
        "bottlenecks", "Where is the bottleneck?", _several_sides(told),
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


def _several_sides(told: Told) -> str:
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
