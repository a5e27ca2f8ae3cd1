"""What people cost and what is made with them: every staffing as a dot, the best for each cost joined."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.values import Estimate
from linesim.report.canvas import Pen, room_for
from linesim.report.figure import Figure, figure
from linesim.report.scale import Scale
from linesim.report.style import BLUE, FAINT, INK, SMALL, Paint

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.figure import Figure as Drawing

    from linesim.answers.document import Chart, Document
    from linesim.report.table import PageTable

METHOD = (
    "Dots of all alternatives and the line of those that nothing beats in both, cost and output: V. Pareto, "
    "Manuale di economia politica (1906)."
)
_OTHER, _ON_LINE = Paint("#ffffff", FAINT), Paint("#ffffff", BLUE)
_BEST, _NOW = Paint(BLUE, BLUE), Paint(INK, INK)


class FrontierDot(NamedTuple):
    """One alternative.

    Attributes:
        label: Its name.
        cost: What it costs.
        mean, low, high: What it makes.
        on_line: Whether nothing that costs no more makes more.
        is_best, is_now: Whether it is the answer, and the line as it is.
    """

    label: str
    cost: float
    mean: float
    low: float | None
    high: float | None
    on_line: bool
    is_best: bool
    is_now: bool


def frontier(answer: Document, chart: Chart, numbers: PageTable) -> Figure | None:
    """Return the frontier of cost and output (Pareto); None without two alternatives.

    The table of the view says which alternative is the answer, which the line as it is, and than which
    nothing that costs no more makes more.
    """
    dots = []
    for row in answer.rows(chart.view):
        found, cost = row[chart.value], row["cost"]
        assert isinstance(found, Estimate) and isinstance(cost, int | float)
        if found.mean is not None:
            which = (bool(row["on_frontier"]), bool(row["is_best"]), bool(row["is_now"]))
            label = chart.label.format_map(row)
            dots.append(FrontierDot(label, float(cost), found.mean, found.low, found.high, *which))
    if len(dots) < 2:
        return None
    head = next(column.heading for column in chart.view.columns if column.name == chart.value)
    return figure(
        chart.name, chart.view.title, chart.says, numbers, METHOD,
        lambda width: _draw(width, dots, chart.unit, head),
    )  # fmt: skip


def _draw(width: int, dots: Sequence[FrontierDot], cost_unit: str, unit: str) -> Drawing:
    tall, top, left = 260.0, 26.0, 46.0
    right = width - 14.0
    line = [dot for dot in dots if dot.on_line]
    named = [dot for dot in dots if dot.is_best or dot.is_now]
    ends = [e for dot in (*line, *named) for e in (dot.low, dot.high) if e is not None]
    ends += [dot.mean for dot in dots]
    rim = 0.06 * (max(ends) - min(ends)) or 0.5
    up = Scale(min(ends) - rim, max(ends) + rim, top + tall, top, marks=6)
    costs = [dot.cost for dot in dots]
    side = 0.05 * (max(costs) - min(costs)) or 0.5
    across = Scale(min(costs) - side, max(costs) + side, left, right, marks=6 if width > 500 else 3)
    pen = Pen(width, top + tall + 46)
    pen.axis_left(up, left, right, f"{unit} (not from 0)")
    pen.axis_below(across, top + tall, top, cost_unit)
    xs: list[float] = []
    ys: list[float] = []
    for dot in line:
        xs += [across.at(dot.cost)] * (2 if ys else 1)
        ys += [ys[-1], up.at(dot.mean)] if ys else [up.at(dot.mean)]
    pen.line(xs, ys, colour=BLUE, width=1.2)
    for dot in sorted(dots, key=lambda dot: (dot.is_best, dot.is_now, dot.on_line)):
        x, y = across.at(dot.cost), up.at(dot.mean)
        if (
            (dot.on_line or dot in named)
            and dot.low is not None
            and dot.high is not None
            and dot.low < dot.high
        ):
            pen.whisker(up.at(dot.high), up.at(dot.low), x, upright=True)
        paint = _BEST if dot.is_best else _NOW if dot.is_now else _ON_LINE if dot.on_line else _OTHER
        pen.marks((x,), (y,), "D" if dot.is_best else "o", 8 if dot in named else 6, paint)
    for dot in named:
        said = "now and best" if dot.is_best and dot.is_now else "now" if dot.is_now else dot.label
        x, y = across.at(dot.cost), up.at(dot.mean)
        room = room_for([said], SMALL, bold=True) + 4
        at = min(max(x + 9, left), right - room)
        below = y + 13
        pen.tint(at - 2, below - 7, room, 14, "#ffffff")
        pen.words(at, below, said, size=SMALL, bold=True, room=right - left)
    return pen.figure
