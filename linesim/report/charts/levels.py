"""How full buffers and rework bays are: by level, on average, and hour by hour of a shift."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.wording import count_of, mean_text, text
from linesim.plan.tables import BUFFER
from linesim.report.canvas import IS_WIDE, Pen, Side, room_for
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.scale import Scale, in_rows
from linesim.report.style import BLUE, INK, MAIN, PASSED_ON, SMALL, TIMES, Paint
from linesim.report.table import PageTable, estimated, numeric, plain_number, table
from linesim.runs.rows import Row

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

_MULTIPLES = (
    "one small drawing {} on one scale (small multiples: E. R. Tufte, Envisioning Information, 1990)."
)
_BULLETS = (
    "Bars with an outline for what there is room for (a bullet graph: S. Few, Information Dashboard "
    "Design, 2006)."
)
_ROOM = Paint("#ffffff", "#6b717a")
_IN_WORK = Paint(BLUE, BLUE)
_HOUR, _LEVEL = 34.0, 26.0  #: Width of a bar, where there is room [px].
_FEWEST_LETTERS = 15  #: Px a level needs for its number.
_TALL, _HEAD = 120.0, 46.0  #: Heights of a small drawing and of its heading [px].


class BarsOf(NamedTuple):
    """A buffer or a bay, as bars in a row.

    Attributes:
        name: Its name.
        head: What is said below it.
        bars: A figure each, from the left.
        first: Number of the first bar.
        hatched: Bars that stand for an end.
        room: What a dashed line marks; None for none.
    """

    name: str
    head: str
    bars: tuple[Row, ...]
    first: int = 0
    hatched: tuple[int, ...] = ()
    room: float | None = None


def _draw_bars(
    width: int, found: Sequence[BarsOf], widths: Sequence[float], scale: Scale, left: float, foot: float,
    says: Sequence[str],
) -> Drawing:  # fmt: skip
    """Draw small drawings of bars on one scale, side by side where they have room.

    Args:
        width: Of the whole drawing [px].
        found: What is drawn.
        widths: Width of each on a wide drawing [px].
        scale: From the foot of a drawing, 0, up to ``-_TALL``; moved to each row.
        left: Room for the values of the scale.
        foot: Room below a drawing.
        says: What stands below a drawing, at its left, middle and right.
    """
    gap = 26.0
    widths = [min(width - left, wide if width > IS_WIDE else width - left) for wide in widths]
    rows = in_rows(widths, gap=gap, room=width - left)
    pen = Pen(width, len(rows) * (_HEAD + _TALL + foot))
    for r, row in enumerate(rows):
        top, x = r * (_HEAD + _TALL + foot) + _HEAD, left
        here = Scale(scale.low, scale.high, top + _TALL, top, scale.marks, scale.percent)
        for i in row:
            _draw_one(pen, found[i], here, x, widths[i], says, is_first=i == row[0])
            x += widths[i] + gap
    return pen.figure


def _draw_one(
    pen: Pen, one: BarsOf, scale: Scale, x: float, wide: float, says: Sequence[str], *, is_first: bool
) -> None:
    foot = scale.start
    pen.words(x, scale.end - 34, one.name, bold=True, room=wide + 20)
    pen.note(x, scale.end - 18, one.head, side="left", room=wide + 20)
    pen.levels(scale, x, x + wide, unit=" %" if scale.percent else "", is_told=is_first)
    if one.room is not None and one.room <= scale.high:
        at = scale.at(one.room)
        pen.line((x, x + wide), (at, at), colour=INK, width=1.4, dashes=(4, 3))
    pitch, n = wide / len(one.bars), len(one.bars)
    every = max(1, round(_FEWEST_LETTERS / pitch + 0.4))
    for k, row in enumerate(one.bars):
        middle, at = x + (k + 0.5) * pitch, scale.at(row.mean or 0.0)
        pen.box(middle - 0.36 * pitch, at, 0.72 * pitch, foot - at, PASSED_ON if k in one.hatched else MAIN)
        pen.interval(scale, row, middle, upright=True)
        if (k + one.first) % every == 0 or k == n - 1:
            pen.note(middle, foot + 11, str(k + one.first))
    sides: tuple[Side, ...] = ("left", "center", "right")
    for below, side, at in zip(says, sides, (x, x + wide / 2, x + wide), strict=True):
        pen.note(at, foot + 26, below, side=side)


class Levels(NamedTuple):
    """A buffer.

    Attributes:
        name: Its name.
        places: How many it has.
        level: Jobs in it, averaged over time.
        at: Share of the time at 0, 1, 2 … jobs.
    """

    name: str
    places: int
    level: Row
    at: tuple[Row, ...]


def buffer_levels(told: Told) -> tuple[Levels, ...]:
    """Return the levels of each buffer with places, in line order, as far as they are kept level by level."""
    plan, result = told.plan, told.result
    by_name: dict[str, list[Row]] = {}
    for row in result.rows("buffer_at"):
        by_name.setdefault(row.where, []).append(row)
    return tuple(
        Levels(name, int(plan.buffers.capacity[b]), result.row("buffer_level", name), tuple(by_name[name]))
        for b in plan.along(BUFFER)
        if (name := plan.names.buffer[b]) in by_name and plan.buffers.capacity[b] > 0
    )


def buffers(told: Told) -> Figure | None:
    """Return the figure; None where no buffer has a place.

    Time-weighted bars on whole numbers, as small multiples (Tufte).
    """
    found = buffer_levels(told)
    if not found:
        return None
    return figure(
        "buffers",
        "Share of the time with so many jobs in each buffer",
        "One drawing a buffer, one bar a number of jobs; the first bar is empty, and what follows starves; "
        "the last is full, and what comes before is blocked. Both are hatched. Time is the hours of what "
        "follows. Whiskers are intervals.",
        table(
            "Share of the time at each level",
            ["buffer", *numeric("jobs in it", "share of time, %", "interval")],
            [
                (levels.name, plain_number(k), *estimated(row.estimate))
                for levels in found
                for k, row in enumerate(levels.at)
            ],
        ),
        f"Bars on whole numbers of jobs, weighted by time; {_MULTIPLES.format('a buffer')}",
        lambda width: _draw_buffers(width, found),
    )


def _draw_buffers(width: int, found: tuple[Levels, ...]) -> Drawing:
    most = max(row.high or row.mean or 0.0 for levels in found for row in levels.at)
    bars = []
    for one in found:
        head = f"{count_of(one.places, 'place')}, {mean_text(one.level.estimate)} jobs on average"
        bars.append(BarsOf(one.name, head, one.at, hatched=(0, one.places)))
    widths = [max(room_for([one.head], SMALL), len(one.bars) * _LEVEL) for one in bars]
    scale = Scale(0, most * 1.05, 0, -_TALL, marks=3, percent=True)
    return _draw_bars(width, bars, widths, scale, 50.0, 40.0, ("empty", "", "full"))


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
    says = (
        "One drawing a bay, one bar an hour from the beginning of the shift, breaks included: the jobs in "
        "the bay on average, whether they wait, are in work, or are done and cannot go on yet. The lines on "
        "the bars are intervals; a dashed line is what there is room for."
    )
    return figure(
        "bay-hours",
        "Jobs in the rework bays, hour by hour of a shift",
        " ".join([says, *(f"Bay {bay.name}: {fullest(bay)}." for bay in found)]),
        table(
            "Jobs in each bay by hour of the shift, averaged over whole shifts",
            ["bay", *numeric("room for", "hour", "jobs in it", "interval")],
            [
                (bay.name, plain_number(bay.room), plain_number(hour), *estimated(row.estimate))
                for bay in found
                for hour, row in enumerate(bay.jobs, 1)
            ],
        ),
        f"Bars in order of time, as on an hour-by-hour board; {_MULTIPLES.format('a bay')}",
        lambda width: _draw_hours(width, found),
    )


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


def _draw_hours(width: int, found: tuple[Hours, ...]) -> Drawing:
    most = max(row.high or row.mean or 0.0 for bay in found for row in bay.jobs) or 1.0
    bars = []
    for bay in found:
        head = f"jobs in the bay; room for {count_of(bay.room, 'job')}"
        bars.append(BarsOf(bay.name, head, bay.jobs, first=1, room=bay.room))
    widths = [max(room_for([one.head], SMALL), len(one.bars) * _HOUR) for one in bars]
    scale = Scale(0, most * 1.08, 0, -_TALL, marks=4)
    return _draw_bars(width, bars, widths, scale, 42.0, 44.0, ("", "hour of the shift", ""))


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
        _bay_table(told),
        _BULLETS,
        lambda width: _draw_bays(width, found),
    )


def _bay_table(told: Told) -> PageTable:
    plan, result = told.plan, told.result
    heads = (
        "in work, jobs", "interval", "places", "waiting, jobs", "interval", "waiting places", "visits/shift",
        "put right, %", "held up its section, min/shift", "passed by, 1/100 jobs",
    )  # fmt: skip
    alone = ("bay_visits", "bay_good", "bay_hold", "bay_carried_on")
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
                *(estimated(result.estimate(measure, name))[0] for measure in alone),
            )
            for b, name in enumerate(plan.names.bay)
        ],
    )


def _draw_bays(width: int, found: tuple[BayLoad, ...]) -> Drawing:
    pitch = 24
    labels = [f"{bay.name}, {bay.what}" for bay in found]
    left = min(room_for(labels), 0.45 * width) + 10
    most = max(max(bay.room, bay.jobs.high or bay.jobs.mean or 0.0) for bay in found)
    scale = Scale(0, most * 1.02, left, width - 50, marks=5 if width > IS_WIDE else 3)
    pen = Pen(width, len(found) * pitch + 44)
    pen.axis_below(scale, len(found) * pitch + 4, 2, "jobs")
    for i, (bay, label) in enumerate(zip(found, labels, strict=True)):
        middle, mean = i * pitch + 12, scale.at(bay.jobs.mean or 0.0)
        pen.words(left - 8, middle, label, side="right", room=left - 8)
        if bay.room:
            pen.box(scale.start, middle - 9, scale.at(bay.room) - scale.start, 18, _ROOM)
        paint = _IN_WORK if bay.what == "in work" else TIMES["waiting"]
        pen.box(scale.start, middle - 4.5, mean - scale.start, 9, paint)
        end = max(scale.at(bay.room), pen.interval(scale, bay.jobs, middle))
        pen.words(end + 6, middle, mean_text(bay.jobs.estimate), size=SMALL)
    return pen.figure
