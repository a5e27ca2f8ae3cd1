"""Measured times and the shape that was fitted to them: how often each comes, and where the shape is off."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from linesim.answers.document import Chart, Document
from linesim.plan.tables import FloatArray
from linesim.questions.fit.candidates import FITS, ShapeCandidate, candidate_of
from linesim.questions.fit.fitted import ALL, unit_for
from linesim.report.canvas import IS_WIDE, Pen
from linesim.report.figure import Figure, figure
from linesim.report.scale import Scale, round_step, up_to
from linesim.report.style import BLUE, INK, PALE, SMALL, SOFT, VERMILLION, Paint
from linesim.report.table import PageTable

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "Counts in classes (histogram), classes by the rule of D. Freedman and P. Diaconis, Zeitschrift für "
    "Wahrscheinlichkeitstheorie 57 (1981); below, the sorted times against the quantiles of the shape: M. B. "
    "Wilk and R. Gnanadesikan, Biometrika 55 (1968)."
)
_BAR = Paint(PALE, INK)
_DOT = Paint("#ffffff", BLUE)
_MOST_CLASSES = 40
_MOST_DOTS = 200  #: Of more times so many quantiles are drawn.


def fitted(answer: Document, chart: Chart, numbers: PageTable) -> Figure | None:
    """Return the figure of one task; None where no shape was fitted.

    A histogram with the counts that the shape expects, and the quantiles of both against each other
    (Wilk and Gnanadesikan): on the line the shape says what was measured.
    """
    rows = answer.rows(chart.view)
    if not rows:
        return None
    key = [rows[0][name] for name in ("task", "outliers", "shape")]
    one = candidate_of(answer.table("shapes").row(*key))
    every = [row for row in answer.table("times") if row["task"] == key[0]]
    kept = [row["time_s"] for row in every if key[1] == ALL or not row["outlier"]]
    times = np.sort(np.asarray(kept, dtype=np.float64))
    unit, size = unit_for(float(times[-1]))
    return figure(
        chart.name, chart.view.title, chart.says, numbers, METHOD,
        lambda width: _draw(width, times, one, unit, size, one.fate == FITS),
    )  # fmt: skip


def classes(times: FloatArray) -> FloatArray:
    """Return the borders of the classes [s], all of one round width and at multiples of it."""
    span = float(times[-1] - times[0])
    middle = float(np.quantile(times, 0.75) - np.quantile(times, 0.25))
    wanted = 2 * middle / times.size ** (1 / 3) or span / 10
    step = round_step(span, max(4, min(_MOST_CLASSES, round(span / wanted))))
    first, last = np.floor(times[0] / step), np.floor(times[-1] / step) + 1
    return np.arange(first, last + 1) * step


def _draw(
    width: int, times: FloatArray, one: ShapeCandidate, unit: str, size: float, is_proposed: bool
) -> Drawing:
    beside = width > IS_WIDE  # on a phone the second drawing stands below the first
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
    pen: Pen,
    times: FloatArray,
    one: ShapeCandidate,
    unit: str,
    size: float,
    where: tuple[float, float, float],
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
