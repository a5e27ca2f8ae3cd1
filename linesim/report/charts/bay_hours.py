"""How many jobs are in each rework bay, hour by hour of a shift."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.wording import count_of, mean_text, text
from linesim.report.canvas import Pen, room_for
from linesim.report.figure import Figure, figure
from linesim.report.multiples import in_rows
from linesim.report.page_input import Told
from linesim.report.scale import Scale
from linesim.report.style import INK, MAIN, RULE, SMALL, SOFT
from linesim.report.table import estimated, numeric, plain_number, table
from linesim.runs.rows import Row

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "Bars in order of time, as on an hour-by-hour board; one small drawing a bay on one scale (small "
    "multiples: E. R. Tufte, Envisioning Information, 1990)."
)
_HOUR = 34.0  #: Width of an hour, where there is room [px].


class Hours(NamedTuple):
    """A bay.

    Attributes:
        name: Its name.
        room: Jobs that have room in it: waiting places and work places.
        jobs: Jobs in it in the first, second … hour of a shift, averaged over time.
    """

    name: str
    room: int
    jobs: tuple[Row, ...]


def bays_by_hour(told: Told) -> tuple[Hours, ...]:
    """Return the bays with their load by hour, as far as it is kept hour by hour."""
    bays = told.plan.bays
    found = []
    for b, name in enumerate(told.plan.names.bay):
        jobs = tuple(row for row in told.result.rows("bay_by_hour") if row.where == name)
        if jobs:
            found.append(Hours(name, int(bays.waiting[b]) + int(bays.places[b]), jobs))
    return tuple(found)


def bay_hours(told: Told) -> Figure | None:
    """Return the figure; None for a line without a bay, or whose shifts are not kept by hour.

    Bars in order of time as small multiples (Tufte).
    """
    found = bays_by_hour(told)
    if not found:
        return None
    return figure(
        "bay-hours",
        "Jobs in the rework bays, hour by hour of a shift",
        _says(found),
        table(
            "Jobs in each bay by hour of the shift, averaged over whole shifts",
            ["bay", *numeric("room for", "hour", "jobs in it", "interval")],
            [
                (bay.name, plain_number(bay.room), plain_number(hour), *estimated(row.estimate))
                for bay in found
                for hour, row in enumerate(bay.jobs, 1)
            ],
        ),
        METHOD,
        lambda width: _draw(width, found),
    )


def _says(found: tuple[Hours, ...]) -> str:
    says = (
        "One drawing a bay, one bar an hour from the beginning of the shift, breaks included: the jobs in "
        "the bay on average, whether they wait, are in work, or are done and cannot go on yet. The lines on "
        "the bars are intervals; a dashed line is what there is room for."
    )
    return " ".join([says, *(f"Bay {bay.name}: {fullest(bay)}." for bay in found)])


def fullest(bay: Hours) -> str:
    """Return which hour is the fullest, or that none stands out from all others."""
    by_load = sorted(enumerate(bay.jobs, 1), key=lambda pair: -(pair[1].mean or 0.0))
    (hour, most), others = by_load[0], by_load[1:]
    if not most.mean:
        return "nothing came in"
    if not others:
        return f"{text(most.estimate)} jobs"
    fewest = others[-1][1]
    if most.low is not None and all(row.high is not None and row.high < most.low for _, row in others):
        return f"hour {hour} is the fullest, with {text(most.estimate)} jobs"
    ends = f"{mean_text(fewest.estimate)} to {mean_text(most.estimate)}"
    return f"{ends} jobs; no hour stands out from all the others"


def _draw(width: int, found: tuple[Hours, ...]) -> Drawing:
    left, gap, tall, head, foot = 42.0, 26.0, 120.0, 46.0, 44.0
    most = max(row.high or row.mean or 0.0 for bay in found for row in bay.jobs) or 1.0
    widths = [
        min(
            width - left,
            max(room_for([_head(bay)], SMALL), len(bay.jobs) * _HOUR) if width > 500 else width - left,
        )
        for bay in found
    ]
    rows = in_rows(widths, gap=gap, room=width - left)
    pen = Pen(width, len(rows) * (head + tall + foot))
    for r, row in enumerate(rows):
        top, x = r * (head + tall + foot) + head, left
        scale = Scale(0, most * 1.08, top + tall, top, marks=4)
        for position, i in enumerate(row):
            _one(pen, found[i], scale, x, widths[i], with_axis=position == 0)
            x += widths[i] + gap
    return pen.figure


def _head(bay: Hours) -> str:
    return f"jobs in the bay; room for {count_of(bay.room, 'job')}"


def _one(pen: Pen, bay: Hours, scale: Scale, x: float, wide: float, *, with_axis: bool) -> None:
    top, foot = scale.end, scale.start
    pen.words(x, top - 34, bay.name, bold=True, room=wide + 20)
    pen.words(x, top - 18, _head(bay), size=SMALL, colour=SOFT, room=wide + 20)
    for value, mark in scale.ticks():
        at = scale.at(value)
        pen.line((x, x + wide), (at, at), colour=RULE, width=0.8)
        if with_axis:
            pen.words(x - 5, at, mark, side="right", size=SMALL, colour=SOFT)
    if bay.room <= scale.high:
        at = scale.at(bay.room)
        pen.line((x, x + wide), (at, at), colour=INK, width=1.4, dashes=(4, 3))
    pitch = wide / len(bay.jobs)
    every = 1 if pitch > 15 else 2
    for hour, row in enumerate(bay.jobs, 1):
        middle, jobs = x + (hour - 0.5) * pitch, row.mean or 0.0
        pen.box(middle - 0.36 * pitch, scale.at(jobs), 0.72 * pitch, foot - scale.at(jobs), MAIN)
        if row.low is not None and row.high is not None and row.high > row.low:
            pen.whisker(scale.at(row.high), scale.at(row.low), middle, upright=True)
        if hour % every == 0 or every == 1:
            pen.words(middle, foot + 11, str(hour), side="center", size=SMALL, colour=SOFT)
    pen.words(x + wide / 2, foot + 27, "hour of the shift", side="center", size=SMALL, colour=SOFT)
