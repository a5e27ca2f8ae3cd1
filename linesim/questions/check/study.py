"""`check`: work against takt at every station, crew, robot and tool, and the ceiling that follows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from linesim.answers.document import Document, Heading, Part, View, Words
from linesim.answers.table import Column, Table
from linesim.answers.values import Estimate
from linesim.answers.wording import count_of, legend
from linesim.capacity.ceiling import Limit, limits
from linesim.capacity.loads import Loads
from linesim.measures.output import TICKS_PER_HOUR
from linesim.plan.build import build
from linesim.plan.plan import Plan
from linesim.questions.check import Check
from linesim.runs.provenance import card_without_runs
from linesim.scenario import Scenario

MOST_LIMITS = 6  #: Limits that are listed besides the tightest.
#: A load as a share of the takt, as a bar and in percent; its high end is the heaviest variant's.
_LOAD = Column(
    "load", "estimate", flat="mean=share_of_takt high=share_of_takt_heaviest", faces=("bar", "mean=%")
)


def study(asked: Check, scenario: Scenario) -> Document:
    """Return what each station, crew, robot and tool has to do per job, and the most the line could make."""
    plan = build(scenario)
    loads = Loads(plan)
    found = limits(loads)
    tables = (_stations(loads), _models(plan, loads), _resources(loads), _limits(found))
    return asked.told(
        card_without_runs(scenario.title, asked.file),
        (f"No errors. {_size(plan, loads)}", *_too_long(loads), *_ceiling(plan, found)),
        tables,
        _parts(loads, found, *tables[:3]),
    )


def _size(plan: Plan, loads: Loads) -> str:
    names = plan.names
    parts = (
        count_of(len(names.section), "section"),
        count_of(len(names.station), "station"),
        count_of(len(names.task), "task"),
        count_of(int(plan.crews.people.sum()), "person", "people"),
        count_of(len(names.robot), "robot"),
        count_of(len(loads.shares), "variant"),
    )
    return f"{', '.join(parts)} that can be built."


def _too_long(loads: Loads) -> Iterator[str]:
    for load in loads.stations:
        if load.worst_s / load.places > load.takt_s * (1 + 1e-9):
            more = f"{load.worst_s - load.takt_s:.1f} s more than the takt"
            yield f"{load.station}: {load.worst} takes {load.worst_s:.1f} s, {more}."


def _ceiling(plan: Plan, found: Sequence[Limit]) -> Iterator[str]:
    if not found:
        yield "Nothing in this scenario limits output."
        return
    first, hours = found[0], plan.shift_ticks / TICKS_PER_HOUR
    most = first.jobs_per_hour * hours
    yield (
        f"At most {first.jobs_per_hour:.1f} jobs an hour, {most:.0f} a shift, set by {first.label}: "
        f"{first.because}."
    )
    if plan.target is not None:
        enough = "within" if plan.target <= most else "beyond"
        yield f"The plan asks for {plan.target:g} a shift, which is {enough} this ceiling."
    yield (
        "That is a ceiling from mean times, as if nothing ever waited for anything. What the line really "
        "makes is lower: linesim run says by how much, and why."
    )


def _stations(loads: Loads) -> Table:
    columns = (
        Column("station"), Column("section"), Column("takt_s", "number"), _LOAD,
        Column("cycle_s", "number", "s"), Column("worst_s", "number", "heaviest"), Column("worst"),
        Column("work_s", "number", "work, person-s"),
    )  # fmt: skip
    rows = (
        {"station": load.station, "section": load.section, "takt_s": load.takt_s, "cycle_s": load.cycle_s,
         "worst_s": load.worst_s, "worst": load.worst, "work_s": load.work_s,
         "load": Estimate(
             load.share_of_takt, high=load.worst_s / load.places / load.takt_s, unit="share", n=1)}
        for load in loads.stations
    )  # fmt: skip
    return Table.of("stations", columns, rows, "Shortest time that a job takes at each station, of the takt.")


def _models(plan: Plan, loads: Loads) -> Table:
    """Return the shortest time at each station by model; empty if there is only one."""
    names = plan.orders.model_names
    columns = (
        Column("station"), *(Column(f"model {name}", "number", name) for name in names),
        Column("worst_s", "number", "heaviest"), Column("work_s", "number", "work, person-s"),
    )  # fmt: skip
    rows = (
        {"station": load.station, "worst_s": load.worst_s, "work_s": load.work_s,
         **{f"model {name}": None for name in names},
         **{f"model {model}": cycle for model, _, cycle in load.by_model}}
        for load in (loads.stations if len(names) > 1 else ())
    )  # fmt: skip
    return Table.of("models", columns, rows, "Shortest time at each station by model [s].")


def _resources(loads: Loads) -> Table:
    columns = (
        Column("kind"), Column("name"), Column("count", "count", "of"), _LOAD,
        Column("work_s", "number", "s a job"),
    )  # fmt: skip
    rows = (
        {"kind": kind, "name": load.name, "count": load.count, "work_s": load.work_s,
         "load": Estimate(load.share_of_takt, unit="share", n=1)
         if load.count or not load.work_s else None}
        for kind, found in (("crew", loads.crews), ("robot", loads.robots), ("tool", loads.tools))
        for load in found
    )  # fmt: skip
    says = "Work of a job for each crew, robot and tool, of the takt."
    return Table.of("resources", columns, rows, says, keys=("kind", "name"))


def _limits(found: Sequence[Limit]) -> Table:
    columns = (
        Column("label", head="set by"), Column("jobs_per_hour", "number", "jobs/h"), Column("because"),
    )  # fmt: skip
    return Table.of("limits", columns, found, "What output cannot exceed, the tightest first.")


def _parts(
    loads: Loads, found: Sequence[Limit], stations: Table, models: Table, resources: Table
) -> Iterator[Part]:
    of = {column.name: column for column in (*stations.columns, *resources.columns)}
    takts = {load.section: load.takt_s for load in loads.stations}
    note = legend("the takt", with_worst=len(loads.shares) > 1)
    for section, takt_s in takts.items():
        title = f"Does the work fit the takt? {section}, takt {takt_s:g} s"
        places = _places_of(stations, "section", section)
        yield View("stations", title, (of["station"], _LOAD, of["cycle_s"]), places, note=note)
        note = ""
    yield View("models", "By model: shortest time at each station [s], and its work content", models.columns)
    for kind in dict.fromkeys(map(str, resources.column("kind"))):
        shown = (of["name"], of["count"], _LOAD, of["work_s"])
        note = "Walking, waiting, failures and help are not in these loads." if kind == "crew" else ""
        title = f"Is there enough of each {kind}?"
        yield View("resources", title, shown, _places_of(resources, "kind", kind), note=note)
    if len(found) > 1:
        yield Heading("What limits it next, jobs an hour")
        yield Words(tuple(f"{limit.jobs_per_hour:.1f}  {limit.label}: {limit.because}"
                          for limit in found[1 : 1 + MOST_LIMITS]), hangs=True)  # fmt: skip


def _places_of(table: Table, column: str, name: str) -> tuple[int, ...]:
    return table.places(lambda row: row[column] == name)
