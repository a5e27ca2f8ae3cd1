"""Moving averages from the first minute on: where the start of a run stops mattering."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.wording import number
from linesim.report.canvas import Pen
from linesim.report.figure import Figure, figure
from linesim.report.scale import Scale
from linesim.report.style import BLUE, INK, RULE, SMALL, SOFT
from linesim.report.table import PageCell, numeric, table

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "The mean over replications smoothed by a moving average: P. D. Welch in The Computer Performance "
    "Modeling "
    "Handbook (1983); the cut by MSER-5: K. P. White, M. J. Cobb and S. C. Spratt, Winter Simulation "
    "Conference (2000)."
)


class Series(NamedTuple):
    """One figure over time.

    Attributes:
        name, unit: What it is.
        hours: Where each interval begins [h of working time].
        mean: Mean over replications.
        smoothed: The moving average, as long as it reaches.
        cut: Where the run should be cut [h], None if no cut is given.
    """

    name: str
    unit: str
    hours: tuple[float, ...]
    mean: tuple[float, ...]
    smoothed: tuple[float, ...]
    cut: float | None


def averages(found: Sequence[Series]) -> Figure | None:
    """Return the figure; None without series.

    Welch's moving averages, one small drawing a series.
    """
    found = tuple(series for series in found if len(series.hours) > 1)
    if not found:
        return None
    return figure(
        "averages",
        "From the first hour on",
        "One drawing a figure: the thin line is the mean over replications, the thick one smooths it, and "
        "the "
        "broken upright line is where the run should be cut. What lies before it is warm-up.",
        table(
            "Mean over replications by interval",
            ["series", *numeric("from hour", "mean", "smoothed"), "unit"],
            [
                (
                    series.name,
                    PageCell(number(hour, 2), hour),
                    PageCell(number(series.mean[k], 2), series.mean[k]),
                    PageCell(number(series.smoothed[k], 2), series.smoothed[k])
                    if k < len(series.smoothed)
                    else PageCell("–"),
                    series.unit,
                )
                for series in found
                for k, hour in enumerate(series.hours)
            ],
        ),
        METHOD,
        lambda width: _draw(width, found),
    )


def _draw(width: int, found: tuple[Series, ...]) -> Drawing:
    left, right, head, tall, foot = 46.0, width - 10.0, 28.0, 110.0, 36.0
    pen = Pen(width, len(found) * (head + tall + foot))
    for i, series in enumerate(found):
        top = i * (head + tall + foot) + head
        low, high = min(series.mean), max(series.mean)
        rim = 0.05 * (high - low) or 0.5
        scale = Scale(low - rim, high + rim, top + tall, top, marks=3)
        across = Scale(0, max(series.hours) or 1.0, left, right, marks=8 if width > 500 else 4)
        pen.words(0, top - 14, f"{series.name}, {series.unit}", size=SMALL, bold=True, room=width)
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
