"""The plant's own shifts beside the range that simulated ones fall in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from linesim.report.canvas import Pen
from linesim.report.figure import Figure, figure
from linesim.report.scale import Scale
from linesim.report.style import INK, PALE, RULE, SMALL, SOFT, Paint
from linesim.report.table import numeric, plain_number, table

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "A run chart (W. A. Shewhart, Economic Control of Quality of Manufactured Product, 1931), with the range "
    "of "
    "eight simulated shifts in ten as its band."
)
_INSIDE, _OUTSIDE = Paint("#ffffff", INK), Paint(INK, INK)


class Recorded(NamedTuple):
    """One figure that the plant has recorded.

    Attributes:
        figure: What it is.
        shifts: What each shift is called.
        values: What was recorded in each.
        band: 10th and 90th percentile of single simulated shifts.
    """

    figure: str
    shifts: tuple[str, ...]
    values: tuple[float, ...]
    band: tuple[float, float]

    @property
    def inside(self) -> int:
        """How many shifts of the plant lie in the band."""
        return sum(self.band[0] <= value <= self.band[1] for value in self.values)


def plant(found: Sequence[Recorded]) -> Figure | None:
    """Return the figure; None without records.

    Run charts (Shewhart), one small drawing a figure.
    """
    if not found:
        return None
    counts = "; ".join(f"{one.figure}: {one.inside} of {len(one.values)}" for one in found)
    return figure(
        "plant",
        "The plant's shifts beside simulated ones",
        "One dot a shift of the plant, in the order of the records; eight simulated shifts in ten lie in the "
        "grey "
        f"band. Filled dots lie outside it. Inside are {counts}.",
        table(
            "Shifts of the plant",
            ["figure", "shift", *numeric("plant", "one simulated shift in ten below", "one in ten above")],
            [
                (one.figure, shift, plain_number(value), plain_number(one.band[0]), plain_number(one.band[1]))
                for one in found
                for shift, value in zip(one.shifts, one.values, strict=True)
            ],
        ),
        METHOD,
        lambda width: _draw(width, found),
    )


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
