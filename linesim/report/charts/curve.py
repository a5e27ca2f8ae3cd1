"""What the line makes with more and fewer places at a buffer."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.wording import decimals, number
from linesim.report.canvas import Pen, Side
from linesim.report.figure import Figure, figure
from linesim.report.scale import Scale
from linesim.report.style import BLUE, FAINT, INK, RULE, SMALL, SOFT, Paint
from linesim.report.table import PageCell, numeric, table

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

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
        mean, low, high: What the line makes.
    """

    places: str
    mean: float
    low: float | None
    high: float | None


class Curve(NamedTuple):
    """One buffer.

    Attributes:
        buffer: Its name.
        now: Its places at present, as text; empty if that is not known.
        points: Levels by places.
    """

    buffer: str
    now: str
    points: tuple[CurvePoint, ...]


def curves(unit: str, found: Sequence[Curve]) -> Figure | None:
    """Return the figure; None without a curve.

    Buffer curves: dots with intervals over places (Cleveland), as small drawings on one scale.
    """
    found = tuple(curve for curve in found if len(curve.points) > 1)
    if not found:
        return None
    return figure(
        "curves",
        "What the line makes with so many places at each buffer",
        "One drawing a buffer, the others as they are. The black dot is the line as it is; endless means "
        "that the buffer is never full. The interval of a dot is for it alone: what a place adds is known "
        "much more sharply, from the differences below.",
        table(
            f"{unit} by places",
            ["buffer", "places", *numeric(unit, "interval"), "at present"],
            [
                (
                    curve.buffer,
                    point.places,
                    PageCell(number(point.mean, _places(point)), point.mean),
                    PageCell(_between(point), point.low),
                    "as it is" if point.places == curve.now else "",
                )
                for curve in found
                for point in curve.points
            ],
        ),
        METHOD,
        lambda width: _draw(width, found, unit),
    )


def _places(point: CurvePoint) -> int:
    half = None if point.low is None or point.high is None else (point.high - point.low) / 2
    return decimals(point.mean, half)


def _between(point: CurvePoint) -> str:
    if point.low is None or point.high is None:
        return ""
    if point.low == point.high:
        return "each time"
    places = _places(point)
    return f"{number(point.low, places)} to {number(point.high, places)}"


def _draw(width: int, found: tuple[Curve, ...], unit: str) -> Drawing:
    columns = 1 if width < 500 or len(found) == 1 else 2
    gap, left, head, tall, foot = 30.0, 42.0, 44.0, 170.0, 44.0
    wide = (width - left - (columns - 1) * (gap + left)) / columns - 8
    ends = [e for curve in found for p in curve.points for e in (p.low, p.high, p.mean) if e is not None]
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
    heights = [scale.at(point.mean) for point in curve.points]
    n = sum(point.places != _ENDLESS for point in curve.points)
    pen.line(across[:n], heights[:n], colour=BLUE, width=1.2)
    if 0 < n < len(across):
        pen.line(across[n - 1 :], heights[n - 1 :], colour=BLUE, width=1.2, dashes=(3, 3))
    last = -1e9
    for point, place, height in zip(curve.points, across, heights, strict=True):
        is_now = point.places == curve.now
        if point.low is not None and point.high is not None and point.low < point.high:
            pen.whisker(scale.at(point.high), scale.at(point.low), place, upright=True)
        pen.marks((place,), (height,), "o", 7, _NOW if is_now else _DOT)
        if place - last > 18 or is_now:
            side: Side = "right" if point.places == _ENDLESS else "center"
            colour, at = (INK if is_now else SOFT), (x + wide if side == "right" else place)
            pen.words(at, top + tall + 12, point.places, side=side, size=SMALL, bold=is_now, colour=colour)
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
