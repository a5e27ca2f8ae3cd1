"""What everything is at the end of an instant, written into the accounts."""

from __future__ import annotations

from linesim.engine.calendars import become
from linesim.engine.lists import EVERYBODY, note, touch_idle, touch_waiting
from linesim.engine.people import conveyor_clock, has_left, n_free_people
from linesim.engine.tables import COMING, READY, RUNNING, State, rule
from linesim.engine.visits import is_before, set_urgency
from linesim.engine.work import has_room, robots_ready, tools_free
from linesim.ledger.ledger import E_OPERATOR_IS, E_STATION_IS
from linesim.plan.tables import NONE
from linesim.plan.words import (
    BLOCKED,
    C_OFF,
    C_RUNNING,
    C_STOPPED,
    O_HELPING,
    O_OFF,
    O_REPAIRING,
    O_WAIT_EARLIER,
    O_WAIT_JOB,
    O_WAIT_STOP,
    O_WAIT_TOOL,
    O_WAIT_ZONE,
    O_WALKING,
    O_WORKING,
    R_DOWN,
    R_OFF,
    R_WAITING,
    R_WORKING,
    S_BLOCKED,
    S_DOWN,
    S_OFF,
    S_SPARE,
    S_STARVED,
    S_STOPPED,
    S_WAIT_CREW,
    S_WAIT_EARLIER,
    S_WAIT_ROBOT,
    S_WAIT_TOOL,
    S_WAIT_ZONE,
    S_WORKING,
    STARVED,
    STATION_STATES,
    STOP_CAUSES,
)

N_MORE_STATES = len(STATION_STATES) - len(STOP_CAUSES)  #: from a disturbance's cause to its state

# What a station waits for


@rule
def any_robot_down(s: State, p: int) -> bool:
    """Return whether a robot that a piece needs or has is down."""
    piece = s.pieces[p]
    for i in range(piece.robots, piece.robots + piece.n_robots):
        if s.robots[s.ints[i]].down:
            return True
    return False


@rule
def lacks(s: State, p: int) -> int:
    """Return what a piece, which is not in progress, waits for."""
    piece = s.pieces[p]
    if piece.state != READY:
        if any_robot_down(s, p):
            return S_DOWN
        return S_WAIT_CREW
    disturbed = s.stations[s.visits[piece.visit].station].first_disturbed
    if disturbed != NONE:
        return s.modes[disturbed].cause + N_MORE_STATES
    if any_robot_down(s, p):
        return S_DOWN
    if piece.people > n_free_people(s, p):
        return S_WAIT_CREW
    if not robots_ready(s, p):
        return S_WAIT_ROBOT
    if not tools_free(s, p):
        return S_WAIT_TOOL
    if piece.zone != NONE and not has_room(s, p):
        return S_WAIT_ZONE
    return S_WAIT_CREW


@rule
def why_waiting(s: State, k: int) -> int:
    """Return the state of a station with open work of which none is in progress.

    The work looked at is what would be served first.
    """
    best = NONE
    clock = conveyor_clock(s, s.stations[k].section)
    v = s.stations[k].first_visit
    while v != NONE:
        p = s.visits[v].first_piece
        while p != NONE:
            set_urgency(s, p, clock)
            if best == NONE or is_before(s, p, best):
                best = p
            p = s.pieces[p].next
        v = s.visits[v].next
    if best == NONE:
        return S_WAIT_EARLIER
    return lacks(s, best)


@rule
def held_state(s: State, x: int) -> int:
    """Return the state of a station that is ready while the section stands; what began the stop says."""
    hold = s.items[s.sections[x].first_hold]
    if hold.cause == BLOCKED:
        return S_BLOCKED
    if hold.cause == STARVED:
        return S_STARVED
    if hold.place == NONE:
        return S_DOWN
    return S_STOPPED


@rule
def station_state(s: State, k: int) -> int:
    """Return what a station is, as in `STATION_STATES` and the disturbance words behind them."""
    st = s.stations[k]
    if st.n_running:
        return S_WORKING
    return idle_station_state(s, k)


@rule
def idle_station_state(s: State, k: int) -> int:
    """Return what a station is while nothing is in progress."""
    st = s.stations[k]
    section = s.sections[st.section]
    if section.is_on == 0:
        return S_OFF
    if st.first_visit != NONE:
        return why_waiting(s, k)
    if section.first_hold != NONE:
        return held_state(s, st.section)
    if section.is_paced:
        if st.job == NONE:
            return S_STARVED
        return S_SPARE
    if st.n_jobs:
        return S_BLOCKED
    return S_STARVED


# What people wait for


@rule
def may_do(s: State, p: int, c: int) -> bool:
    """Return whether a crew may do a piece."""
    piece = s.pieces[p]
    for i in range(piece.crews, piece.crews + piece.n_crews):
        if s.ints[i] == c:
            return True
    return False


@rule
def idle_reason(s: State, k: int, c: int) -> int:
    """Return what keeps an idle operator of a crew from working at a station, as in `OPERATOR_STATES`."""
    st = s.stations[k]
    reason = O_WAIT_JOB
    p = st.first_waiting
    while p != NONE:
        if may_do(s, p, c):
            lack = lacks(s, p)
            if lack in (S_WAIT_TOOL, S_WAIT_ROBOT, S_DOWN):
                return O_WAIT_TOOL
            if lack == S_WAIT_ZONE:
                reason = O_WAIT_ZONE
        p = s.pieces[p].next_waiting
    if reason == O_WAIT_ZONE:
        return reason
    v = st.first_visit
    while v != NONE:
        if s.visits[v].left:
            return O_WAIT_EARLIER
        v = s.visits[v].next
    section = s.sections[st.section]
    if section.is_on and section.first_hold != NONE:
        return O_WAIT_STOP
    return O_WAIT_JOB


