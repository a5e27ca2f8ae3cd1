"""Moving averages from the first minute on: where the start of a run stops mattering."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from linesim.report.canvas import Pen
from linesim.report.figure import Figure, figure
from linesim.report.scale import Scale
from linesim.report.style import BLUE, INK, RULE, SMALL, SOFT

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

    from linesim.answers.document import Chart, Document
    from linesim.answers.wording import Value
    from linesim.report.table import PageTable

METHOD = (
    "The mean over replications smoothed by a moving average: P. D. Welch in The Computer Performance "
    "Modeling Handbook (1983); the cut by MSER-5: K. P. White, M. J. Cobb and S. C. Spratt, Winter "
    "Simulation Conference (2000)."
)


class Series(NamedTuple):
    """One figure over time.

    Attributes:
        name: What it is, with its unit.
        hours: Where each interval begins [h of working time].
        mean: Mean over replications.
        smoothed: The moving average, as long as it reaches.
        cut: Where the run should be cut [h], None if no cut is given.
    """

    name: str
    hours: tuple[float, ...]
    mean: tuple[float, ...]
    smoothed: tuple[float, ...]
    cut: float | None


def averages(answer: Document, chart: Chart, numbers: PageTable) -> Figure:
    """Return Welch's moving averages of an answer, one small drawing a series.

    The table of the view holds a column for the mean of each series and one for its moving average; the table
    of the cuts says where each should be cut.
    """
    table = answer.table(chart.view.table)
    hours, found = _numbers(table.column("start_h")), []
    for row in answer.table("cuts"):
        name, cut = str(row["series"]), row["cut_h"]
        says = f"{name}, {row['unit']}"
        mean, smoothed = (_numbers(table.column(column)) for column in (name, f"{name}_smoothed"))
        found.append(Series(says, hours, mean, smoothed, cut if isinstance(cut, float) else None))
    title = "From the first hour on"
    return figure(chart.name, title, chart.says, numbers, METHOD, lambda width: _draw(width, found))


def _numbers(cells: Sequence[Value]) -> tuple[float, ...]:
    return tuple(float(cell) for cell in cells if isinstance(cell, int | float))


def _draw(width: int, found: Sequence[Series]) -> Drawing:
    left, right, head, tall, foot = 46.0, width - 10.0, 28.0, 110.0, 36.0
    pen = Pen(width, len(found) * (head + tall + foot))
    for i, series in enumerate(found):
        top = i * (head + tall + foot) + head
        low, high = min(series.mean), max(series.mean)
        rim = 0.05 * (high - low) or 0.5
        scale = Scale(low - rim, high + rim, top + tall, top, marks=3)
        across = Scale(0, max(series.hours) or 1.0, left, right, marks=8 if width > 500 else 4)
        pen.words(0, top - 14, series.name, size=SMALL, bold=True, room=width)
        for value, text in scale.ticks():
            at = scale.at(value)
            pen.line((left, right), (at, at), colour=RULE, width=0.8)
            pen.words(left - 6, at, text, side="right", size=SMALL, colour=SOFT)
        xs = [across.at(hour) for hour in series.hours]
        pen.line(xs, [scale.at(v) for v in series.mean], colour=SOFT, width=0.6)
        pen.line(xs[: len(series.smoothed)], [scale.at(v) for v in series.smoothed], colour=BLUE, width=2.2)
        if series.cut is not None:
            at = across.at(series.cut)
            pen.line((at, at), (top - 4, top + tall), colour=INK, width=1.4, dashes=(4, 3))
        for value, text in across.ticks():
            pen.words(across.at(value), top + tall + 12, text, side="center", size=SMALL, colour=SOFT)
        if i == len(found) - 1:
            pen.words((left + right) / 2, top + tall + 27, "hours of working time", side="center", size=SMALL,
                      colour=SOFT)  # fmt: skip
    return pen.figure
