"""How full each buffer is: share of the time at each level."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.wording import count_of, mean_text
from linesim.plan.tables import BUFFER
from linesim.report.canvas import Pen, room_for
from linesim.report.figure import Figure, figure
from linesim.report.multiples import in_rows
from linesim.report.page_input import Told
from linesim.report.scale import Scale
from linesim.report.style import INK, MAIN, RULE, SMALL, SOFT, Paint
from linesim.report.table import estimated, numeric, plain_number, table
from linesim.runs.rows import Row

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "Bars on whole numbers of jobs, weighted by time; one small drawing a buffer on one scale (small "
    "multiples: E. R. Tufte, Envisioning Information, 1990)."
)
_END = Paint("#ffffff", INK, "rising")
_FEWEST_LETTERS = 15  #: Px a level needs for its number.


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
    flows = (plan.flow, *plan.feeders.flows)
    order = [
        int(i) for flow in flows for kind, i in zip(flow.kind, flow.index, strict=True) if kind == BUFFER
    ]
    by_name: dict[str, list[Row]] = {}
    for row in result.rows("buffer_at"):
        by_name.setdefault(row.where, []).append(row)
    return tuple(
        Levels(name, int(plan.buffers.capacity[b]), result.row("buffer_level", name), tuple(by_name[name]))
        for b in order
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
        METHOD,
        lambda width: _draw(width, found),
    )


def _head(levels: Levels) -> str:
    return f"{count_of(levels.places, 'place')}, {mean_text(levels.level.estimate)} jobs on average"


def _draw(width: int, found: tuple[Levels, ...]) -> Drawing:
    most = max(row.high or row.mean or 0.0 for levels in found for row in levels.at)
    left, gap, tall, head, foot = 50.0, 26.0, 120.0, 46.0, 40.0
    heads = [room_for([_head(levels)], SMALL) for levels in found]
    widths = [
        max(head_room, (levels.places + 1) * 26.0) for head_room, levels in zip(heads, found, strict=True)
    ]
    if width < 500:
        widths = [width - left] * len(found)
    rows = in_rows(widths, gap=gap, room=width - left)
    pen = Pen(width, len(rows) * (head + tall + foot))
    for r, row in enumerate(rows):
        top = r * (head + tall + foot) + head
        scale = Scale(0, most * 1.05, top + tall, top, marks=3, percent=True)
        x = left
        for position, i in enumerate(row):
            wide = min(widths[i], width - left)
            _one(pen, found[i], scale, x, wide, top, tall, with_axis=position == 0)
            x += wide + gap
    return pen.figure


def _one(
    pen: Pen, levels: Levels, scale: Scale, x: float, wide: float, top: float, tall: float, *, with_axis: bool
) -> None:
    pen.words(x, top - 34, levels.name, bold=True, room=wide + 20)
    pen.words(x, top - 18, _head(levels), size=SMALL, colour=SOFT, room=wide + 20)
    for value, text in scale.ticks():
        at = scale.at(value)
        pen.line((x, x + wide), (at, at), colour=RULE, width=0.8)
        if with_axis:
            pen.words(x - 5, at, f"{text} %" if value else text, side="right", size=SMALL, colour=SOFT)
    pitch = wide / (levels.places + 1)
    every = max(1, round(_FEWEST_LETTERS / pitch + 0.4))
    for k, row in enumerate(levels.at):
        middle, share = x + (k + 0.5) * pitch, row.mean or 0.0
        paint = _END if k in (0, levels.places) else MAIN
        pen.box(middle - 0.36 * pitch, scale.at(share), 0.72 * pitch, scale.at(0) - scale.at(share), paint)
        if row.low is not None and row.high is not None and row.high > row.low:
            pen.whisker(scale.at(row.high), scale.at(row.low), middle, upright=True)
        if k % every == 0 or k == levels.places:
            pen.words(middle, top + tall + 11, str(k), side="center", size=SMALL, colour=SOFT)
    pen.words(x, top + tall + 25, "empty", size=SMALL, colour=SOFT)
    pen.words(x + wide, top + tall + 25, "full", side="right", size=SMALL, colour=SOFT)
