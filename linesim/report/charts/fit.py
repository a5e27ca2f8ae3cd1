"""Measured times and the shape that was fitted to them: how often each comes, and where the shape is off."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from linesim.answers.wording import number
from linesim.plan.arrays import FloatArray
from linesim.questions.fit.lines import unit_for
from linesim.report.canvas import Pen
from linesim.report.figure import Figure, figure
from linesim.report.png import drawn_png
from linesim.report.scale import Scale, round_step, up_to
from linesim.report.style import BLUE, INK, PALE, SMALL, SOFT, VERMILLION, WIDE, Paint
from linesim.report.table import PageCell, numeric, table

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

    from linesim.questions.fit import Fit
    from linesim.questions.fit.candidates import Candidate

METHOD = (
    "Counts in classes (histogram), classes by the rule of D. Freedman and P. Diaconis, Zeitschrift für "
    "Wahrscheinlichkeitstheorie 57 (1981); below, the sorted times against the quantiles of the shape: M. B. "
    "Wilk and R. Gnanadesikan, Biometrika 55 (1968)."
)
_BAR = Paint(PALE, INK)
_DOT = Paint("#ffffff", BLUE)
_MOST_CLASSES = 40
_MOST_DOTS = 200  #: Of more times so many quantiles are drawn.
_LETTERS = 'font-family="DejaVu Sans, Verdana, sans-serif"'


def fitted(answer: Fit) -> Figure | None:
    """Return the figure; None where no shape was fitted.

    A histogram with the counts that the shape expects, and the quantiles of both against each other
    (Wilk and Gnanadesikan): on the line the shape says what was measured.
    """
    draw = _drawer(answer)
    if draw is None:
        return None
    one = answer.shapes[0]
    times = np.sort(np.asarray(answer.times_s))
    unit, size = unit_for(float(times[-1]))
    is_proposed = one.kind == answer.proposal
    what = f"{one.kind}, proposed" if is_proposed else f"{one.kind}, the nearest shape, does not fit"
    return figure(
        "fit",
        f"{times.size} measured times and a shape: {what}",
        "Above, how often times of each length were measured, and as a line how often the shape expects "
        "them. Below, each measured time against the time that the shape puts in its place: dots on the line "
        "agree, dots above it are longer than the shape says. Short times lie on the left, long ones, which "
        "overruns come from, on the right.",
        table(
            f"Times that so large a share stays below [{unit}]",
            [*numeric("share, %", "measured", "by the shape")],
            [
                (
                    PageCell(number(100 * p, 0), p),
                    PageCell(number(float(np.quantile(times, p)) / size, 1), float(np.quantile(times, p))),
                    PageCell(number(one.quantile(p) / size, 1), one.quantile(p)),
                )
                for p in (0.05, 0.25, 0.5, 0.75, 0.9, 0.95)
            ],
        ),
        METHOD,
        draw,
    )


def _drawer(answer: Fit) -> Callable[[int], Drawing] | None:
    """Return what draws the figure in a width; None where no shape was fitted."""
    if not answer.shapes:
        return None
    one, times = answer.shapes[0], np.sort(np.asarray(answer.times_s))
    unit, size = unit_for(float(times[-1]))
    return lambda width: _draw(width, times, one, unit, size, one.kind == answer.proposal)


def fitted_file(answer: Fit, ending: str) -> bytes | None:
    """Return the wide drawing as a file of its own; None where no shape was fitted.

    Args:
        answer: What was fitted.
        ending: Of the file's name, ``.svg`` or ``.png``.
    """
    found, draw = fitted(answer), _drawer(answer)
    if found is None or draw is None:
        return None
    if ending == ".png":
        return drawn_png(found.name, draw, WIDE, found.title, found.says)
    return standing_alone(found).encode("utf-8")


def standing_alone(drawing: Figure) -> str:
    """Return the wide drawing of a figure as a file of its own, on white."""
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {_LETTERS} style="background:#ffffff" '
    return f"{head}{drawing.wide.removeprefix('<svg ')}\n"


def classes(times: FloatArray) -> FloatArray:
    """Return the borders of the classes [s], all of one round width and at multiples of it."""
    span = float(times[-1] - times[0])
    middle = float(np.quantile(times, 0.75) - np.quantile(times, 0.25))
    wanted = 2 * middle / times.size ** (1 / 3) or span / 10
    step = round_step(span, max(4, min(_MOST_CLASSES, round(span / wanted))))
    first, last = np.floor(times[0] / step), np.floor(times[-1] / step) + 1
    return np.arange(first, last + 1) * step


def _draw(
    width: int, times: FloatArray, one: Candidate, unit: str, size: float, is_proposed: bool
) -> Drawing:
    beside = width > 500  # on a phone the second drawing stands below the first
    left, top = 44.0, 26.0
    right = width - 330.0 if beside else width - 12.0
    tall, side = (264.0, 264.0) if beside else (150.0, min(width - 60.0, 264.0))
    corner = (width - side - 12.0, top) if beside else (left, top + tall + 74.0)
    ink = BLUE if is_proposed else VERMILLION
    borders = classes(times)
    counts, _ = np.histogram(times, borders)
    wide = float(borders[1] - borders[0])
    at = np.linspace(borders[0] - wide, borders[-1] + wide, 160)
    at = at[at >= 0]
    expected = times.size * (one.share_below(at + wide / 2) - one.share_below(at - wide / 2))
    across = Scale(float(at[0]) / size, float(at[-1]) / size, left, right, marks=5)
    high = Scale(0.0, up_to(float(max(counts.max(), expected.max())), 4), top + tall, top, marks=4)
    pen = Pen(width, corner[1] + side + 44)
    pen.axis_left(high, left, right, f"times measured; line: expected by the {one.kind}")
    for border, count in zip(borders[:-1].tolist(), counts.tolist(), strict=True):
        if count:
            x, y = across.at(border / size), high.at(count)
            pen.box(x, y, across.at((border + wide) / size) - x, high.at(0) - y, _BAR)
    dashes = None if is_proposed else (5.0, 3.0)
    xs = [across.at(value / size) for value in at.tolist()]
    pen.line(xs, [high.at(value) for value in expected.tolist()], colour=ink, width=2.2, dashes=dashes)
    pen.axis_below(across, top + tall, top + tall, f"time, {unit}")
    _quantiles(pen, times, one, unit, size, (*corner, side))
    return pen.figure


def _quantiles(
    pen: Pen, times: FloatArray, one: Candidate, unit: str, size: float, where: tuple[float, float, float]
) -> None:
    """Draw measured times against those that the shape puts in their places, on equal scales."""
    left, top, side = where
    n = min(times.size, _MOST_DOTS)
    places = (np.arange(n) + 0.5) / n
    theirs = np.array([one.quantile(float(p)) for p in places])
    if n < times.size:
        times = np.quantile(times, places, method="hazen")
    low = float(min(times[0], theirs[0])) / size
    most = float(max(times[-1], theirs[-1])) / size
    rim = 0.04 * (most - low)
    across = Scale(max(0.0, low - rim), most + rim, left, left + side, marks=5)
    up = Scale(max(0.0, low - rim), most + rim, top + side, top, marks=5)
    pen.words(left - 44, top - 18, f"measured, {unit}; on the line both agree", size=SMALL, colour=SOFT)
    for value, text in up.ticks():
        pen.words(left - 6, up.at(value), text, side="right", size=SMALL, colour=SOFT)
    pen.axis_below(across, top + side, top, f"by the shape ({one.kind}), {unit}")
    ends = (across.low, across.high)
    pen.line([across.at(v) for v in ends], [up.at(v) for v in ends], colour=INK, width=1.2)
    for x, y in zip((theirs / size).tolist(), (times / size).tolist(), strict=True):
        pen.marks((across.at(x),), (up.at(y),), "o", 5, _DOT)
