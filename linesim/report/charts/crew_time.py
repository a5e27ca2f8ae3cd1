"""What people are planned to do, and what their shift really looks like."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from linesim.answers.wording import number
from linesim.report.charts.minutes import METHOD, MinuteRow, StateMinutes, draw_minutes, minutes_table, used
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.style import BLUE, TIMES, Paint
from linesim.runs.result import together
from linesim.runs.rows import NO_INTERVAL, Row

PLANNED = "planned work"
#: Columns after the planned one, and the states of an operator in each.
STATES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "works": ("working",),
        "walks": ("walking",),
        "helps": ("helping",),
        "repairs": ("repairing",),
        "no job": ("waiting: job",),
        "line stop": ("waiting: line stop",),
        "tool, room": ("waiting: tool", "waiting: zone"),
        "earlier work": ("waiting: earlier work",),
    }
)
_PAINTS: Mapping[str, Paint] = MappingProxyType(
    {
        PLANNED: Paint("#ffffff", BLUE),
        "works": TIMES["working"],
        "walks": TIMES["walking"],
        "helps": TIMES["helping"],
        "repairs": TIMES["helping"],
        "no job": TIMES["starved"],
        "line stop": TIMES["stopped"],
        "tool, room": TIMES["waiting"],
        "earlier work": TIMES["waiting"],
    }
)


def lines(told: Told) -> tuple[MinuteRow, ...]:
    """Return a line a crew with people: planned work as a share of takt, then the shares of its duty."""
    found = []
    for load in told.loads.crews:
        if not load.count:
            continue
        share = load.share_of_takt
        planned = Row("planned", load.name, "", "share", share, None, None, None, None, 0, NO_INTERVAL)
        really = [
            together(told.result, "operator_state", load.name, frozenset(states).__contains__)
            for states in STATES.values()
        ]
        found.append(
            MinuteRow(f"{load.name} ({load.count})", "", (planned if load.work_s else None, *really))
        )
    return tuple(found)


def crew_time(told: Told) -> Figure | None:
    """Return the figure; None for a line without people.

    A matrix of bars on one scale (table lens): planned load first, then the shift as it went.
    """
    every = lines(told)
    if not every:
        return None
    states, found = used([StateMinutes(head, _PAINTS[head]) for head in (PLANNED, *STATES)], every)
    shift = number(told.shift_min, 0)
    return figure(
        "crew-time",
        f"One person's {shift} minutes, crew by crew",
        "One row a crew, with its number of people; all bars have the same scale. The first column is the "
        "work that is planned if every takt is kept; the others are the minutes of the shift as it went, and "
        "add up to it. No job, line stop, room, tool and earlier work are waits whose cause lies elsewhere, "
        "not idleness.",
        minutes_table("Minutes per shift of one person", "crew", states, found, told.shift_min),
        METHOD,
        lambda width: draw_minutes(width, states, found, told.shift_min),
    )
