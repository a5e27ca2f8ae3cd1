"""What a planner reads of a run: what it makes, what stops it, where it waits, how sure that is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from linesim.answers.document import Grid, Heading, Part, View, Words
from linesim.answers.table import Column, Table
from linesim.answers.values import Estimate
from linesim.answers.wording import listed, number
from linesim.capacity.ceiling import gross_per_hour, pace_in_words
from linesim.capacity.loads import Loads
from linesim.measures import DEFINITIONS, GLOSSARY
from linesim.plan.plan import Plan
from linesim.plan.tables import FREE
from linesim.plan.words import HANDED_ON, R_OFF, ROBOT_STATES
from linesim.questions.cautions import (
    LUCK_ALONE,
    lost_in_words,
    precision_in_words,
    rests_on,
    sharpness_in_words,
)
from linesim.questions.run.page_only import faults, limits_on_paper, pacing_word, stop_grid
from linesim.questions.run.sentences import PARTS, cause_in_words, stops_by_size
from linesim.runs.result import Result, together
from linesim.runs.rows import Row

_STATES = ("working", "waiting", "down", "spare", "stopped", "blocked", "starved")
_CREW_STATES = (
    ("works", ("working",)),
    ("walks", ("walking",)),
    ("helps", ("helping",)),
    ("repairs", ("repairing",)),
    ("no job", ("waiting: job",)),
    ("stop", ("waiting: line stop",)),
    ("other", ("waiting: earlier work", "waiting: tool", "waiting: zone")),
)
_QUALITY = (
    ("right first time", "first_time_through"),
    ("put right later on", "reworked"),
    ("given up", "scrapped"),
    ("gone with a fault or open work", "escaped"),
    ("overtaken by a later job", "out_of_sequence"),
)
MOST_STOPS, MOST_WAITS, MOST_LIMITS = 12, 8, 6  #: Lines of these views on a terminal.


def run_parts(plan: Plan, result: Result) -> tuple[tuple[Table, ...], tuple[Part, ...]]:
    """Return the tables that the parts show, and the parts."""
    page = RunPage(plan, result)
    for part in (
        _makes, _money, _stops, stop_grid, _waits, _limits, _people, _machines, _buffers, _quality, faults,
        limits_on_paper, _sure,
    ):  # fmt: skip
        part(page)
    return tuple(page.tables), tuple(page.parts)


class RunPage:
    """Tables and parts as they come."""

    def __init__(self, plan: Plan, result: Result) -> None:
        self.plan, self.result = plan, result
        self.tables: list[Table] = []
        self.parts: list[Part] = []

    def get(self, measure: str, where: str = "segment", cause: str = "") -> Estimate:
        """Return a figure of the run."""
        return self.result.estimate(measure, where, cause)

    def minutes(self, measure: str, where: str, belongs: Callable[[str], bool]) -> Estimate:
        """Return some states of a place together, in minutes of a shift."""
        row = together(self.result, measure, where, belongs)
        return self.result.estimate_of(row).scaled(self.result.run.shift_min, "min/shift")

    def view(
        self,
        name: str,
        title: str,
        columns: Sequence[Column],
        rows: Iterable[Mapping[str, Any]],
        *,
        more: frozenset[str] = frozenset(),
        **how: Any,
    ) -> None:
        """Add a table and a view of it, unless it is empty; ``more`` are columns that only a page shows."""
        # No file holds these, so the mean alone stands for an estimate.
        narrow = [replace(one, flat=f"mean={one.name.replace(' ', '_')}") for one in columns]
        table = Table.of(name, narrow, rows, title)
        if len(table):
            self.tables.append(table)
            shown = tuple(column for column in table.columns if column.name not in more)
            self.parts.append(View(name, title, shown, **how))

    def grid(self, name: str, title: str, down: str, cells: Mapping[tuple[str, str], Row | None]) -> None:
        """Add a table of figures where two things meet, and its grid with sums, for a page; none without any.

        Args:
            name: Of the table.
            title: What is shown.
            down: What the rows are, as a heading.
            cells: By row and column, all of them in their order.
        """
        if not cells:
            return
        columns = (
            Column("down", head=down), Column("across"),
            Column("cell", "estimate", flat="mean=cell", faces=("mean",)),
        )  # fmt: skip
        rows = (
            {"down": place, "across": what, "cell": None if row is None else self.result.estimate_of(row)}
            for (place, what), row in cells.items()
        )
        self.tables.append(Table.of(name, columns, rows, title, keys=("down", "across")))
        self.parts.append(Grid(name, title, columns[0], "across", columns[2], only_page=True, sums=True))

    def say(self, *texts: str) -> None:
        """Add paragraphs; empty ones are left out."""
        self.parts.append(Words(tuple(text for text in texts if text)))


def _estimates(faces: Sequence[str], **heads: str) -> list[Column]:
    """Return columns of estimates that are all read in the same way, by name and heading."""
    return [Column(name, "estimate", head=head, faces=tuple(faces)) for name, head in heads.items()]


def _makes(page: RunPage) -> None:
    result = page.result
    rows: list[tuple[str, Estimate]] = []
    if result.row("jobs_per_shift").mean is not None:
        rows.append(("jobs a shift", page.get("jobs_per_shift")))
        rows.append(("one single shift in ten makes fewer than", page.get("jobs_per_shift_p10")))
        rows.append(("one single shift in ten makes more than", page.get("jobs_per_shift_p90")))
        if page.plan.target is not None:
            rows.append((f"shifts that make {page.plan.target:g}, %", page.get("plan_met")))
    rows.append(("net jobs an hour", page.get("throughput")))
    rows.append(("gross jobs an hour, one a takt", Estimate(gross_per_hour(page.plan), unit="jobs/h")))
    rows.append(("working minutes, line-on to line-off", page.get("lead_time")))
    if page.plan.calendars:
        rows.append(("the same with nights and breaks", page.get("lead_time_clock")))
    rows.append(("jobs inside", page.get("in_progress")))
    has_interval = len(result.run.numbers) > 1
    head = f"{result.run.confidence * 100:g} % interval" if has_interval else "no interval"
    columns = (Column("figure", head=""), Column("value", "estimate", faces=("mean=", f"interval={head}")))
    page.view("makes", "What does the line make?", columns, _named(rows), note=pace_in_words(page.plan))


def _money(page: RunPage) -> None:
    rows = [
        ("net money" if not row.cause else PARTS[row.cause], page.result.estimate_of(row))
        for row in page.result.rows("net_money")
    ]
    columns = (Column("figure", head=""), Column("value", "estimate", faces=("mean=", "interval")))
    note = "Own stops: what a section only passes on is not paid again."
    page.view("money", "What does a shift bring? Money", columns, _named(rows), note=note)


def _named(rows: Iterable[tuple[str, Estimate]]) -> Iterable[Mapping[str, Any]]:
    return ({"figure": name, "value": found} for name, found in rows)


def _stops(page: RunPage) -> None:
    plan, result = page.plan, page.result
    sections = [
        name
        for index, name in enumerate(plan.names.section)
        if plan.sections.pacing[index] != FREE or result.row("line_stop", name).mean
    ]
    if not sections:
        return
    columns = (
        Column("section"),
        Column("stands", "estimate"),
        Column("stops", "estimate", faces=("mean",)),
        Column("runs", "estimate", head="runs, % of its hours", faces=("both",)),
    )
    rows = (
        {"section": name, "stands": page.get("line_stop", name), "stops": page.get("line_stops", name),
         "runs": page.get("availability", name)}
        for name in sections
    )  # fmt: skip
    title = f"What stops it? Minutes of a shift of {number(result.run.shift_min, 0)}"
    page.view("sections", title, columns, rows)
    found = stops_by_size(result)
    if not found:
        page.say("Nothing stopped in any replication.")
        return
    columns = (
        Column("at"),
        Column("because"),
        Column("stop", "estimate", head="min"),
        Column("turns", "estimate", faces=("mean",)),
    )
    rows = (
        {"at": row.where, "because": cause_in_words(row.cause, of_section=row.where in result.run.sections),
         "stop": result.estimate_of(row), "turns": page.get("stop_turns", row.where, row.cause)}
        for row in found
    )  # fmt: skip
    note = (
        "A minute counts once, for the place and cause that began the stop; a turn is a stop begun or taken "
        "over from another. "
        f"{listed([repr(cause_in_words(cause)) for cause in HANDED_ON])} pass on what happened elsewhere."
    )
    title = "What begins the stops? Minutes a shift, the largest first"
    page.view("stops", title, columns, rows, most=MOST_STOPS, bars="stop", note=note)


def _waits(page: RunPage) -> None:
    plan, result = page.plan, page.result
    minutes = number(result.run.shift_min, 0)
    page.parts.append(Heading(f"Where does it wait? A shift's {minutes} minutes, station by station"))
    for index, section in enumerate(plan.names.section):
        rows = (
            {"station": name, **{state: page.minutes("station_state", name, _is(state)) for state in _STATES}}
            for name in (plan.names.station[s] for s in plan.sections.stations[index].tolist())
        )
        columns = (Column("station"), *_estimates(["short"], **{state: state for state in _STATES}))
        page.view(f"states of {section}", f"{section}, {pacing_word(plan, index)}", columns, rows)
    waits = [row for row in result.rows("station_state") if row.cause.startswith("waiting: ") and row.mean]
    columns = (
        Column("station", head="waits longest"),
        Column("reason", head="for"),
        *_estimates(["both"], minutes="minutes a shift"),
    )
    rows = (
        {"station": row.where, "reason": row.cause.removeprefix("waiting: "),
         "minutes": result.estimate_of(row).scaled(result.run.shift_min, "min/shift")}
        for row in sorted(waits, key=lambda row: -(row.mean or 0.0))
    )  # fmt: skip
    page.view("waits", "What is waited for longest?", columns, rows, most=MOST_WAITS)


def _is(state: str) -> Callable[[str], bool]:
    """Return whether a cause is a state, all kinds of waiting being one."""
    return lambda cause: cause.partition(": ")[0] == state


def _limits(page: RunPage) -> None:
    result = page.result
    over = sorted((row for row in result.rows("overruns") if row.mean), key=lambda row: -(row.mean or 0.0))
    heads = {"overruns": "overruns", "overload": "seconds over, per job"}
    if any(row.mean for row in result.rows("unfinished")):
        heads["unfinished"] = "go on unfinished"
    columns = (Column("station"), *_estimates(["plus minus"], **heads))
    rows = ({"station": row.where, **{name: page.get(name, row.where) for name in heads}} for row in over)
    page.view("limits", "Where does work not fit? Of a hundred jobs", columns, rows, most=MOST_LIMITS)
    columns = (
        Column("station"),
        *_estimates(["plus minus"], calls="calls", answered="answered, %", after="after, s",
                    within="within 60 s, %", stopped="became a stop, %"),
    )  # fmt: skip
    rows = (
        {"station": at, "calls": page.get("calls", at), "answered": page.get("calls_answered", at),
         "after": page.get("call_response", at), "within": page.get("call_within", at, "60 s"),
         "stopped": page.get("calls_stopped", at)}
        for at in (row.where for row in result.rows("calls") if row.mean)
    )  # fmt: skip
    page.view("calls", "Who calls for help? Of a hundred jobs", columns, rows)


def _people(page: RunPage) -> None:
    plan = page.plan
    rows: list[dict[str, Any]] = [
        {"crew": crew, "of": int(plan.crews.people[index]),
         **{head: page.minutes("operator_state", crew, set(states).__contains__)
            for head, states in _CREW_STATES}}
        for index, crew in enumerate(plan.names.crew)
    ]  # fmt: skip
    # Columns that nobody needs are left out.
    heads = {head: head for head, _ in _CREW_STATES if head == "works" or any(row[head].mean for row in rows)}
    columns = (Column("crew"), Column("of", "count"), *_estimates(["short"], **heads))
    title = f"What do the crews do? A person's {number(page.result.run.shift_min, 0)} minutes"
    note = "'no job', 'stop' and 'other' (tool, zone, work that must come first) are waits."
    page.view("crews", title, columns, rows, note=note)


def _machines(page: RunPage) -> None:
    plan, minutes = page.plan, number(page.result.run.shift_min, 0)
    states = [state for index, state in enumerate(ROBOT_STATES) if index != R_OFF]
    work = (Column("work", "number", "work, s/job"), Column("share", "share", "of takt, %"))
    columns = (Column("robot"), *work, *_estimates(["short"], **{state: state for state in states}))
    rows: Iterable[Mapping[str, Any]] = (
        {"robot": load.name, "work": load.work_s, "share": load.share_of_takt,
         **{state: page.minutes("robot_state", load.name, state.__eq__) for state in states}}
        for load in Loads(plan).robots
    )  # fmt: skip
    title = f"What do the robots do? {minutes} minutes of a shift"
    page.view("robots", title, columns, rows, more=frozenset({"work", "share"}))
    taken = _estimates(["plus minus"], taken="taken, % of its hours")
    columns = (Column("name", head=""), Column("pieces", "count"), *taken)
    rows = (
        {"name": name, "pieces": int(count), "taken": page.get(measure, name)}
        for measure, names, counts in (
            ("tool_busy", plan.names.tool, plan.equipment.tool_count),
            ("carrier_busy", plan.names.carrier, plan.carriers.count),
        )
        for name, count in zip(names, counts, strict=True)
    )
    page.view("shared", "How much are shared tools and carriers taken?", columns, rows)
    columns = (Column("carrier"), *_estimates(["plus minus"], short="% of its hours"))
    rows = (
        {"carrier": name, "short": page.get("carrier_short", name)}
        for name in plan.names.carrier
        if page.result.row("carrier_short", name).mean
    )
    page.view("short", "How long is no carrier free, and the first place empty for it?", columns, rows)


def _buffers(page: RunPage) -> None:
    plan = page.plan
    columns = (
        Column("buffer"), Column("places", "count"),
        *_estimates(["plus minus"], level="jobs in it", empty="empty, %", full="full, %"),
    )  # fmt: skip
    rows = (
        {"buffer": name, "places": int(plan.buffers.capacity[index]),
         "level": page.get("buffer_level", name), "empty": page.get("buffer_empty", name),
         "full": page.get("buffer_full", name)}
        for index, name in enumerate(plan.names.buffer)
    )  # fmt: skip
    note = "What follows an empty buffer has no job; what comes before a full one has no room."
    page.view(
        "buffers", "Do the buffers matter? Share of the hours of what follows", columns, rows, note=note
    )


def _quality(page: RunPage) -> None:
    plan = page.plan
    if not plan.names.fault and not plan.names.bay:
        return
    columns: tuple[Column, ...] = (
        Column("figure", head="jobs"),
        Column("value", "estimate", head="", faces=("both",)),
    )
    rows: Iterable[Mapping[str, Any]] = _named((says, page.get(name)) for says, name in _QUALITY)
    page.view("quality", "How good is it? Of a hundred finished jobs", columns, rows)
    heads = {
        "visits": "visits a shift", "good": "put right, %", "waiting": "jobs waiting", "working": "in work",
        "hold": "holds up, min",
    }  # fmt: skip
    columns = (Column("bay"), *_estimates(["plus minus"], **heads))
    rows = (
        {"bay": name, **{head: page.get(f"bay_{head}", name) for head in heads}} for name in plan.names.bay
    )
    page.view("bays", "What do the bays do?", columns, rows)


def _sure(page: RunPage) -> None:
    result = page.result
    page.parts.append(Heading("How sure is this?"))
    facts = (rests_on, precision_in_words, sharpness_in_words, lost_in_words)
    page.say(*(said(result) for said in facts), LUCK_ALONE)
    stop = DEFINITIONS["line_stop"].says.partition(";")[0].removesuffix(".")
    words = [
        *(f"{word}: {says}" for word, says in GLOSSARY.items()),
        f"line stop: {stop[0].lower()}{stop[1:]}",
    ]
    page.say(f"{'; '.join(words)}.")
