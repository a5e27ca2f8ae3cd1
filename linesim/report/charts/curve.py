"""What the line makes with more and fewer places at a buffer."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.values import Estimate
from linesim.report.canvas import Pen, Side
from linesim.report.figure import Figure, figure
from linesim.report.scale import Scale
from linesim.report.style import BLUE, FAINT, INK, RULE, SMALL, SOFT, Paint

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

    from linesim.answers.document import Chart, Document
    from linesim.report.table import PageTable

METHOD = (
    "Dots with intervals, the line between them only a guide (W. S. Cleveland, The Elements of Graphing "
    "Data, 1985). Such a curve rises and flattens: W. J. Hopp and M. L. Spearman, Factory Physics."
)
_ENDLESS = "endless"
_DOT, _NOW = Paint("#ffffff", BLUE), Paint(INK, INK)


class CurvePoint(NamedTuple):
    """One point.

    Attributes:
        places: Places of the buffer, as text: a number, or ``endless``.
        is_now: Whether that is the line as it is.
        level: What the line makes.
    """

    places: str
    is_now: bool
    level: Estimate

    @property
    def ends(self) -> list[float]:
        """Mean and ends of the interval, as far as they are known."""
        return [end for end in (self.level.low, self.level.mean, self.level.high) if end is not None]


class Curve(NamedTuple):
    """One buffer.

    Attributes:
        buffer: Its name.
        points: Levels by places.
    """

    buffer: str
    points: tuple[CurvePoint, ...]


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
    found = tuple(Curve(name, tuple(mine)) for name, mine in points.items() if len(mine) > 1)
    if not found:
        return None
    title = chart.view.title[0].upper() + chart.view.title[1:]
    return figure(
        chart.name, title, chart.says, numbers, METHOD, lambda width: _draw(width, found, chart.unit)
    )


def _draw(width: int, found: tuple[Curve, ...], unit: str) -> Drawing:
    columns = 1 if width < 500 or len(found) == 1 else 2
    gap, left, head, tall, foot = 30.0, 42.0, 44.0, 170.0, 44.0
    wide = (width - left - (columns - 1) * (gap + left)) / columns - 8
    ends = [end for curve in found for point in curve.points for end in point.ends]
    rim = 0.05 * (max(ends) - min(ends)) or 0.5
    rows = -(-len(found) // columns)
    pen = Pen(width, rows * (head + tall + foot))
    for i, curve in enumerate(found):
        x = left + (i % columns) * (wide + gap + left)
        top = (i // columns) * (head + tall + foot) + head
        scale = Scale(min(ends) - rim, max(ends) + rim, top + tall, top, marks=4)
        _one(pen, curve, scale, x, wide, top, tall, unit)
    return pen.figure


def _one(
    pen: Pen, curve: Curve, scale: Scale, x: float, wide: float, top: float, tall: float, unit: str
) -> None:
    pen.words(x, top - 32, curve.buffer, bold=True, room=wide)
    pen.words(x, top - 16, f"{unit} (not from 0)", size=SMALL, colour=SOFT, room=wide)
    for value, text in scale.ticks():
        height = scale.at(value)
        pen.line((x, x + wide), (height, height), colour=RULE, width=0.8)
        pen.words(x - 6, height, text, side="right", size=SMALL, colour=SOFT)
    across = _places_across(curve, x, wide)
    heights = [scale.at(point.level.mean or 0.0) for point in curve.points]
    n = sum(point.places != _ENDLESS for point in curve.points)
    pen.line(across[:n], heights[:n], colour=BLUE, width=1.2)
    if 0 < n < len(across):
        pen.line(across[n - 1 :], heights[n - 1 :], colour=BLUE, width=1.2, dashes=(3, 3))
    last = -1e9
    for point, place, height in zip(curve.points, across, heights, strict=True):
        low, high = min(point.ends), max(point.ends)
        if low < high:
            pen.whisker(scale.at(high), scale.at(low), place, upright=True)
        pen.marks((place,), (height,), "o", 7, _NOW if point.is_now else _DOT)
        if place - last > 18 or point.is_now:
            side: Side = "right" if point.places == _ENDLESS else "center"
            colour, at = (INK if point.is_now else SOFT), (x + wide if side == "right" else place)
            pen.words(
                at, top + tall + 12, point.places, side=side, size=SMALL, bold=point.is_now, colour=colour
            )
            last = place
    pen.line((x, x + wide), (top + tall, top + tall), colour=FAINT, width=0.8)
    pen.words(x + wide / 2, top + tall + 28, "places", side="center", size=SMALL, colour=SOFT)


def _places_across(curve: Curve, x: float, wide: float) -> list[float]:
    """Return where each point lies: numbers of places on a scale, endless ones at the right edge."""
    finite = [float(point.places) for point in curve.points if point.places != _ENDLESS]
    if not finite:
        return [x + wide - 22] * len(curve.points)
    room = wide - (82 if len(finite) < len(curve.points) else 12)
    scale = Scale(min(finite), max(max(finite), min(finite) + 1), x + 12, x + room)
    return [
        x + wide - 22 if point.places == _ENDLESS else scale.at(float(point.places)) for point in curve.points
    ]
