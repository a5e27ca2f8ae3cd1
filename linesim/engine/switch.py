"""Working time begins and ends: for sections, crews and robots."""

from __future__ import annotations

from linesim.engine import work
from linesim.engine.line import Line
from linesim.engine.order import CALENDAR


def switch_calendar(line: Line, c: int) -> None:
    """Bring everything that follows calendar ``c`` on or off as it says now, and set its next change."""
    now, working_time = line.clock.now, line.calendars[c]
    is_on = working_time.on_at(now)
    plan = line.plan
    for section in line.sections:
        if plan.sections.calendar[section.index] == c:
            section.is_on = is_on
            section.wake()
            section.wake_inlets()
            line.touched_sections.add(section.index)
            line.dirty_stations.update(station.index for station in section.stations)
            line.to_dispatch.update(station.index for station in section.stations)
    for robot in line.robots:
        if plan.equipment.robot_calendar[robot.index] == c:
            robot.is_on = is_on
            line.dirty_robots.add(robot.index)
            line.to_dispatch.update(line.robot_stations[robot.index])
    for crew_index, follows in enumerate(plan.crews.calendar.tolist()):
        if follows == c and line.crews[crew_index].is_on != is_on:
            _switch_crew(line, crew_index, is_on)
    line.note("on" if is_on else "off", where=c)
    change = working_time.next_change(now)
    if change is not None:
        line.clock.at(change, (CALENDAR, c, 0, line.clock.serial(), None))


def _switch_crew(line: Line, c: int, is_on: bool) -> None:
    """Bring a crew on or off: its work pauses or goes on where it stopped."""
    crew = line.crews[c]
    crew.is_on = is_on
    line.dirty_crews.add(c)
    line.to_dispatch.update(line.crew_stations[c])
    for operator in crew.operators:
        bay_job = line.bay_people.get(operator.index)
        if operator.piece is not None:
            (work.unblock if is_on else work.block)(line, operator.piece)
        elif bay_job is not None:
            (bay_job.bay.unblock if is_on else bay_job.bay.block)(bay_job)
        if operator.helps is not None:
            line.to_dispatch.add(operator.helps.station.index)
