"""Changes with their intervals against a line at nothing: what surely helps or hurts, what can't be told."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.values import Change
from linesim.answers.wording import interval_text, mean_text
from linesim.report.canvas import Pen, room_for, wrapped
from linesim.report.figure import Figure, figure
from linesim.report.scale import Scale
from linesim.report.style import BLUE, INK, SMALL, SOFT, Paint
from linesim.report.table import PageCell, PageTable, numeric, plain_number, table

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "A forest plot (S. Lewis and M. Clarke, Forest plots: trying to see the wood and the trees, BMJ 322 "
    "(2001) 1479-1480)."
)
MOST_ROWS = 24
LEAST_ROWS = 2  #: A drawing of fewer changes says less than its numbers.
_LINE = 16  #: Height of a line of a label above its dot [px].
_PITCH = 18.0  #: Height of a mark [px].
_SURE, _OPEN = Paint(BLUE, BLUE), Paint("#ffffff", INK)
_SHAPES = "sD"  #: Marks of the ends of an input, where a row has both.


class ForestMark(NamedTuple):
    """One change.

    Attributes:
        mean, low, high: What it does; bounds are None where there is no interval.
        verdict: What the data say, in a word or two.
        replications: Replications behind it.
        what: Which of the changes of its row it is; empty where there is only one.
        currency: Of an amount of money.
    """

    mean: float
    low: float | None
    high: float | None
    verdict: str
    replications: int
    what: str = ""
    currency: str = ""

    @property
    def is_sure(self) -> bool:
        """Whether the interval leaves out nothing at all."""
        return self.low is not None and self.high is not None and (self.low > 0 or self.high < 0)

    @property
    def _change(self) -> Change:
        return Change(self.mean, self.low, self.high, currency=self.currency)

    @property
    def mean_text(self) -> str:
        """The change with its sign."""
        return mean_text(self._change)

    @property
    def interval_text(self) -> str:
        """Its interval with signs; empty without one."""
        return interval_text(self._change)

    def text(self) -> str:
        """Return the change with signs and its interval, rounded to what that supports."""
        bounds = self.interval_text
        if not bounds:
            return self.mean_text
        return f"{self.mean_text}, {bounds}" if self.low == self.high else f"{self.mean_text} ({bounds})"


class ForestRow(NamedTuple):
    """What is changed, and what that does: one mark, or one for each end of a range.

    Attributes:
        label: What changes.
        marks: What it does.
    """

    label: str
    marks: tuple[ForestMark, ...]

    @property
    def size(self) -> float:
        """How much it does at most, either way."""
        return max(abs(mark.mean) for mark in self.marks)


def forest(name: str, title: str, says: str, unit: str, rows: Sequence[ForestRow]) -> Figure | None:
    """Return the figure; None with fewer than two rows.

    A forest plot (Lewis and Clarke): dots with intervals against a line at 0; filled where the sign is sure.
    """
    if len(rows) < LEAST_ROWS:
        return None
    shown = list(rows[:MOST_ROWS])
    left_out = len(rows) - len(shown)
    more = f" Only the first {MOST_ROWS} are drawn, the table has all." if left_out else ""
    ends = [mark.what for mark in rows[0].marks if mark.what]
    pairs = f" Squares: {ends[0]}; diamonds: {ends[-1]}." if len(ends) > 1 else ""
    marks = "marks" if pairs else "dots"
    return figure(
        name,
        title,
        f"{says}{pairs} Filled {marks}: the data say on which side of the line it is; open ones: they can't "
        f"tell.{more}",
        _numbers(title, unit, rows),
        METHOD,
        lambda width: _draw(width, shown, unit),
    )


def _numbers(title: str, unit: str, rows: Sequence[ForestRow]) -> PageTable:
    return table(
        title,
        ["change", *numeric(unit, "interval", "replications"), "verdict"],
        [
            (
                f"{row.label}, {mark.what}" if mark.what else row.label,
                PageCell(mark.mean_text, mark.mean), PageCell(mark.interval_text, mark.low),
                plain_number(mark.replications), mark.verdict,
            )
            for row in rows
            for mark in row.marks
        ],
    )  # fmt: skip


def _draw(width: int, rows: list[ForestRow], unit: str) -> Drawing:
    labels = [row.label for row in rows]
    texts = [[mark.text() for mark in row.marks] for row in rows]
    every = [text for found in texts for text in found]
    above = width < 500 or room_for(labels) > 0.38 * width
    # Above the dots, label and figures share a line where they fit, and the drawing has the whole width.
    shared = above and all(
        len(found) == 1 and room_for([label]) + room_for(found, SMALL) + 14 <= width
        for label, found in zip(labels, texts, strict=True)
    )
    lines = [wrapped(label, width) if above else [label] for label in labels]
    heights = [
        6.0 + _PITCH * len(row.marks) + (_LINE * len(found) if above else 0.0)
        for row, found in zip(rows, lines, strict=True)
    ]
    left = 6.0 if above else room_for(labels) + 12
    right = width - (6.0 if shared else min(room_for(every, SMALL) + 14, 0.5 * width))
    ends = [end for row in rows for m in row.marks for end in (m.low, m.high, m.mean) if end is not None]
    low, high = min(0.0, *ends), max(0.0, *ends)
    rim = 0.04 * (high - low) or 1.0
    scale = Scale(low - rim, high + rim, left, right, marks=5 if width > 500 else 4)
    pen = Pen(width, sum(heights) + 48)
    foot = sum(heights) + 8
    pen.axis_below(scale, foot, 2, unit)
    pen.line((scale.at(0), scale.at(0)), (2, foot), width=1.4)
    for i, row in enumerate(rows):
        top = sum(heights[:i])
        if above:
            for k, line in enumerate(lines[i]):
                pen.tint(0, top + 3 + _LINE * k, min(width, room_for([line]) + 6), _LINE, "#ffffff")
                pen.words(0, top + 11 + _LINE * k, line)
            top += _LINE * len(lines[i])
        else:
            middle = top + 4 + _PITCH * len(row.marks) / 2
            pen.words(left - 10, middle, row.label, side="right", room=left - 10)
        for k, (mark, text) in enumerate(zip(row.marks, texts[i], strict=True)):
            middle = top + 4 + _PITCH * (k + 0.5)
            if mark.low is not None and mark.high is not None and mark.low < mark.high:
                pen.whisker(scale.at(mark.low), scale.at(mark.high), middle)
            shape = _SHAPES[k] if len(row.marks) > 1 else "o"
            pen.marks((scale.at(mark.mean),), (middle,), shape, 8, _SURE if mark.is_sure else _OPEN)
            ink = INK if mark.is_sure else SOFT
            if shared:
                room, at = room_for([text], SMALL), top - _LINE * len(lines[i]) + 3
                pen.tint(width - room - 4, at, room + 4, _LINE, "#ffffff")
                pen.words(width, at + 8, text, side="right", size=SMALL, colour=ink)
            else:
                pen.words(right + 8, middle, text, size=SMALL, colour=ink, room=width - right - 8)
    return pen.figure
