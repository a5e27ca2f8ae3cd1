"""People and equipment as tables."""

from __future__ import annotations

import math
from itertools import accumulate

from linesim.plan.arrays import Ragged, float_array, int_array
from linesim.plan.index import Index
from linesim.plan.tables import LEARNT, Crews, Equipment
from linesim.scenario.resources import Learning


def crews(index: Index) -> Crews:
    """Return the crews; operators are numbered through all of them."""
    tables = list(index.scenario.crew.values())
    people = [crew.people for crew in tables]
    return Crews(
        people=int_array(people),
        first=int_array(list(accumulate(people, initial=0))[:-1]),
        walk=int_array(crew.walk.ticks for crew in tables),
        walk_speed=float_array(crew.walk_speed or 0.0 for crew in tables),
        calendar=int_array(index.calendar_of(crew.calendar) for crew in tables),
        floater=int_array(crew.floater for crew in tables),
        response=int_array(crew.response.ticks for crew in tables),
        absence=float_array(crew.absence for crew in tables),
        new=int_array(min(crew.people, crew.learning.new) if crew.learning else 0 for crew in tables),
        curve=Ragged.of([curve_of(crew.learning) for crew in tables]),
    )


def curve_of(learning: Learning | None) -> list[int]:
    """Return what a task takes new people, the first time of the run and on, in `LEARNT`-ths of its time.

    The power curve of T. P. Wright, Journal of the Aeronautical Sciences 3 (1936) 122-128, as far as it lies
    above once.
    """
    if learning is None:
        return []
    power = math.log2(learning.rate)
    times = range(learning.done + 1, learning.repetitions)
    return [round(LEARNT * learning.first * n**power) for n in times]


def operator_names(index: Index) -> tuple[str, ...]:
    """Return a name for each operator: the crew's, with a number."""
    return tuple(f"{name} {i + 1}" for name, crew in index.scenario.crew.items() for i in range(crew.people))


def equipment(index: Index) -> Equipment:
    """Return robots, tools and zones."""
    scenario = index.scenario
    return Equipment(
        robot_calendar=int_array(index.calendar_of(robot.calendar) for robot in scenario.robot.values()),
        tool_count=int_array(tool.count for tool in scenario.tool.values()),
        zone_people=int_array(zone.people for zone in scenario.zone.values()),
    )
