"""People and equipment as tables, and what they cost in a shift."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import accumulate

from linesim.plan.index import Index
from linesim.plan.tables import LEARNT, Crews, Equipment, Prices, Ragged, float_array, int_array
from linesim.plan.working_time import spans_of
from linesim.scenario.models import Scenario
from linesim.scenario.people import Learning
from linesim.scenario.run import WEEK_MIN, Calendar


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


def prices(scenario: Scenario) -> Prices | None:
    """Return what things are worth; None if the scenario puts a price on nothing."""
    cost = scenario.cost
    paid = list(_equipment(scenario))
    found = Prices(
        currency=cost.currency or "money",
        margin=cost.margin_per_job,
        stop_minute=cost.stop_minute,
        people=None if cost.operator_per_shift is None else _people(scenario, cost.operator_per_shift),
        equipment=sum(paid) if paid else None,
    )
    priced = (found.margin, found.stop_minute, found.people, found.equipment)
    return None if all(price is None for price in priced) else found


def _people(scenario: Scenario, operator: float) -> float:
    each = costs_of_one(scenario, operator)
    return sum(crew.people * each[name] for name, crew in scenario.crew.items())


def costs_of_one(scenario: Scenario, operator: float) -> dict[str, float]:
    """Return what one person of each crew costs in an average shift of the line, by the crew's own calendar.

    One who works one shift where the line works two costs half of a shift in each of them.

    Args:
        scenario: The line.
        operator: Cost of a shift without premiums; 1 gives paid people.
    """
    own = _calendar(scenario, None)
    found = {}
    for name, crew in scenario.crew.items():
        calendar = _calendar(scenario, crew.calendar)
        turns = _shifts_a_week(scenario, calendar) / _shifts_a_week(scenario, own)
        found[name] = operator * turns * (1 + _premium(scenario, calendar))
    return found


def _calendar(scenario: Scenario, name: str | None) -> Calendar | None:
    name = name or scenario.run.calendar
    return None if name is None else scenario.calendar[name]


def shifts_a_week(scenario: Scenario) -> float:
    """Return how many shifts a week has by the run's calendar."""
    return _shifts_a_week(scenario, _calendar(scenario, None))


def _shifts_a_week(scenario: Scenario, calendar: Calendar | None) -> float:
    if calendar is None:
        return 60 * WEEK_MIN / scenario.run.shift.seconds
    return len(calendar.shifts) * len(calendar.days)


def _premium(scenario: Scenario, calendar: Calendar | None) -> float:
    """Return what is paid on top in the shifts of a calendar, breaks included, as a share of their pay."""
    shifts = [(0, WEEK_MIN)] if calendar is None else spans_of(calendar.shifts, calendar.days)
    extra = sum(
        premium.share * max(0, min(end, last + week) - max(begin, first + week))
        for premium in scenario.cost.premium.values()
        for first, last in spans_of((premium.hours,), premium.days)
        for week in (-WEEK_MIN, 0, WEEK_MIN)
        for begin, end in shifts
    )
    return extra / sum(end - begin for begin, end in shifts)


def _equipment(scenario: Scenario) -> Iterator[float]:
    """Yield what each robot, tool and buffer that has a price costs in a shift."""
    cost = scenario.cost
    counted = (
        [(name, 1, cost.robot_per_shift) for name in scenario.robot],
        [(name, tool.count, cost.tool_per_shift) for name, tool in scenario.tool.items()],
        [(name, buffer.capacity, cost.buffer_place_per_shift) for name, buffer in scenario.buffer.items()],
    )
    for kind in counted:
        for name, count, usual in kind:
            each = cost.equipment.get(name, usual)
            if each is not None:
                yield count * each
