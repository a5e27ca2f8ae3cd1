"""Lines over something: places of a buffer, cost, hours of a warm-up, the plant's own shifts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.values import Estimate
from linesim.report.canvas import IS_WIDE, Pen, Side, room_for
from linesim.report.charts.over_time import RUN_CHART, SMOOTHED
from linesim.report.figure import Figure, figure
from linesim.report.scale import Scale
from linesim.report.style import BLUE, FAINT, INK, PALE, SMALL, SOFT, Paint

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

    from linesim.answers.document import Chart, Document
    from linesim.answers.table import Row
    from linesim.answers.wording import Value
    from linesim.report.table import PageTable

_PLACES = (
    "Dots with intervals, the line between them only a guide (W. S. Cleveland, The Elements of Graphing "
    "Data, 1985). Such a curve rises and flattens: W. J. Hopp and M. L. Spearman, Factory Physics."
)
_PARETO = (
    "Dots of all alternatives and the line of those that nothing beats in both, cost and output: V. Pareto, "
    "Manuale di economia politica (1906)."
)
_CUT = "the cut by MSER-5: K. P. White, M. J. Cobb and S. C. Spratt, Winter Simulation Conference (2000)"
_ENDLESS = "endless"
_OPEN, _EMPTY, _FAINT = Paint("#ffffff", BLUE), Paint("#ffffff", INK), Paint("#ffffff", FAINT)
_BEST, _NOW = Paint(BLUE, BLUE), Paint(INK, INK)
_LEFT, _TALL, _HEAD = 46.0, 110.0, 28.0  #: Left edge and heights of one of several drawings in a column [px].


class CurvePoint(NamedTuple):
    """A buffer with so many places.

    Attributes:
        places: How many, as text: a number, or ``endless``.
        is_now: Whether that is the line as it is.
        level: What the line makes.
    """

    places: str
    is_now: bool
    level: Estimate


def curves(answer: Document, chart: Chart, numbers: PageTable) -> Figure | None:
    """Return a curve for each value of the column that the view is told apart by; None without any.

    Buffer curves: dots with intervals over places (Cleveland), as small drawings on one scale.
    """
    points: dict[str, list[CurvePoint]] = {}
    for row in answer.rows(chart.view):
        level = row[chart.value]
        assert isinstance(level, Estimate)
        shown = level.scaled(100.0, "%") if level.unit == "share" else level
        point = CurvePoint(chart.label.format_map(row), row["now"] == "now", shown)
        points.setdefault(str(row[chart.view.by]), []).append(point)
    found = {name: mine for name, mine in points.items() if len(mine) > 1}
    if not found:
        return None
    title = chart.view.title[0].upper() + chart.view.title[1:]
    return figure(
        chart.name, title, chart.says, numbers, _PLACES,
        lambda width: _draw_curves(width, found, chart.unit),
    )  # fmt: skip


def _draw_curves(width: int, found: dict[str, list[CurvePoint]], unit: str) -> Drawing:
    columns = 1 if width < IS_WIDE or len(found) == 1 else 2
    gap, left, head, tall, foot = 30.0, 42.0, 44.0, 170.0, 44.0
    wide = (width - left - (columns - 1) * (gap + left)) / columns - 8
    levels = [point.level for points in found.values() for point in points]
    ends = [end for level in levels for end in (level.low, level.mean, level.high)]
    rows = -(-len(found) // columns)
    pen = Pen(width, rows * (head + tall + foot))
    for i, (buffer, points) in enumerate(found.items()):
        x = left + (i % columns) * (wide + gap + left)
        top = (i // columns) * (head + tall + foot) + head
        scale = Scale.around(ends, top + tall, top, marks=4)
        pen.words(x, top - 32, buffer, bold=True, room=wide)
        pen.note(x, top - 16, f"{unit} (not from 0)", side="left", room=wide)
        _curve(pen, points, scale, x, wide)
    return pen.figure


def _curve(pen: Pen, points: Sequence[CurvePoint], scale: Scale, x: float, wide: float) -> None:
    foot = scale.start
    pen.levels(scale, x, x + wide)
    across = _places_across(points, x, wide)
    heights = [scale.at(point.level.mean or 0.0) for point in points]
    n = sum(point.places != _ENDLESS for point in points)
    pen.line(across[:n], heights[:n], colour=BLUE, width=1.2)
    if 0 < n < len(across):
        pen.line(across[n - 1 :], heights[n - 1 :], colour=BLUE, width=1.2, dashes=(3, 3))
    last = -1e9
    for point, place, height in zip(points, across, heights, strict=True):
        pen.interval(scale, point.level, place, upright=True)
        pen.marks((place,), (height,), "o", 7, _NOW if point.is_now else _OPEN)
        if place - last > 18 or point.is_now:
            side: Side = "right" if point.places == _ENDLESS else "center"
            at = x + wide if side == "right" else place
            colour = INK if point.is_now else SOFT
            pen.words(at, foot + 12, point.places, side=side, size=SMALL, bold=point.is_now, colour=colour)
            last = place
    pen.line((x, x + wide), (foot, foot), colour=FAINT, width=0.8)
    pen.note(x + wide / 2, foot + 28, "places")


def _places_across(points: Sequence[CurvePoint], x: float, wide: float) -> list[float]:
    """Return where each point lies: numbers of places on a scale, endless ones at the right edge."""
    finite = [float(point.places) for point in points if point.places != _ENDLESS]
    edge = x + wide - 22
    if not finite:
        return [edge] * len(points)
    room = wide - (82 if len(finite) < len(points) else 12)
    scale = Scale(min(finite), max(max(finite), min(finite) + 1), x + 12, x + room)
    return [edge if one.places == _ENDLESS else scale.at(float(one.places)) for one in points]


class FrontierDot(NamedTuple):
    """One alternative.

    Attributes:
        label: Its name.
        cost: What it costs.
        makes: What it makes.
        on_line: Whether nothing that costs no more makes more.
        is_best, is_now: Whether it is the answer, and the line as it is.
    """

    label: str
    cost: float
    makes: Estimate
    on_line: bool
    is_best: bool
    is_now: bool

    @property
    def is_named(self) -> bool:
        """Whether its name stands beside it."""
        return self.is_best or self.is_now


def frontier(answer: Document, chart: Chart, numbers: PageTable) -> Figure | None:
    """Return the frontier of cost and output (Pareto); None without two alternatives.

    The table of the view says which alternative is the answer, which the line as it is, and than which
    nothing that costs no more makes more.
    """
    dots = []
    for row in answer.rows(chart.view):
        makes, cost = row[chart.value], row["cost"]
        assert isinstance(makes, Estimate) and isinstance(cost, int | float)
        if makes.mean is not None:
            which = (bool(row["on_frontier"]), bool(row["is_best"]), bool(row["is_now"]))
            dots.append(FrontierDot(chart.label.format_map(row), float(cost), makes, *which))
    if len(dots) < 2:
        return None
    head = next(column.heading for column in chart.view.columns if column.name == chart.value)
    return figure(
        chart.name, chart.view.title, chart.says, numbers, _PARETO,
        lambda width: _draw_frontier(width, dots, chart.unit, head),
    )  # fmt: skip


def _draw_frontier(width: int, dots: Sequence[FrontierDot], cost_unit: str, unit: str) -> Drawing:
    tall, top, right = 260.0, 26.0, width - 14.0
    line = [dot for dot in dots if dot.on_line]
    named = [dot for dot in dots if dot.is_named]
    ends = [end for dot in (*line, *named) for end in (dot.makes.low, dot.makes.high)]
    up = Scale.around([*ends, *(dot.makes.mean for dot in dots)], top + tall, top, rim=0.06, marks=6)
    across = Scale.around([dot.cost for dot in dots], _LEFT, right, marks=6 if width > IS_WIDE else 3)
    pen = Pen(width, top + tall + 46)
    pen.axis_left(up, _LEFT, right, f"{unit} (not from 0)")
    pen.axis_below(across, top + tall, top, cost_unit)
    at = {dot: (across.at(dot.cost), up.at(dot.makes.mean or 0.0)) for dot in dots}
    xs: list[float] = []
    ys: list[float] = []
    for dot in line:
        x, y = at[dot]
        xs += [x, x] if ys else [x]
        ys += [ys[-1], y] if ys else [y]
    pen.line(xs, ys, colour=BLUE, width=1.2)
    for dot in sorted(dots, key=lambda dot: (dot.is_best, dot.is_now, dot.on_line)):
        x, y = at[dot]
        if dot.on_line or dot.is_named:
            pen.interval(up, dot.makes, x, upright=True)
        paint = _BEST if dot.is_best else _NOW if dot.is_now else _OPEN if dot.on_line else _FAINT
        pen.marks((x,), (y,), "D" if dot.is_best else "o", 8 if dot.is_named else 6, paint)
    for dot in named:
        said = "now and best" if dot.is_best and dot.is_now else "now" if dot.is_now else dot.label
        x, y = at[dot]
        place = min(max(x + 9, _LEFT), right - room_for([said], SMALL, bold=True) - 4)
        pen.words(place, y + 13, said, size=SMALL, bold=True, room=right - _LEFT, on_white=True)
    return pen.figure


def averages(answer: Document, chart: Chart, numbers: PageTable) -> Figure:
    """Return Welch's moving averages of an answer, one small drawing a series.

    The table of the view holds a column for the mean of each series and one for its moving average; the table
    of the cuts says where each should be cut.
    """
    title, method = "From the first hour on", f"The mean over replications {SMOOTHED}; {_CUT}."
    return figure(
        chart.name, title, chart.says, numbers, method, lambda width: _draw_averages(width, answer, chart)
    )


def _numbers(cells: Sequence[Value]) -> tuple[float, ...]:
    return tuple(float(cell) for cell in cells if isinstance(cell, int | float))


def _draw_averages(width: int, answer: Document, chart: Chart) -> Drawing:
    right, foot = width - 10.0, 36.0
    series = answer.table(chart.view.table)
    cuts, hours = list(answer.table("cuts")), _numbers(series.column("start_h"))
    pitch = _HEAD + _TALL + foot
    pen = Pen(width, len(cuts) * pitch)
    across = Scale(0, max(hours) or 1.0, _LEFT, right, marks=8 if width > IS_WIDE else 4)
    xs = [across.at(hour) for hour in hours]
    for i, row in enumerate(cuts):
        top, name = i * pitch + _HEAD, str(row["series"])
        bottom = top + _TALL
        mean, smooth = (_numbers(series.column(column)) for column in (name, f"{name}_smoothed"))
        scale = Scale.around(mean, bottom, top, marks=3)
        pen.words(0, top - 14, f"{name}, {row['unit']}", size=SMALL, bold=True, room=width)
        pen.levels(scale, _LEFT, right)
        pen.line(xs, [scale.at(v) for v in mean], colour=SOFT, width=0.6)
        pen.line(xs[: len(smooth)], [scale.at(v) for v in smooth], colour=BLUE, width=2.2)
        if isinstance(cut := row["cut_h"], float):
            at = across.at(cut)
            pen.line((at, at), (top - 4, bottom), colour=INK, width=1.4, dashes=(4, 3))
        for value, text in across.ticks():
            pen.note(across.at(value), bottom + 12, text)
        if i == len(cuts) - 1:
            pen.note((_LEFT + right) / 2, bottom + 27, "hours of working time")
    return pen.figure


def plant(answer: Document, chart: Chart, numbers: PageTable) -> Figure:
    """Return run charts (Shewhart) of the plant's shifts, one small drawing a figure."""
    by_figure: dict[str, list[Row]] = {}
    for row in answer.rows(chart.view):
        by_figure.setdefault(str(row["figure"]), []).append(row)
    method = f"{RUN_CHART}, with the range of eight simulated shifts in ten as its band."
    return figure(
        chart.name, chart.view.title, chart.says, numbers, method,
        lambda width: _draw_plant(width, by_figure),
    )  # fmt: skip


