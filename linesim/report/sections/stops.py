"""What stops it?"""

from __future__ import annotations

from linesim.answers.wording import money, number
from linesim.plan.tables import FREE
from linesim.questions.run_sentences import cause_in_words
from linesim.report.charts.stop_bars import stop_bars
from linesim.report.page_input import Told
from linesim.report.parts import PageSection, section
from linesim.report.table import PageCell, PageColumn, PageTable, estimated, numeric, table
from linesim.runs.result import Result
from linesim.stats import mean_interval

_FAINT = 0.0005  #: Minutes below this are nothing.


def stops(told: Told) -> PageSection | None:
    """Return stop minutes by section, place and cause, and what happens at the stations' limits."""
    plan, result = told.plan, told.result
    paced = [
        name
        for s, name in enumerate(plan.names.section)
        if plan.sections.pacing[s] != FREE or result.row("line_stop", name).mean
    ]
    if not paced:
        return section(
            "stops",
            "What stops it?",
            "No section has a conveyor that could stop: every station hands on by itself. What holds jobs up "
            "is in "
            "the next section.",
        )
    return section(
        "stops",
        "What stops it?",
        _by_section(told, paced),
        money_of_stops(told),
        stop_bars(result),
        stop_grid(told),
        _limits(result),
        _calls(result),
    )


def money_of_stops(told: Told) -> str:
    """Return what the stops cost that begin on the line; empty where a minute has no price."""
    if not told.stop_minute:
        return ""
    minutes = [value for value in told.result.values("own_stop") if value is not None]
    if not minutes:
        return ""
    costs = [told.stop_minute * value for value in minutes]
    found = mean_interval(costs, told.result.run.confidence)
    said = money(found.mean, found.half_width, told.currency)
    if found.low is not None and found.high is not None and found.low < found.high:
        low, high = (money(end, found.half_width, told.currency) for end in (found.low, found.high))
        said += f" ({low} to {high})"
    each = money(told.stop_minute, None, told.currency)
    return (
        f"At {each} a minute, the stops that begin on the line cost {said} a shift; what a section only "
        "passes on is not paid again."
    )


def _by_section(told: Told, paced: list[str]) -> PageTable:
    result = told.result
    return table(
        f"Line stop of each section, in a shift of {number(told.shift_min, 0)} min",
        [
            "section",
            *numeric("stands, min/shift", "interval", "stops/shift", "runs, % of its hours", "interval"),
        ],
        [
            (
                name,
                *estimated(result.row("line_stop", name)),
                estimated(result.row("line_stops", name))[0],
                *estimated(result.row("availability", name), scale=100),
            )
            for name in paced
        ],
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


def _limits(result: Result) -> PageTable | None:
    over = [row for row in result.rows("overruns") if row.mean]
    if not over:
        return None
    has_open_work = any(row.mean for row in result.rows("unfinished"))
    unfinished = ["go on unfinished, 1/100 jobs"] if has_open_work else []
    return table(
        "Where work does not fit: jobs that reach the station's limit with work open",
        [
            "station",
            *numeric("overruns, 1/100 jobs", "interval", "overload, s/job", "interval", *unfinished),
        ],
        [
            (
                row.where,
                *estimated(row),
                *estimated(result.row("overload", row.where)),
                *(estimated(result.row("unfinished", row.where))[0] for _ in unfinished),
            )
            for row in over
        ],
    )


def _calls(result: Result) -> PageTable | None:
    calls = [row for row in result.rows("calls") if row.mean]
    if not calls:
        return None
    return table(
        "Who calls for help",
        ["station", *numeric("calls, 1/100 jobs", "interval", "answered, %", "help after, s",
                             "became a stop, %")],
        [
            (
                row.where, *estimated(row),
                estimated(result.row("calls_answered", row.where), scale=100)[0],
                estimated(result.row("call_response", row.where))[0],
                estimated(result.row("calls_stopped", row.where), scale=100)[0],
            )
            for row in calls
        ],
    )  # fmt: skip
