"""One instant: what ends, ends; what can begin, begins, until nothing changes; then the accounts.

The order is written down in `linesim.engine.order`.
"""

from __future__ import annotations

from linesim.engine.bays import bay_of, block_in_bay, end_in_bay, start_bay_work, unblock_in_bay
from linesim.engine.calendars import record, switch_hours
from linesim.engine.calls import answer_calls, help_arrives
from linesim.engine.conveyor import reach_next, regulate_sections
from linesim.engine.flow import move
from linesim.engine.lists import (
    look,
    look_at,
    note,
    timer,
    touch,
    touch_crew,
    touch_robot,
    touch_section,
    touch_stations,
    touch_waiting,
    wake,
    wake_inlets,
    wake_section,
)
from linesim.engine.modes import begin_repair, bring_back, fail
from linesim.engine.offers import is_kept_empty, outlet_of
from linesim.engine.order import (
    BAY,
    CALENDAR,
    CARRIER,
    CONVEYOR,
    FAILURE,
    GATE,
    HELP,
    REPAIR,
    ROSTER,
    TASK,
    TRAVEL,
    WALK,
)
from linesim.engine.people import conveyor_clock, draw_roster, give_back, might_find_people, take_first
from linesim.engine.states import (
    touch_short,
    write_people,
    write_robots,
    write_stations,
)
from linesim.engine.tables import ENDLESS, State, rule
from linesim.engine.traffic import carrier_back, open_gate
from linesim.engine.visits import is_before, set_urgency
from linesim.engine.work import arrive, block, end, try_start, unblock
from linesim.ledger.ledger import E_OFF, E_ON, E_REPAIRED
from linesim.plan.tables import NONE

# What ends


@rule
def strike(s: State, m: int, serial: int) -> None:
    """Let a mode fail, if its timer still counts; one that rested since is not so far yet."""
    mode = s.modes[m]
    if serial != mode.serial:
        return
    mode.serial = 0
    if mode.runs == 0:
        return
    at = mode.since + mode.left
    if at > s.w[0].now:
        mode.serial = timer(s, at, FAILURE, m, 0, m)
        return
    p = fail(s, m)
    if p != NONE:
        block(s, p)


@rule
def repaired(s: State, m: int) -> None:
    """Bring the owner of a mode back, and let its people go."""
    mode = s.modes[m]
    mode.failed = 0
    mode.count += 1
    note(s, E_REPAIRED, NONE, NONE, NONE, NONE, m, NONE, NONE)
    o = mode.first_repairer
    mode.first_repairer = NONE
    while o != NONE:
        operator = s.operators[o]
        following = operator.next
        operator.mode = NONE
        give_back(s, o)
        o = following
    p = bring_back(s, m)
    if p != NONE:
        unblock(s, p)


@rule
def switch_crew(s: State, c: int, is_on: int) -> None:
    """Bring a crew on or off: its work pauses or goes on where it stopped."""
    crew = s.crews[c]
    crew.is_on = is_on
    touch_crew(s, c)
    touch_waiting(s, crew.stations, crew.n_stations)
    look_at(s, crew.stations, crew.n_stations)
    for o in range(crew.first, crew.first + crew.people):
        operator = s.operators[o]
        if operator.piece != NONE:
            if is_on:
                unblock(s, operator.piece)
            else:
                block(s, operator.piece)
        elif operator.bay_job != NONE:
            if is_on:
                unblock_in_bay(s, bay_of(s, operator.bay_job), operator.bay_job)
            else:
                block_in_bay(s, operator.bay_job)
        if operator.helps != NONE:
            touch(s, s.visits[operator.helps].station)
            look(s, s.visits[operator.helps].station)


@rule
def follow_calendar(s: State, c: int) -> None:
    """Bring everything that follows a calendar on or off as it says now, and set its next change."""
    w, calendar = s.w[0], s.calendars[c]
    for x in range(w.n_sections):
        section = s.sections[x]
        if section.calendar == c:
            section.is_on = calendar.is_on
            wake_section(s, x)
            wake_inlets(s, section.entrance)
            touch_section(s, x)
            touch_stations(s, x)
            look_at(s, section.stations, section.n_stations)
    for r in range(w.n_robots):
        robot = s.robots[r]
        if robot.calendar == c:
            robot.is_on = calendar.is_on
            touch_robot(s, r)
            touch_waiting(s, robot.stations, robot.n_stations)
            look_at(s, robot.stations, robot.n_stations)
    for k in range(w.n_crews):
        if s.crews[k].calendar == c and s.crews[k].is_on != calendar.is_on:
            switch_crew(s, k, calendar.is_on)
    if calendar.is_on:
        note(s, E_ON, NONE, NONE, NONE, NONE, c, NONE, NONE)
    else:
        note(s, E_OFF, NONE, NONE, NONE, NONE, c, NONE, NONE)
    if calendar.n_changes:
        at = calendar.turn * calendar.period + s.ints[calendar.changes + calendar.place]
        timer(s, at, CALENDAR, c, 0, c)


@rule
def switch_calendar(s: State, c: int) -> None:
    """Let working time begin or end by a calendar."""
    calendar = s.calendars[c]
    calendar.is_on = 1 - calendar.is_on
    switch_hours(s, c)
    calendar.place += 1
    if calendar.place == calendar.n_changes:
        calendar.place = 0
        calendar.turn += 1
    follow_calendar(s, c)


