"""The plant's own shifts beside the range that simulated ones fall in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.values import Estimate
from linesim.report.canvas import Pen
from linesim.report.figure import Figure, figure
from linesim.report.scale import Scale
from linesim.report.style import INK, PALE, RULE, SMALL, SOFT, Paint

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

    from linesim.answers.document import Chart, Document
    from linesim.answers.table import Row
    from linesim.report.table import PageTable

METHOD = (
    "A run chart (W. A. Shewhart, Economic Control of Quality of Manufactured Product, 1931), with the range "
    "of eight simulated shifts in ten as its band."
)
_INSIDE, _OUTSIDE = Paint("#ffffff", INK), Paint(INK, INK)


class Recorded(NamedTuple):
    """One figure that the plant has recorded.

    Attributes:
        figure: What it is.
        values: What was recorded in each.
        band: 10th and 90th percentile of single simulated shifts.
    """

    figure: str
    values: tuple[float, ...]
    band: tuple[float, float]


def plant(answer: Document, chart: Chart, numbers: PageTable) -> Figure:
    """Return run charts (Shewhart) of the plant's shifts, one small drawing a figure."""
    by_figure: dict[str, list[Row]] = {}
    for row in answer.rows(chart.view):
        by_figure.setdefault(str(row["figure"]), []).append(row)
    found = [_recorded(name, rows) for name, rows in by_figure.items()]
    return figure(
        chart.name, chart.view.title, chart.says, numbers, METHOD, lambda width: _draw(width, found)
    )


def _recorded(name: str, rows: Sequence[Row]) -> Recorded:
    values = tuple(float(row["plant"]) for row in rows if isinstance(row["plant"], int | float))
    band = rows[0]["singles"]
    assert isinstance(band, Estimate) and band.low is not None and band.high is not None
    return Recorded(name, values, (band.low, band.high))


def _draw(width: int, found: Sequence[Recorded]) -> Drawing:
    left, right, head, tall, foot = 46.0, width - 8.0, 28.0, 110.0, 32.0
    pen = Pen(width, len(found) * (head + tall + foot))
    for i, one in enumerate(found):
        top = i * (head + tall + foot) + head
        low, high = min(*one.values, *one.band), max(*one.values, *one.band)
        rim = 0.08 * (high - low) or 0.5
        scale = Scale(low - rim, high + rim, top + tall, top, marks=4)
        pen.words(0, top - 14, f"{one.figure} (not from 0)", size=SMALL, bold=True, room=width)
        upper, lower = scale.at(one.band[1]), scale.at(one.band[0])
        pen.tint(left, upper, right - left, max(1.5, lower - upper), PALE)
        for value, text in scale.ticks():
            at = scale.at(value)
            pen.line((left, right), (at, at), colour=RULE, width=0.8)
            pen.words(left - 6, at, text, side="right", size=SMALL, colour=SOFT)
        pitch = (right - left) / len(one.values)
        for paint, wanted in ((_INSIDE, True), (_OUTSIDE, False)):
            kept = [k for k, v in enumerate(one.values) if (one.band[0] <= v <= one.band[1]) == wanted]
            if kept:
                xs = [left + (k + 0.5) * pitch for k in kept]
                pen.marks(xs, [scale.at(one.values[k]) for k in kept], "o", 5.5, paint)
        middle = (left + right) / 2
        pen.words(
            middle, top + tall + 14, "shifts of the plant, in order", side="center", size=SMALL, colour=SOFT
        )
    return pen.figure
