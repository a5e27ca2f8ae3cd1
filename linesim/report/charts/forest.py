"""Changes with their intervals against a line at nothing: what surely helps or hurts, what can't be told."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.wording import decimals, number
from linesim.report.canvas import Pen, room_for, wrapped
from linesim.report.figure import Figure, figure
from linesim.report.scale import Scale
from linesim.report.style import BLUE, INK, SMALL, SOFT, Paint
from linesim.report.table import PageCell, numeric, plain_number, table

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "A forest plot (S. Lewis and M. Clarke, Forest plots: trying to see the wood and the trees, BMJ 322 "
    "(2001) 1479-1480)."
)
MOST_ROWS = 24
_LINE = 16  #: Height of a line of a label above its dot [px].
_SURE, _OPEN = Paint(BLUE, BLUE), Paint("#ffffff", INK)


class ForestRow(NamedTuple):
    """One change.

    Attributes:
        label: What changes.
        mean, low, high: What it does; bounds are None where there is no interval.
        verdict: What the data say, in a word or two.
        replications: Replications behind it.
    """

    label: str
    mean: float
    low: float | None
    high: float | None
    verdict: str
    replications: int

    @property
    def is_sure(self) -> bool:
        """Whether the interval leaves out nothing at all."""
        return self.low is not None and self.high is not None and (self.low > 0 or self.high < 0)

    @property
    def half(self) -> float | None:
        """Half the width of the interval."""
        return None if self.low is None or self.high is None else (self.high - self.low) / 2

    def text(self) -> str:
        """Return the change with signs and its interval, rounded to what that supports."""
        places = decimals(self.mean, self.half)
        if self.low is None or self.high is None:
            return _signed(self.mean, places)
        if self.low == self.high:
            return f"{_signed(self.mean, places)}, each time"
        return f"{_signed(self.mean, places)} ({_signed(self.low, places)} to {_signed(self.high, places)})"


def forest(name: str, title: str, says: str, unit: str, gaps: Sequence[ForestRow]) -> Figure | None:
    """Return the figure; None without rows.

    A forest plot (Lewis and Clarke): dots with intervals against a line at 0; filled where the sign is sure.
    """
    if not gaps:
        return None
    shown = list(gaps[:MOST_ROWS])
    left_out = len(gaps) - len(shown)
    more = f" Only the first {MOST_ROWS} are drawn, the table has all." if left_out else ""
    return figure(
        name,
        title,
        f"{says} Filled dots: the data say on which side of the line it is; rings: they can't tell.{more}",
        table(
            title,
            ["change", *numeric(unit, "interval", "replications"), "verdict"],
            [
                (
                    gap.label,
                    PageCell(_signed(gap.mean, decimals(gap.mean, gap.half)), gap.mean),
                    PageCell(_between(gap), gap.low),
                    plain_number(gap.replications),
                    gap.verdict,
                )
                for gap in gaps
            ],
        ),
        METHOD,
        lambda width: _draw(width, shown, unit),
    )


def _between(gap: ForestRow) -> str:
    if gap.low is None or gap.high is None:
        return ""
    if gap.low == gap.high:
        return "each time"
    places = decimals(gap.mean, gap.half)
    return f"{_signed(gap.low, places)} to {_signed(gap.high, places)}"


def _signed(value: float, places: int) -> str:
    text = number(value, places)
    return text if float(text) <= 0 else f"+{text}"


def _draw(width: int, gaps: list[ForestRow], unit: str) -> Drawing:
    labels, texts = [gap.label for gap in gaps], [gap.text() for gap in gaps]
    above = width < 500 or room_for(labels) > 0.38 * width
    # Above the dots, label and figures share a line where they fit, and the drawing has the whole width.
    shared = above and all(
        room_for([label]) + room_for([text], SMALL) + 14 <= width
        for label, text in zip(labels, texts, strict=True)
    )
    lines = [wrapped(label, width) if above else [label] for label in labels]
    heights = [(24.0 + _LINE * len(found)) if above else 24.0 for found in lines]
    left = 6.0 if above else room_for(labels) + 12
    right = width - (6.0 if shared else min(room_for(texts, SMALL) + 14, 0.5 * width))
    ends = [end for gap in gaps for end in (gap.low, gap.high, gap.mean) if end is not None]
    low, high = min(0.0, *ends), max(0.0, *ends)
    rim = 0.04 * (high - low) or 1.0
    scale = Scale(low - rim, high + rim, left, right, marks=5 if width > 500 else 4)
    pen = Pen(width, sum(heights) + 48)
    foot = sum(heights) + 8
    pen.axis_below(scale, foot, 2, unit)
    pen.line((scale.at(0), scale.at(0)), (2, foot), width=1.4)
    for i, (gap, text) in enumerate(zip(gaps, texts, strict=True)):
        top = sum(heights[:i])
        middle = top + (12 + _LINE * len(lines[i]) if above else 13)
        ink = INK if gap.is_sure else SOFT
        if above:
            for k, line in enumerate(lines[i]):
                pen.tint(0, top + 3 + _LINE * k, min(width, room_for([line]) + 6), _LINE, "#ffffff")
                pen.words(0, top + 11 + _LINE * k, line)
        else:
            pen.words(left - 10, middle, gap.label, side="right", room=left - 10)
        if gap.low is not None and gap.high is not None and gap.low < gap.high:
            pen.whisker(scale.at(gap.low), scale.at(gap.high), middle)
        pen.marks((scale.at(gap.mean),), (middle,), "o", 8, _SURE if gap.is_sure else _OPEN)
        if shared:
            room = room_for([text], SMALL)
            pen.tint(width - room - 4, top + 3, room + 4, _LINE, "#ffffff")
            pen.words(width, top + 11, text, side="right", size=SMALL, colour=ink)
        else:
            pen.words(right + 8, middle, text, size=SMALL, colour=ink, room=width - right - 8)
    return pen.figure
