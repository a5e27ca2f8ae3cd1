"""Where the minutes of a shift go: one row a station or crew, one column a state, one common scale."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.wording import number
from linesim.report.canvas import Pen, room_for
from linesim.report.style import RULE, SMALL, SOFT, Paint
from linesim.report.table import PageTable, estimated, numeric, table
from linesim.runs.rows import Row

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "A table whose cells are bars: R. Rao and S. K. Card, The table lens (1994), after J. Bertin's matrices "
    "(1967). All bars have one scale and each column its own zero line, so that lengths compare down and "
    "across."
)
MOST_ON_A_PHONE = 4  #: Columns that have room side by side there.
PHONE = SMALL  #: Height of the letters there [px].
_PITCH = (19, 21)  #: Height of a row [px] on a phone and elsewhere.
_LEAST_SHOWN = 0.05  #: Minutes below this are a dot.


class StateMinutes(NamedTuple):
    """A column.

    Attributes:
        head: Its heading.
        paint: How its bars are filled.
    """

    head: str
    paint: Paint


class MinuteRow(NamedTuple):
    """A row.

    Attributes:
        name: Station or crew.
        group: Section it belongs to; a heading where it changes, empty for none.
        minutes: A figure a column, as a share of the shift; None where the row has none.
    """

    name: str
    group: str
    minutes: tuple[Row | None, ...]


def used(
    states: Sequence[StateMinutes], lines: Sequence[MinuteRow]
) -> tuple[tuple[StateMinutes, ...], tuple[MinuteRow, ...]]:
    """Return states and lines without the columns in which nobody spends time."""
    kept = [i for i in range(len(states)) if any(_mean(line.minutes[i]) for line in lines)]
    return (
        tuple(states[i] for i in kept),
        tuple(line._replace(minutes=tuple(line.minutes[i] for i in kept)) for line in lines),
    )


def minutes_table(
    caption: str, first: str, states: Sequence[StateMinutes], lines: Sequence[MinuteRow], shift_min: float
) -> PageTable:
    """Return the numbers behind the drawing, with their intervals."""
    heads = [name for state in states for name in (f"{state.head}, min", "interval")]
    rows = []
    for line in lines:
        cells = [
            cell
            for row in line.minutes
            for cell in (estimated(row.estimate.scaled(shift_min, "min")) if row is not None else ("–", ""))
        ]
        rows.append((line.name, *cells))
    return table(caption, [first, *numeric(*heads)], rows)


def draw_minutes(
    width: int, states: Sequence[StateMinutes], lines: Sequence[MinuteRow], shift_min: float
) -> Drawing:
    """Draw a matrix of bars in minutes per shift; on a phone with many columns in several blocks."""
    is_wide = width > 500
    parts = 1 if is_wide else -(-len(states) // MOST_ON_A_PHONE)
    each = -(-len(states) // parts)
    blocks = [
        (states[i : i + each], [line._replace(minutes=line.minutes[i : i + each]) for line in lines])
        for i in range(0, len(states), each)
    ]
    heights = [_height(is_wide, *block) for block in blocks]
    pen = Pen(width, sum(heights))
    for k, block in enumerate(blocks):
        _block(pen, sum(heights[:k]), is_wide, *block, shift_min)
    return pen.figure


def _head(is_wide: bool, states: Sequence[StateMinutes]) -> float:
    if is_wide:
        return 30.0
    return 0.82 * room_for([state.head for state in states], PHONE, bold=True) + 14


def _headed(lines: Sequence[MinuteRow]) -> list[int]:
    """Return the rows before which a heading stands."""
    return [i for i, line in enumerate(lines) if line.group and (i == 0 or lines[i - 1].group != line.group)]


def _height(is_wide: bool, states: Sequence[StateMinutes], lines: Sequence[MinuteRow]) -> float:
    pitch = _PITCH[is_wide]
    return _head(is_wide, states) + len(lines) * pitch + len(_headed(lines)) * (pitch + 3) + 6


def _block(
    pen: Pen,
    top: float,
    is_wide: bool,
    states: Sequence[StateMinutes],
    lines: Sequence[MinuteRow],
    shift_min: float,
) -> None:
    size, pitch, head = (SMALL if is_wide else PHONE), _PITCH[is_wide], _head(is_wide, states)
    headed, foot = _headed(lines), top + _height(is_wide, states, lines) - 4
    left = min(room_for([line.name for line in lines], size), 0.24 * pen.width) + 8
    most = [
        max((_mean(line.minutes[i]) for line in lines), default=0.0) * shift_min for i in range(len(states))
    ]
    gap = room_for(["000"], size) + (14 if is_wide else 8)
    names = [room_for([state.head], size, bold=True) + 10 if is_wide else 0.0 for state in states]
    turned = 0.0 if is_wide else max(0.0, 0.58 * room_for([states[-1].head], PHONE, bold=True) - 8)
    per_min = _largest(most, gap, names, pen.width - left - turned)
    widths = [max(long * per_min + gap, least) for long, least in zip(most, names, strict=True)]
    starts = [left + sum(widths[:i]) for i in range(len(states))]
    for state, x in zip(states, starts, strict=True):
        if is_wide:
            pen.words(x, top + 12, state.head, size=size, bold=True)
        else:
            pen.words(x + 9, top + head - 6, state.head, size=PHONE, bold=True, turned=55)
        pen.line((x, x), (top + head - 6, foot), colour=RULE, width=0.8)
    y = top + head
    for i, line in enumerate(lines):
        if i in headed:
            pen.words(0, y + 12, line.group, size=size, colour=SOFT, room=pen.width)
            y += pitch + 3
        middle = y + pitch / 2
        pen.about = line.name if line.group else ""
        pen.words(left - 6, middle, line.name, side="right", size=size, room=left - 6)
        for row, state, x in zip(line.minutes, states, starts, strict=True):
            if row is None or row.mean is None:
                continue
            long = row.mean * shift_min
            if long < _LEAST_SHOWN:
                pen.words(x + 3, middle, "·", size=size, colour=SOFT)
                continue
            pen.box(x, middle - pitch * 0.3, max(1.0, long * per_min), pitch * 0.6, state.paint)
            said = number(long, 1 if long < 9.95 else 0)
            pen.words(x + long * per_min + 3, middle, said, size=size)
        pen.about = ""
        y += pitch


def _largest(most: Sequence[float], gap: float, heads: Sequence[float], room: float) -> float:
    """Return the px per minute with which the columns just fit into ``room``, found by halving."""
    low, high = 0.0, room / max(*most, 1e-9)
    for _ in range(40):
        middle = (low + high) / 2
        taken = sum(max(long * middle + gap, head) for long, head in zip(most, heads, strict=True))
        low, high = (middle, high) if taken <= room else (low, middle)
    return low


def _mean(row: Row | None) -> float:
    return 0.0 if row is None or row.mean is None else row.mean
