"""Rows of dots with intervals: changes against a line at nothing, and choices against the plan."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.readable import in_words
from linesim.answers.values import Change
from linesim.answers.wording import interval_text, mean_text
from linesim.report.canvas import IS_WIDE, Pen, room_for, wrapped
from linesim.report.figure import Figure, figure
from linesim.report.scale import Scale
from linesim.report.style import BLUE, INK, RULE, SMALL, SOFT, VERMILLION, Paint
from linesim.report.table import PageTable, estimated, numeric, plain_number, table

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

    from linesim.answers.decision import CaseChoice, CaseDecision

_FOREST = (
    "A forest plot (S. Lewis and M. Clarke, Forest plots: trying to see the wood and the trees, BMJ 322 "
    "(2001) 1479-1480)."
)
_DOTS = "A dot chart with intervals (W. S. Cleveland, The Elements of Graphing Data, 1985)."
MOST_ROWS = 24
LEAST_ROWS = 2  #: A drawing of fewer changes says less than its numbers.
_LINE = 16  #: Height of a line of a label above its dot [px].
_PITCH = 18.0  #: Height of a mark [px].
_SURE, _OPEN = Paint(BLUE, BLUE), Paint("#ffffff", INK)
_SHAPES = "sD"  #: Marks of the ends of an input, where a row has both.


class ForestMark(NamedTuple):
    """One change.

    Attributes:
        change: What it does, with its interval.
        verdict: What the data say, in a word or two; empty where nobody says.
        what: Which of the changes of its row it is; empty where there is only one.
    """

    change: Change
    verdict: str = ""
    what: str = ""

    def text(self) -> str:
        """Return the change with signs and its interval, rounded to what that supports."""
        mean, bounds = mean_text(self.change), interval_text(self.change)
        if not bounds:
            return mean
        return f"{mean}, {bounds}" if self.change.low == self.change.high else f"{mean} ({bounds})"


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
        return max(abs(mark.change.mean or 0.0) for mark in self.marks)


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
        _FOREST,
        lambda width: _draw_forest(width, shown, unit),
    )


def _numbers(title: str, unit: str, rows: Sequence[ForestRow]) -> PageTable:
    return table(
        title,
        ["change", *numeric(unit, "interval", "replications"), "verdict"],
        [
            (
                f"{row.label}, {mark.what}" if mark.what else row.label,
                *estimated(mark.change), plain_number(mark.change.n), mark.verdict,
            )
            for row in rows
            for mark in row.marks
        ],
    )  # fmt: skip


def _draw_forest(width: int, rows: list[ForestRow], unit: str) -> Drawing:
    labels = [row.label for row in rows]
    texts = [[mark.text() for mark in row.marks] for row in rows]
    every = [text for found in texts for text in found]
    above = width < IS_WIDE or room_for(labels) > 0.38 * width
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
    changes = [mark.change for row in rows for mark in row.marks]
    ends = [0.0, *(end for one in changes for end in (one.low, one.high, one.mean))]
    scale = Scale.around(ends, left, right, rim=0.04, least=1.0, marks=5 if width > IS_WIDE else 4)
    pen = Pen(width, sum(heights) + 48)
    foot = sum(heights) + 8
    pen.axis_below(scale, foot, 2, unit)
    pen.line((scale.at(0), scale.at(0)), (2, foot), width=1.4)
    for i, row in enumerate(rows):
        top = sum(heights[:i])
        if above:
            for k, line in enumerate(lines[i]):
                pen.words(0, top + 11 + _LINE * k, line, on_white=True)
            top += _LINE * len(lines[i])
        else:
            middle = top + 4 + _PITCH * len(row.marks) / 2
            pen.words(left - 10, middle, row.label, side="right", room=left - 10)
        for k, (mark, text) in enumerate(zip(row.marks, texts[i], strict=True)):
            middle = top + 4 + _PITCH * (k + 0.5)
            pen.interval(scale, mark.change, middle)
            shape = _SHAPES[k] if len(row.marks) > 1 else "o"
            paint, ink = (_SURE, INK) if mark.change.sign else (_OPEN, SOFT)
            pen.marks((scale.at(mark.change.mean or 0.0),), (middle,), shape, 8, paint)
            if shared:
                at = top - _LINE * len(lines[i]) + 11
                pen.words(width, at, text, side="right", size=SMALL, colour=ink, on_white=True)
            else:
                pen.words(right + 8, middle, text, size=SMALL, colour=ink, room=width - right - 8)
    return pen.figure


MOST_CHOICES = 5  #: Besides the line as it is.
_NOW, _BEST = Paint(BLUE, BLUE), Paint(VERMILLION, INK)
_CHOICE, _TOP, _FOOT = 30.0, 20.0, 34.0  #: Heights of a choice and of what is above and below [px].


def choices_chart(decision: CaseDecision) -> Figure | None:
    """Return the figure; None where nothing was compared.

    A dot chart (Cleveland): the line as it is first, then the choices, the best first.
    """
    if not decision.choices:
        return None
    sign = -1 if decision.measure.more_is_better else 1
    others = sorted(
        decision.choices, key=lambda one: (one.name != decision.best, sign * (one.makes.mean or 0.0))
    )
    shown = [decision.now, *others[:MOST_CHOICES]]
    left_out = len(others) - MOST_CHOICES
    label = decision.measure.label
    more = f" The best {MOST_CHOICES} of {len(others)} choices." if left_out > 0 else ""
    lines = [(in_words(one.name), one) for one in shown]
    target = decision.target if decision.measure.measure == "jobs_per_shift" else None
    plan = f" The broken line is the plan, {target:g}." if target is not None else ""
    return figure(
        "choices",
        f"The choices: {label}",
        f"Dot: as it is; square: the best choice.{plan}{more}",
        table(
            f"The choices: {label}",
            ["choice", *numeric(label, "interval")],
            [(name, *estimated(one.makes)) for name, one in lines],
        ),
        _DOTS,
        lambda width: _draw_choices(width, lines, target, label),
    )


def _draw_choices(
    width: int, lines: list[tuple[str, CaseChoice]], target: float | None, label: str
) -> Drawing:
    read = [one.makes.scaled(100.0, "%") if one.makes.unit == "share" else one.makes for _, one in lines]
    ends = [target, *(end for one in read for end in (one.low, one.mean, one.high))]
    texts = [mean_text(one.makes) for _, one in lines]
    right = width - room_for(texts, SMALL) - 12
    scale = Scale.around(ends, 8, right, rim=0.08, least=1.0, marks=5 if width > IS_WIDE else 4)
    foot = _TOP + _CHOICE * len(lines) + 4
    pen = Pen(width, foot + _FOOT)
    pen.axis_below(scale, foot, _TOP - 4, f"{label} (the axis does not begin at 0)")
    pen.plan(scale, target, 12, foot)
    for k, ((name, _), makes) in enumerate(zip(lines, read, strict=True)):
        top = _TOP + _CHOICE * k
        middle = top + 21
        pen.words(0, top + 8, name, size=SMALL, room=right, on_white=True)
        pen.line((8, right), (middle, middle), colour=RULE, width=0.6)
        if makes.mean is None:
            continue
        pen.interval(scale, makes, middle)
        shape, paint = (("o", _NOW), ("s", _BEST))[k] if k < 2 else ("o", _OPEN)
        pen.marks((scale.at(makes.mean),), (middle,), shape, 8, paint)
        pen.words(right + 8, middle, texts[k], size=SMALL, bold=k == 1)
    return pen.figure