@rule
def idle_state(s: State, c: int) -> int:
    """Return what an idle operator of a crew is waiting for.

    Where its stations differ, the first that holds of: a tool, room in a zone, earlier work, a line stop.
    """
    crew = s.crews[c]
    if crew.is_on == 0:
        return O_OFF
    least = O_OFF
    for i in range(crew.stations, crew.stations + crew.n_stations):
        reason = idle_reason(s, s.ints[i], c)
        if reason != O_WAIT_JOB and reason < least:
            least = reason
    if least == O_OFF:
        return O_WAIT_JOB
    return least


@rule
def busy_state(s: State, o: int) -> int:
    """Return the state of an operator who is not idle."""
    operator = s.operators[o]
    if has_left(s, o):
        return O_OFF
    if operator.mode != NONE:
        return O_REPAIRING
    rests = O_OFF
    if s.crews[operator.crew].is_on:
        rests = O_WAIT_JOB
    if operator.piece != NONE:
        state = s.pieces[operator.piece].state
        if state == RUNNING:
            if operator.helps == NONE:
                return O_WORKING
            return O_HELPING
        if state == COMING:
            return O_WALKING
        if s.crews[operator.crew].is_on:
            return O_WAIT_TOOL
        return O_OFF
    if operator.is_coming:
        return O_WALKING
    if operator.helps == NONE and s.jobs[operator.bay_job].bay_runs:
        return O_WORKING
    return rests


# Writing


@rule
def write_station(s: State, k: int) -> None:
    """Book what a station is; what its idle people wait for may have changed with it."""
    st = s.stations[k]
    st.is_changed = 0
    state = station_state(s, k)
    if st.state != state:
        become(s, st, state)
        note(s, E_STATION_IS, NONE, NONE, k, NONE, state, NONE, NONE)
    for i in range(st.crews, st.crews + st.n_crews):
        if s.crews[s.ints[i]].n_free:
            touch_idle(s, s.ints[i])


@rule
def write_person(s: State, o: int, waits_for: int) -> None:
    """Book what a person is; ``waits_for`` is what the idle of the crew do."""
    operator = s.operators[o]
    operator.is_changed = 0
    state = waits_for
    if operator.is_free == 0:
        state = busy_state(s, o)
    if operator.state != state:
        become(s, operator, state)
        note(s, E_OPERATOR_IS, NONE, NONE, NONE, NONE, state, o, NONE)


@rule
def write_crew(s: State, c: int) -> None:
    """Book what the people of a crew are; in order of number where somebody reads it."""
    crew = s.crews[c]
    everybody = crew.is_changed == EVERYBODY or s.w[0].watch == 1
    crew.is_changed = 0
    if crew.n_free:
        waits_for = idle_state(s, c)
        everybody = everybody or waits_for != crew.waits_for
        crew.waits_for = waits_for
    o = crew.first_changed
    crew.first_changed = NONE
    if everybody:
        for one in range(crew.first, crew.first + crew.people):
            write_person(s, one, crew.waits_for)
        return
    while o != NONE:
        write_person(s, o, crew.waits_for)
        o = s.operators[o].next_changed


@rule
def robot_state(s: State, r: int) -> int:
    """Return what a robot is now, as an index of `ROBOT_STATES`."""
    robot = s.robots[r]
    if robot.down:
        return R_DOWN
    if robot.piece != NONE:
        if s.pieces[robot.piece].state == RUNNING:
            return R_WORKING
        return R_WAITING
    if robot.is_on:
        return R_WAITING
    return R_OFF


@rule
def section_state(s: State, x: int) -> int:
    """Return what a section is now, as an index of `SECTION_STATES`."""
    section = s.sections[x]
    if section.is_on == 0:
        return C_OFF
    if section.first_hold != NONE:
        return C_STOPPED
    return C_RUNNING


@rule
def touch_short(s: State) -> None:
    """Note the stations where work waits for people of crews that have more or fewer idle than before."""
    c = s.w[0].changed_crew
    while c != NONE:
        crew = s.crews[c]
        if crew.n_free != crew.n_noted:
            crew.n_noted = crew.n_free
            touch_waiting(s, crew.stations, crew.n_stations)
        c = crew.next_changed


@rule
def write_stations(s: State) -> None:
    """Book the stations that this instant has touched; in order of number where somebody reads it."""
    w = s.w[0]
    if w.watch:
        if w.changed_station != NONE:
            for k in range(w.n_stations):
                if s.stations[k].is_changed:
                    write_station(s, k)
    else:
        k = w.changed_station
        while k != NONE:
            write_station(s, k)
            k = s.stations[k].next_changed
    w.changed_station = NONE


@rule
def write_people(s: State) -> None:
    """Book the people that this instant has touched; in order of number where somebody reads it."""
    w = s.w[0]
    if w.watch:
        if w.changed_crew != NONE:
            for c in range(w.n_crews):
                if s.crews[c].is_changed:
                    write_crew(s, c)
    else:
        c = w.changed_crew
        while c != NONE:
            write_crew(s, c)
            c = s.crews[c].next_changed
    w.changed_crew = NONE


@rule
def write_robots(s: State) -> None:
    """Book the robots that this instant has touched."""
    w = s.w[0]
    r = w.changed_robot
    w.changed_robot = NONE
    while r != NONE:
        robot = s.robots[r]
        robot.is_changed = 0
        state = robot_state(s, r)
        if state != robot.state:
            become(s, robot, state)
        r = robot.next_changed
