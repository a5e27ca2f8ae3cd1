"""What everything is at the end of an instant, written into the books."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linesim.engine.crews import Crew, Operator, idle_state
from linesim.engine.jobs import COMING, RUNNING
from linesim.plan.tables import NONE
from linesim.plan.words import (
    C_OFF,
    C_RUNNING,
    C_STOPPED,
    O_HELPING,
    O_OFF,
    O_REPAIRING,
    O_WAIT_JOB,
    O_WAIT_TOOL,
    O_WALKING,
    O_WORKING,
    R_DOWN,
    R_OFF,
    R_WAITING,
    R_WORKING,
    S_WORKING,
)

if TYPE_CHECKING:
    from linesim.engine.line import Line
    from linesim.engine.robots import Robot
    from linesim.engine.sections import Section


def write(line: Line) -> None:
    """Book the states of everything that this instant has touched."""
    now, books = line.clock.now, line.books
    if line.dirty_stations:
        stations, account = line.stations, books.stations
        for s in sorted(line.dirty_stations) if line.events is not None else line.dirty_stations:
            station = stations[s]
            state = S_WORKING if station.n_running else station.state()
            if account.state[s] != state:
                account.switch(s, state, now)
                if line.events is not None:
                    line.note("station is", station=s, where=state)
            for crew in station.crews:
                if crew.free:
                    line.dirty_crews.add(crew.index)
        line.dirty_stations.clear()
    if line.dirty_crews:
        for c in sorted(line.dirty_crews) if line.events is not None else line.dirty_crews:
            write_crew(line, line.crews[c])
        line.dirty_crews.clear()
    if line.dirty_robots:
        for r in line.dirty_robots:
            books.robots.switch(r, robot_state(line.robots[r]), now)
        line.dirty_robots.clear()
    for carrier in line.carriers:
        books.carrier_short.switch(carrier.index, int(carrier.boards.is_kept_empty_by(carrier.index)), now)
    for bay in line.bays:
        books.bay_holding.switch(bay.index, int(bay.is_holding()), now)


def write_crew(line: Line, crew: Crew) -> None:
    """Book the states of the people of ``crew``."""
    now, account, idle = line.clock.now, line.books.operators, crew.free
    waits_for = idle_state(crew) if idle else NONE
    for operator in crew.operators:
        piece = operator.piece
        if piece is not None and piece.state == RUNNING:
            state = O_WORKING if operator.helps is None else O_HELPING
        elif operator in idle:
            state = waits_for
        else:
            state = busy_state(line, operator)
        if account.state[operator.index] != state:
            account.switch(operator.index, state, now)
            if line.events is not None:
                line.note("operator is", who=(operator.index,), where=state)


def busy_state(line: Line, operator: Operator) -> int:
    """Return the state of an operator who is not idle, at something that does not run at the moment."""
    if operator.mode != NONE:
        return O_REPAIRING
    piece = operator.piece
    if piece is not None:
        if piece.state == COMING:
            return O_WALKING
        return O_WAIT_TOOL if operator.crew.is_on else O_OFF
    if operator.is_coming:
        return O_WALKING
    if operator.helps is not None:
        return O_WAIT_JOB if operator.crew.is_on else O_OFF
    if line.bay_people[operator.index].runs:
        return O_WORKING
    return O_WAIT_JOB if operator.crew.is_on else O_OFF


def robot_state(robot: Robot) -> int:
    """Return what ``robot`` is now, as an index of `ROBOT_STATES`."""
    if robot.down:
        return R_DOWN
    if robot.piece is not None:
        return R_WORKING if robot.piece.state == RUNNING else R_WAITING
    return R_WAITING if robot.is_on else R_OFF


def section_state(section: Section) -> int:
    """Return what ``section`` is now, as an index of `SECTION_STATES`."""
    if not section.is_on:
        return C_OFF
    return C_STOPPED if section.holds else C_RUNNING
