"""Failure modes: what they count, when they strike, and how they are repaired. And the holds of a section."""

from __future__ import annotations

from linesim.engine.lists import (
    add_last,
    draw,
    drop_item,
    look,
    look_at,
    new_item,
    note,
    timer,
    touch,
    touch_robot,
    touch_section,
    wake,
    wake_inlets,
    wake_section,
    without,
)
from linesim.engine.order import FAILURE, REPAIR
from linesim.engine.tables import State, rule
from linesim.ledger.ledger import E_FAIL
from linesim.plan.tables import CALENDAR, CONVEYOR, JOBS, NONE, ROBOT, RUNNING, STATION
from linesim.plan.tables import SUPPLY as BEFALLS_SUPPLY

# Holds: why a section stands, oldest first


@rule
def find_hold(s: State, x: int, station: int, cause: int) -> int:
    """Return the hold of a section by a station and cause, or NONE."""
    i = s.sections[x].first_hold
    while i != NONE:
        hold = s.items[i]
        if hold.place == station and hold.cause == cause:
            return i
        i = hold.next
    return NONE


@rule
def hold(s: State, x: int, station: int, cause: int) -> None:
    """Let the section stand for one more reason."""
    touch_section(s, x)
    if find_hold(s, x, station, cause) != NONE:
        return
    i = new_item(s, NONE, 0, 0, NONE)
    s.items[i].place = station
    s.items[i].cause = cause
    section = s.sections[x]
    section.first_hold = add_last(s.items, section.first_hold, i)


@rule
def drop_hold(s: State, x: int, station: int, cause: int) -> None:
    """Drop a reason to stand, if there is this one."""
    i = find_hold(s, x, station, cause)
    if i != NONE:
        section = s.sections[x]
        section.first_hold = without(s.items, section.first_hold, i)
        drop_item(s, i)


@rule
def release(s: State, x: int, station: int, cause: int) -> None:
    """Drop a reason to stand; the section may move."""
    drop_hold(s, x, station, cause)
    touch_section(s, x)
    wake_section(s, x)


# Counting down to a failure


@rule
def next_failure(s: State, m: int) -> None:
    """Draw how far off the next failure is."""
    mode = s.modes[m]
    if mode.per == JOBS:
        mode.left = mode.every_jobs
    else:
        mode.left = draw(s, mode.every, 0, mode.count)
    if mode.per == CALENDAR:
        count_down(s, m)


@rule
def count_down(s: State, m: int) -> None:
    """Let a mode count time.

    A timer set before, which is never too late, stays: `strike` sets it again for what is left by then.
    """
    mode, now = s.modes[m], s.w[0].now
    mode.runs = 1
    mode.since = now
    if mode.serial == 0 or mode.left == 0:
        mode.serial = timer(s, now + mode.left, FAILURE, m, 0, m)


@rule
def run_mode(s: State, m: int) -> None:
    """Go on counting: its owner runs (again)."""
    mode = s.modes[m]
    if mode.per == RUNNING and mode.failed == 0 and mode.runs == 0:
        count_down(s, m)


@rule
def rest_mode(s: State, m: int) -> None:
    """Stop counting: its owner stands."""
    mode = s.modes[m]
    if mode.per == RUNNING and mode.runs:
        mode.left -= s.w[0].now - mode.since
        mode.runs = 0


@rule
def switch_modes(s: State, first: int, n: int, runs: bool) -> None:
    """Let a row of modes count on, or rest."""
    for i in range(first, first + n):
        if runs:
            run_mode(s, s.ints[i])
        else:
            rest_mode(s, s.ints[i])


@rule
def begin_repair(s: State, m: int) -> None:
    """Let the repair begin; its people, if any, are there."""
    mode = s.modes[m]
    timer(s, s.w[0].now + draw(s, mode.lasts, 0, mode.count), REPAIR, m, 0, m)


# Failing


@rule
def fail(s: State, m: int) -> int:
    """Take the owner down and ask for the repair; return the piece of work that it keeps from going on."""
    mode, w = s.modes[m], s.w[0]
    broken = NONE
    mode.failed = 1
    mode.runs = 0
    note(s, E_FAIL, NONE, NONE, NONE, NONE, m, NONE, NONE)
    if mode.owner_kind == ROBOT:
        robot = s.robots[mode.owner]
        robot.down += 1
        touch_robot(s, mode.owner)
        for i in range(robot.stations, robot.stations + robot.n_stations):
            touch(s, s.ints[i])
        if robot.down == 1:
            broken = robot.piece
    elif mode.owner_kind == CONVEYOR:
        hold(s, mode.owner, NONE, mode.cause)
    elif mode.owner_kind == STATION:
        st = s.stations[mode.owner]
        st.first_disturbed = add_last(s.modes, st.first_disturbed, m)
        touch(s, mode.owner)
    else:
        s.gates[gate_of(s, mode.owner_kind)].shut += 1
        w.has_moved = 1
    if mode.crew == NONE:
        begin_repair(s, m)
    else:
        mode.waits = 1
        w.n_repairs += 1
    return broken


@rule
def gate_of(s: State, owner_kind: int) -> int:
    """Return the gate that a failure mode befalls."""
    if owner_kind == BEFALLS_SUPPLY:
        return s.w[0].supply
    return s.w[0].removal


@rule
def end_disturbance(s: State, k: int, m: int) -> None:
    """Take a mode off those that disturb station ``k``."""
    st = s.stations[k]
    st.first_disturbed = without(s.modes, st.first_disturbed, m)
    touch(s, k)
    look(s, k)


@rule
def is_still_down(s: State, x: int, cause: int) -> bool:
    """Return whether the conveyor of a section is failed for a cause."""
    section = s.sections[x]
    for i in range(section.modes, section.modes + section.n_modes):
        mode = s.modes[s.ints[i]]
        if mode.failed and mode.cause == cause:
            return True
    return False


@rule
def bring_back(s: State, m: int) -> int:
    """Bring back the owner of a mode that is repaired; return the piece of work that may go on."""
    mode = s.modes[m]
    next_failure(s, m)
    if mode.owner_kind == ROBOT:
        robot = s.robots[mode.owner]
        robot.down -= 1
        touch_robot(s, mode.owner)
        for i in range(robot.stations, robot.stations + robot.n_stations):
            touch(s, s.ints[i])
        if robot.down == 0:
            look_at(s, robot.stations, robot.n_stations)
            return robot.piece
    elif mode.owner_kind == CONVEYOR:
        if not is_still_down(s, mode.owner, mode.cause):
            release(s, mode.owner, NONE, mode.cause)
    elif mode.owner_kind == STATION:
        end_disturbance(s, mode.owner, m)
        if s.stations[mode.owner].n_running:
            run_mode(s, m)
    else:
        gate = s.gates[gate_of(s, mode.owner_kind)]
        gate.shut -= 1
        wake(s, gate.element)
        wake_inlets(s, gate.element)
    return NONE