@rule
def ends(s: State, rank: int, first: int, serial: int, what: int) -> None:
    """Let one thing end whose timer is due."""
    if rank == TASK:
        end(s, what, serial)
    elif rank == CONVEYOR:
        reach_next(s, what, serial)
    elif rank == WALK:
        arrive(s, what, serial)
    elif rank == TRAVEL:
        wake(s, s.buffers[what].element)
    elif rank == REPAIR:
        repaired(s, what)
    elif rank == HELP:
        help_arrives(s, what, serial)
    elif rank == BAY:
        end_in_bay(s, first, what, serial)
    elif rank == CARRIER:
        carrier_back(s, what)
    elif rank == GATE:
        open_gate(s, what)
    elif rank == ROSTER:
        draw_roster(s, what)
    elif rank == CALENDAR:
        switch_calendar(s, what)
    elif rank == FAILURE:
        strike(s, what, serial)


# What begins


@rule
def move_jobs(s: State) -> None:
    """Move what was woken, the furthest down the line first."""
    w = s.w[0]
    while w.woken != NONE:
        e = w.woken
        el = s.elements[e]
        w.woken = el.next_woken
        el.is_woken = 0
        move(s, e)


@rule
def try_repairs(s: State) -> None:
    """Begin the repairs whose people are free, by failure mode."""
    w = s.w[0]
    for m in range(w.n_modes):
        mode = s.modes[m]
        if mode.waits == 0:
            continue
        o = take_first(s, mode.crews, 1, mode.people)
        if o == NONE:
            continue
        mode.first_repairer = o
        while o != NONE:
            operator = s.operators[o]
            operator.mode = m
            operator.last_job = 0
            o = operator.next
        mode.waits = 0
        w.n_repairs -= 1
        begin_repair(s, m)


@rule
def queue_up(s: State, first: int, last: int, p: int) -> int:
    """Put a piece in its place in the queue that begins with ``first``; return who is first now.

    ``last`` is who was put there last: pieces come nearly in order, so the place is seldom far behind it.
    """
    piece = s.pieces[p]
    at = last
    if last == NONE or is_before(s, p, last):
        if first == NONE or is_before(s, p, first):
            piece.next_in_queue = first
            return p
        at = first
    while s.pieces[at].next_in_queue != NONE and not is_before(s, p, s.pieces[at].next_in_queue):
        at = s.pieces[at].next_in_queue
    piece.next_in_queue = s.pieces[at].next_in_queue
    s.pieces[at].next_in_queue = p
    return first


@rule
def start_work(s: State) -> None:
    """Start the ready tasks of the stations to look at, the most urgent first."""
    w = s.w[0]
    k = w.look
    w.look = NONE
    first = last = NONE
    while k != NONE:
        st = s.stations[k]
        st.is_looked = 0
        p = st.first_waiting
        if p != NONE and st.first_disturbed == NONE:
            clock = conveyor_clock(s, st.section)
            while p != NONE:
                if might_find_people(s, p):
                    set_urgency(s, p, clock)
                    first = queue_up(s, first, last, p)
                    last = p
                p = s.pieces[p].next_waiting
        k = st.next_look
    while first != NONE:
        following = s.pieces[first].next_in_queue
        if might_find_people(s, first):
            try_start(s, first)
        first = following


@rule
def begin_all(s: State) -> None:
    """Begin what can begin, until nothing changes."""
    w = s.w[0]
    while True:
        move_jobs(s)
        if w.n_repairs:
            try_repairs(s)
        if w.first_call != NONE:
            answer_calls(s)
        if w.look != NONE:
            start_work(s)
        for b in range(w.n_bays):
            start_bay_work(s, b)
        if (w.woken == NONE and w.look == NONE) or w.status == ENDLESS:
            return


# The accounts


@rule
def is_holding(s: State, b: int) -> bool:
    """Return whether a job at the end of a bay's section waits for room in the bay."""
    bay = s.bays[b]
    if bay.n_waiting + bay.n_working + bay.n_done < bay.waiting_places + bay.places:
        return False
    section = s.sections[bay.section]
    st = s.stations[section.last]
    j = st.first_ready
    if section.is_paced:
        j = st.job
        if section.mark_due == 0 and section.move_due == 0:
            return False
    return j != NONE and outlet_of(s, section.exit, j) == bay.element


@rule
def write_rest(s: State) -> None:
    """Book which carriers are short and which bays hold their section."""
    w = s.w[0]
    if w.has_moved == 0:
        return
    w.has_moved = 0
    for k in range(w.n_carriers):
        is_short = int(is_kept_empty(s, k))
        if s.accounts[s.carriers[k].short].level != is_short:
            record(s, s.carriers[k].short, is_short)
    for b in range(w.n_bays):
        holds = int(is_holding(s, b))
        if s.accounts[s.bays[b].holding].level != holds:
            record(s, s.bays[b].holding, holds)


@rule
def settle(s: State) -> None:
    """Begin what can begin and write the accounts, after all that ends at an instant has ended."""
    begin_all(s)
    regulate_sections(s)
    touch_short(s)
    write_stations(s)
    write_people(s)
    write_robots(s)
    write_rest(s)
