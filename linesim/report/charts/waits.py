"""Where it waits: the minutes of every station by state, in line order."""

from __future__ import annotations

from linesim.answers.wording import number
from linesim.report.charts.minutes import METHOD, MinuteRow, StateMinutes, draw_minutes, minutes_table, used
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.style import TIMES
from linesim.runs.result import Result, together
from linesim.runs.rows import Row

STATES = ("working", "waiting", "down", "spare", "stopped", "blocked", "starved")


def lines(told: Told) -> tuple[MinuteRow, ...]:
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
    """Return the figure.

    A matrix of bars on one scale (table lens), not a bar of stacked states: each state can be
    followed along the line.
    """
    states, found = used([StateMinutes(word, TIMES[word]) for word in STATES], lines(told))
    shift = number(told.shift_min, 0)
    return figure(
        "waits",
        f"Where a shift's {shift} minutes go, station by station in line order",
        "One row a station, one column a state; all bars have the same scale, and a dot is less than 3 "
        "seconds. Spare is time in hand before the mark; stopped is held by another station; blocked has no "
        "room ahead; starved has no job. Intervals are in the table.",
        minutes_table("Minutes per shift by station and state", "station", states, found, told.shift_min),
        METHOD,
        lambda width: draw_minutes(width, states, found, told.shift_min),
    )