def _draw_plant(width: int, by_figure: dict[str, list[Row]]) -> Drawing:
    right, pitch_down = width - 8.0, _HEAD + _TALL + 32.0
    pen = Pen(width, len(by_figure) * pitch_down)
    for i, (name, rows) in enumerate(by_figure.items()):
        top = i * pitch_down + _HEAD
        values, band = _numbers([row["plant"] for row in rows]), rows[0]["singles"]
        assert isinstance(band, Estimate) and band.low is not None and band.high is not None
        scale = Scale.around([*values, band.low, band.high], top + _TALL, top, rim=0.08, marks=4)
        pen.words(0, top - 14, f"{name} (not from 0)", size=SMALL, bold=True, room=width)
        upper, lower = scale.at(band.high), scale.at(band.low)
        pen.tint(_LEFT, upper, right - _LEFT, max(1.5, lower - upper), PALE)
        pen.levels(scale, _LEFT, right)
        pitch = (right - _LEFT) / len(values)
        for paint, wanted in ((_EMPTY, True), (_NOW, False)):
            kept = [k for k, v in enumerate(values) if (band.low <= v <= band.high) == wanted]
            if kept:
                xs = [_LEFT + (k + 0.5) * pitch for k in kept]
                pen.marks(xs, [scale.at(values[k]) for k in kept], "o", 5.5, paint)
        pen.note((_LEFT + right) / 2, top + _TALL + 14, "shifts of the plant, in order")
    return pen.figure
