"""What only a page shows of a run: grids of stops and faults, faults by task, all limits on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linesim.answers.table import Column
from linesim.capacity.ceiling import limits
from linesim.capacity.loads import Loads
from linesim.measures.output import TICKS_PER_HOUR
from linesim.plan.tables import FREE, INDEXED, SECTION
from linesim.questions.run.sentences import cause_in_words

if TYPE_CHECKING:
    from linesim.capacity.ceiling import Limit
    from linesim.plan.plan import Plan
    from linesim.questions.run.parts import RunPage

_FAINT = 0.0005  #: Minutes below this are nothing.


def stop_grid(page: RunPage) -> None:
    """Show stop minutes as a grid of place by cause, in line order; nothing if nothing stopped."""
    plan, result = page.plan, page.result
    found = {(row.where, row.cause): row for row in result.rows("line_stop") if row.cause}
    kept = {key: row for key, row in found.items() if (row.mean or 0.0) > _FAINT}
    places = [place for section, stations in sections_along(plan) for place in (section, *stations)]
    page.grid(
        "stop grid",
        "Station by cause: minutes of line stop per shift, in line order. Each minute counts once, for what "
        "began the stop",
        "place",
        {
            (f"{place} (conveyor)" if place in result.run.sections else place, cause_in_words(cause)): row
            for place in places
            if any(where == place for where, _ in kept)
            for cause in plan.names.cause
            if any(why == cause for _, why in kept)
            for row in [kept.get((place, cause))]
        },
    )


def faults(page: RunPage) -> None:
    """Show faults by the station that made them and the place that found them, and by task."""
    result = page.result
    found = {(row.where, row.cause): row for row in result.rows("fault_grid") if row.mean}
    order = [name for _, stations in sections_along(page.plan) for name in stations]
    rank = {name: i for i, name in enumerate(order)} | {"at once": -1, "not found": len(order) + 1}
    places = sorted(
        dict.fromkeys(place for _, place in found),
        key=lambda place: rank.get(place, rank.get(place.partition(".")[0], len(order))),
    )
    page.grid(
        "fault grid",
        "Made at (row) against found at (column): faults per hundred jobs",
        "made at",
        {
            (name, place): found.get((name, place))
            for name in order
            if any(where == name for where, _ in found)
            for place in places
        },
    )
    both, alone = ("mean", "interval"), ("mean",)
    columns = (
        Column("fault"),
        *(
            Column(name, "estimate", head=head, faces=faces)
            for name, head, faces in (
                ("made", "made", both), ("found", "found", alone),
                ("not_put_right", "not put right", alone), ("escaped", "gone unfound", both),
            )
        ),
    )  # fmt: skip
    rows = (
        {"fault": row.where.removesuffix(".fault"),
         **{column.name: page.get(f"faults_{column.name}", row.where) for column in columns[1:]}}
        for row in result.rows("faults_made")
        if row.mean
    )  # fmt: skip
    page.view("faults", "Faults by task, per hundred jobs", columns, rows, only_page=True)


def limits_on_paper(page: RunPage) -> None:
    """Show everything that limits output from mean times."""
    hours = page.plan.shift_ticks / TICKS_PER_HOUR
    columns = (
        Column("limit"), Column("most", "number", "jobs per shift at most"),
        Column("because", head="how it comes about"),
    )  # fmt: skip
    rows = (
        {"limit": one.label, "most": one.jobs_per_hour * hours, "because": one.because}
        for one in tightest(Loads(page.plan))
    )
    page.view("on paper", "From mean times, as if nothing ever waited", columns, rows, only_page=True)


def tightest(loads: Loads) -> tuple[Limit, ...]:
    """Return what limits output, the tightest first; several crews together only where that is tighter."""
    found = limits(loads)
    crews = [(frozenset(limit.name.split("+")), limit) for limit in found if limit.what == "crew"]
    weaker = {
        limit.name
        for names, limit in crews
        for part, other in crews
        if part < names and other.jobs_per_hour <= limit.jobs_per_hour
    }
    return tuple(limit for limit in found if limit.what != "crew" or limit.name not in weaker)


def pacing_word(plan: Plan, section: int) -> str:
    """Return how a section is paced, as a scenario says it."""
    return {FREE: "free", INDEXED: "indexed"}.get(int(plan.sections.pacing[section]), "moving")


def sections_along(plan: Plan) -> list[tuple[str, tuple[str, ...]]]:
    """Return each section with its stations, in line order: the main line, then the feeders, then others."""
    order = plan.along(SECTION)
    order += [s for s in range(len(plan.names.section)) if s not in order]
    return [
        (plan.names.section[s], tuple(plan.names.station[k] for k in plan.sections.stations[s].tolist()))
        for s in order
    ]
