"""People and equipment as tables."""

from __future__ import annotations

from itertools import accumulate

from linesim.plan.arrays import float_array, int_array
from linesim.plan.index import Index
from linesim.plan.tables import Crews, Equipment


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
    )


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
