"""Where the minutes of a shift go: one row a station or crew, one column a state, one common scale."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.wording import number
from linesim.report.canvas import IS_WIDE, Pen, room_for
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.style import BLUE, RULE, SMALL, SOFT, TIMES, Paint
from linesim.report.table import PageCell, estimated, numeric, table
from linesim.runs.result import Result, together
from linesim.runs.rows import NO_INTERVAL, Row

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

_LENS = (
    "A table whose cells are bars: R. Rao and S. K. Card, The table lens (1994), after J. Bertin's matrices "
    "(1967). All bars have one scale and each column its own zero line, so that lengths compare down and "
    "across."
)
MOST_ON_A_PHONE = 4  #: Columns that have room side by side there.
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


def minutes_figure(
    name: str,
    title: str,
    says: str,
    caption: str,
    states: Sequence[StateMinutes],
    lines: Sequence[MinuteRow],
    shift_min: float,
) -> Figure:
    """Return the figure of rows and the states in which anybody spends time.

    A matrix of bars on one scale (table lens), not a bar of stacked states: each state can be followed down
    the rows.

    Args:
        name: Name in the page.
        title: What it shows; ``{}`` is the length of a shift in minutes.
        says: How to read it.
        caption: Of the table of the numbers; its first word names the rows.
        states: The columns.
        lines: The rows.
        shift_min: Working time of a shift [min].
    """
    kept = [i for i in range(len(states)) if any(_mean(line.minutes[i]) for line in lines)]
    shown = [states[i] for i in kept]
    rows = [line._replace(minutes=tuple(line.minutes[i] for i in kept)) for line in lines]
    heads = [head for state in shown for head in (f"{state.head}, min", "interval")]
    cells = [[row.name, *(cell for one in row.minutes for cell in _cells(one, shift_min))] for row in rows]
    first, _, what = caption.partition(": ")
    return figure(
        name,
        title.format(number(shift_min, 0)),
        says,
        table(what, [first, *numeric(*heads)], cells),
        _LENS,
        lambda width: draw_minutes(width, shown, rows, shift_min),
    )


def _cells(row: Row | None, shift_min: float) -> tuple[PageCell | str, ...]:
    return ("–", "") if row is None else estimated(row.estimate.scaled(shift_min, "min"))


def draw_minutes(
    width: int, states: Sequence[StateMinutes], lines: Sequence[MinuteRow], shift_min: float
) -> Drawing:
    """Draw a matrix of bars in minutes per shift; on a phone with many columns in several blocks."""
    is_wide = width > IS_WIDE
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
    return 0.82 * room_for([state.head for state in states], SMALL, bold=True) + 14


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
    size, pitch, head = SMALL, _PITCH[is_wide], _head(is_wide, states)
    headed, foot = _headed(lines), top + _height(is_wide, states, lines) - 4
    left = min(room_for([line.name for line in lines], size), 0.24 * pen.width) + 8
    most = [
        max((_mean(line.minutes[i]) for line in lines), default=0.0) * shift_min for i in range(len(states))
    ]
    gap = room_for(["000"], size) + (14 if is_wide else 8)
    names = [room_for([state.head], size, bold=True) + 10 if is_wide else 0.0 for state in states]
    turned = 0.0 if is_wide else max(0.0, 0.58 * room_for([states[-1].head], SMALL, bold=True) - 8)
    per_min = _largest(most, gap, names, pen.width - left - turned)
    widths = [max(long * per_min + gap, least) for long, least in zip(most, names, strict=True)]
    starts = [left + sum(widths[:i]) for i in range(len(states))]
    for state, x in zip(states, starts, strict=True):
        if is_wide:
            pen.words(x, top + 12, state.head, size=size, bold=True)
        else:
            pen.words(x + 9, top + head - 6, state.head, size=SMALL, bold=True, turned=55)
        pen.line((x, x), (top + head - 6, foot), colour=RULE, width=0.8)
    y = top + head
    for i, line in enumerate(lines):
        if i in headed:
            pen.note(0, y + 12, line.group, side="left", room=pen.width)
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


PLANNED = "planned work"
#: Columns of a crew after the planned one: the states of an operator in each, and its paint.
CREW_STATES: Mapping[str, tuple[tuple[str, ...], Paint]] = MappingProxyType(
    {
        "works": (("working",), TIMES["working"]),
        "walks": (("walking",), TIMES["walking"]),
        "helps": (("helping",), TIMES["helping"]),
        "repairs": (("repairing",), TIMES["helping"]),
        "no job": (("waiting: job",), TIMES["starved"]),
        "line stop": (("waiting: line stop",), TIMES["stopped"]),
        "tool, room": (("waiting: tool", "waiting: zone"), TIMES["waiting"]),
        "earlier work": (("waiting: earlier work",), TIMES["waiting"]),
    }
)


def crew_lines(told: Told) -> tuple[MinuteRow, ...]:
    """Return a line a crew with people: planned work as a share of takt, then the shares of its duty."""
    found = []
    for load in told.loads.crews:
        if not load.count:
            continue
        share = load.share_of_takt
        planned = Row("planned", load.name, "", "share", share, None, None, None, None, 0, NO_INTERVAL)
        really = [
            together(told.result, "operator_state", load.name, frozenset(states).__contains__)
            for states, _ in CREW_STATES.values()
        ]
        found.append(
            MinuteRow(f"{load.name} ({load.count})", "", (planned if load.work_s else None, *really))
        )
    return tuple(found)


def crew_time(told: Told) -> Figure | None:
    """Return what people are planned to do and what their shift looks like; None without people."""
    found = crew_lines(told)
    if not found:
        return None
    states = [StateMinutes(PLANNED, Paint("#ffffff", BLUE))]
    states += [StateMinutes(head, paint) for head, (_, paint) in CREW_STATES.items()]
    return minutes_figure(
        "crew-time",
        "One person's {} minutes, crew by crew",
        "One row a crew, with its number of people; all bars have the same scale. The first column is the "
        "work that is planned if every takt is kept; the others are the minutes of the shift as it went, and "
        "add up to it. No job, line stop, room, tool and earlier work are waits whose cause lies elsewhere, "
        "not idleness.",
        "crew: Minutes per shift of one person",
        states,
        found,
        told.shift_min,
    )


STATES = ("working", "waiting", "down", "spare", "stopped", "blocked", "starved")  #: Of a station.


def station_lines(told: Told) -> tuple[MinuteRow, ...]:
    """Return a line a station, in line order, with a share of its working hours for each state."""
    return tuple(
        MinuteRow(station, f"{section}, {pacing}", tuple(state_of(told.result, station, s) for s in STATES))
        for section, pacing, stations in told.stations
        for station in stations
    )


def state_of(result: Result, station: str, state: str) -> Row:
    """Return the share of time in which a station is in a state; all waits are one."""
    if state == "waiting":
        return together(result, "station_state", station, lambda cause: cause.startswith("waiting: "))
    return result.row("station_state", station, state)


def waits(told: Told) -> Figure:
    """Return where the minutes of every station go, by state, in line order."""
    return minutes_figure(
        "waits",
        "Where a shift's {} minutes go, station by station in line order",
        "One row a station, one column a state; all bars have the same scale, and a dot is less than 3 "
        "seconds. Spare is time in hand before the mark; stopped is held by another station; blocked has no "
        "room ahead; starved has no job. Intervals are in the table.",
        "station: Minutes per shift by station and state",
        [StateMinutes(word, TIMES[word]) for word in STATES],
        station_lines(told),
        told.shift_min,
    )
