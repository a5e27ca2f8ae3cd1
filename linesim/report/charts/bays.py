"""How busy the rework bays are: jobs in work and waiting, against their places."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.wording import mean_text
from linesim.report.canvas import Pen, room_for
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.scale import Scale
from linesim.report.style import BLUE, SMALL, TIMES, Paint
from linesim.report.table import PageTable, estimated, numeric, plain_number, table
from linesim.runs.rows import Row

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "Bars with an outline for what there is room for (a bullet graph: S. Few, Information Dashboard "
    "Design, 2006)."
)
_ROOM = Paint("#ffffff", "#6b717a")
_IN_WORK = Paint(BLUE, BLUE)


class BayLoad(NamedTuple):
    """A bay.

    Attributes:
        name: Its name.
        what: ``in work`` or ``waiting``.
        room: Jobs for which there is room.
        jobs: Jobs there, averaged over time.
    """

    name: str
    what: str
    room: int
    jobs: Row


def bay_loads(told: Told) -> tuple[BayLoad, ...]:
    """Return two lines a bay: jobs in work against its places, jobs waiting against its waiting places."""
    plan, result = told.plan, told.result
    found = []
    for b, name in enumerate(plan.names.bay):
        found.append(BayLoad(name, "in work", int(plan.bays.places[b]), result.row("bay_working", name)))
        found.append(BayLoad(name, "waiting", int(plan.bays.waiting[b]), result.row("bay_waiting", name)))
    return tuple(found)


def bays(told: Told) -> Figure | None:
    """Return the figure; None for a line without a bay.

    Bullet graphs (Few): the load as a bar inside the room for it.
    """
    found = bay_loads(told)
    if not found:
        return None
    return figure(
        "bays",
        "Jobs in the rework bays, averaged over time",
        "The bar is the number of jobs on average, with its interval; the outline is what there is room for. "
        "A bay that is nearly full on average is full for much of the time.",
        _table(told),
        METHOD,
        lambda width: _draw(width, found),
    )


def _table(told: Told) -> PageTable:
    plan, result = told.plan, told.result
    heads = (
        "in work, jobs", "interval", "places", "waiting, jobs", "interval", "waiting places", "visits/shift",
        "put right, %", "held up its section, min/shift", "passed by, 1/100 jobs",
    )  # fmt: skip
    return table(
        "Rework bays",
        ["bay", *numeric(*heads)],
        [
            (
                name,
                *estimated(result.estimate("bay_working", name)),
                plain_number(int(plan.bays.places[b])),
                *estimated(result.estimate("bay_waiting", name)),
                plain_number(int(plan.bays.waiting[b])),
                estimated(result.estimate("bay_visits", name))[0],
                estimated(result.estimate("bay_good", name))[0],
                estimated(result.estimate("bay_hold", name))[0],
                estimated(result.estimate("bay_carried_on", name))[0],
            )
            for b, name in enumerate(plan.names.bay)
        ],
    )


def _draw(width: int, found: tuple[BayLoad, ...]) -> Drawing:
    pitch = 24
    labels = [f"{bay.name}, {bay.what}" for bay in found]
    left = min(room_for(labels), 0.45 * width) + 10
    most = max(max(bay.room, bay.jobs.high or bay.jobs.mean or 0.0) for bay in found)
    scale = Scale(0, most * 1.02, left, width - 50, marks=5 if width > 500 else 3)
    pen = Pen(width, len(found) * pitch + 44)
    pen.axis_below(scale, len(found) * pitch + 4, 2, "jobs")
    for i, (bay, label) in enumerate(zip(found, labels, strict=True)):
        middle = i * pitch + 12
        pen.words(left - 8, middle, label, side="right", room=left - 8)
        if bay.room:
            pen.box(scale.start, middle - 9, scale.at(bay.room) - scale.start, 18, _ROOM)
        mean = bay.jobs.mean or 0.0
        paint = _IN_WORK if bay.what == "in work" else TIMES["waiting"]
        pen.box(scale.start, middle - 4.5, scale.at(mean) - scale.start, 9, paint)
        if bay.jobs.low is not None and bay.jobs.high is not None and bay.jobs.high > bay.jobs.low:
            pen.whisker(scale.at(bay.jobs.low), scale.at(bay.jobs.high), middle)
        end = max(scale.at(bay.room), scale.at(bay.jobs.high or mean))
        pen.words(end + 6, middle, mean_text(bay.jobs.estimate), size=SMALL)
    return pen.figure
