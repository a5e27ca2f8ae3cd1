"""The conveyor of a moving or indexed section: a clock of running time, what it meets, and its marks.

At a mark every job on it passes into the next station.
"""

from __future__ import annotations

from linesim.engine.bays import outlet, part
from linesim.engine.calendars import become, come_to
from linesim.engine.closing import count_jobs
from linesim.engine.limits import consider_call, meet_limit, name_causes
from linesim.engine.lists import (
    drop_item,
    new_item,
    note,
    note_job,
    timer,
    touch_section,
    touch_stations,
    wake,
    wake_inlets,
)
from linesim.engine.modes import drop_hold, hold, switch_modes
from linesim.engine.offers import accepts, is_dry, is_wanting, job_waits, pulls
from linesim.engine.opening import open_visit
from linesim.engine.order import CALL, CONVEYOR, LIMIT, REACH
from linesim.engine.people import conveyor_clock, is_moving
from linesim.engine.queue import first_of, order_of, pop, push, rank_of
from linesim.engine.states import section_state
from linesim.engine.tables import State, rule
from linesim.engine.visits import limit_of, visit_at
from linesim.ledger.ledger import E_ENTER, E_LEAVE, E_MARK, E_RESTART, E_STOP
from linesim.plan.tables import NONE
from linesim.plan.words import BLOCKED, STARVED


@rule
def reach_next(s: State, x: int, serial: int) -> None:
    """Meet what the conveyor has reached: reaches, calls, limits, the move, the mark."""
    section = s.sections[x]
    if serial != section.serial:
        return
    clock = section.timed
    section.clock_at = clock
    section.since = s.w[0].now
    section.timed = NONE
    over = NONE  # jobs at the limits of late stations, the furthest down first
    while section.n_agenda and s.agenda[section.agenda].at <= clock:
        entry = s.agenda[section.agenda]
        kind, position = rank_of(entry.order), first_of(entry.order)
        j, of = entry.what, entry.serial
        pop(s.agenda, section.agenda, section.n_agenda)
        section.n_agenda -= 1
        k = s.ints[section.stations + position]
        if s.jobs[j].serial != of:
            continue
        if kind == REACH:
            open_on_conveyor(s, j, k)
        elif kind == CALL:
            consider_call(s, j, k)
        else:
            over = list_over(s, over, position, j)
    section.move_due = 0
    if section.transfer > 0 and clock == section.next_move:
        section.move_due = 1
    section.mark_due = 0
    if clock == section.next_mark:
        section.mark_due = 1
    for position in range(section.n_stations - 1, -1, -1):
        k = s.ints[section.stations + position]
        while over != NONE and s.items[over].task == position:
            following, j = s.items[over].next, s.items[over].remaining
            drop_item(s, over)
            meet_limit(s, j, k)
            over = following
        # The limits of late stations stand on the agenda, the others lie at the move or mark.
        if s.stations[k].late == 0 and (section.move_due or section.mark_due):
            v = s.stations[k].first_visit
            while v != NONE:
                following = s.visits[v].next
                if s.visits[v].limit == clock:
                    meet_limit(s, s.visits[v].job, k)
                v = following
    touch_section(s, x)
    wake(s, section.entrance)


@rule
def list_over(s: State, over: int, position: int, j: int) -> int:
    """Put a job at the limit of a station before those further up, and behind those of the same station."""
    i = new_item(s, position, j, 0, NONE)
    if over == NONE or s.items[over].task != position:
        s.items[i].next = over
        return i
    at = over
    while s.items[at].next != NONE and s.items[s.items[at].next].task == position:
        at = s.items[at].next
    s.items[i].next = s.items[at].next
    s.items[at].next = i
    return over


@rule
def note_ends(s: State, x: int) -> None:
    """Note whether the end is blocked and whether a job is missing, at a mark or move that is due."""
    section = s.sections[x]
    last = s.stations[section.last].job
    is_blocked = is_starved = False
    if last != NONE:
        to = outlet(s, x, last)
        if pulls(s, to):
            is_blocked = section.mark_due == 1
        else:
            is_blocked = not accepts(s, to, last)
    if section.mark_due and section.lets_gaps_pass == 0:
        is_starved = not job_waits(s, x) and not is_dry(s, s.elements[section.entrance].above)
    if is_blocked:
        hold(s, x, section.last, BLOCKED)
    else:
        drop_hold(s, x, section.last, BLOCKED)
    if is_starved:
        hold(s, x, section.first, STARVED)
    else:
        drop_hold(s, x, section.first, STARVED)


@rule
def conveyor_changed(s: State, x: int) -> None:
    """Note that a section starts, halts, comes on or goes off; stations and failure modes follow."""
    section = s.sections[x]
    touch_stations(s, x)
    switch_modes(s, section.modes, section.n_modes, is_moving(s, x))


@rule
def regulate(s: State, x: int) -> None:
    """Start or halt the conveyor as what has happened demands."""
    section, now = s.sections[x], s.w[0].now
    if section.is_paced == 0:
        conveyor_changed(s, x)
        return
    if section.mark_due or section.move_due:
        note_ends(s, x)
    if section.is_on and section.first_unnamed != NONE:
        name_causes(s, x)
    should_run = (
        section.is_on == 1 and section.first_hold == NONE and section.mark_due == 0 and section.move_due == 0
    )
    if section.runs and not should_run:
        section.clock_at = conveyor_clock(s, x)
        section.runs = 0
        section.since = now
        section.serial = 0
        section.timed = NONE
        conveyor_changed(s, x)
    elif should_run and not section.runs:
        section.runs = 1
        section.since = now
        conveyor_changed(s, x)
    if not should_run:
        return
    target = section.next_mark
    if section.next_move > section.clock_at:
        target = min(target, section.next_move)
    if section.n_agenda and s.agenda[section.agenda].at < target:
        target = s.agenda[section.agenda].at
    if target != section.timed:
        section.timed = target
        section.serial = timer(s, now + target - conveyor_clock(s, x), CONVEYOR, x, 0, x)


@rule
def book_stop(s: State, x: int) -> None:
    """Book the time from now on to the station and cause for which a section stands, or to none.

    A section that stands for one thing and then for another has stopped once.
    """
    section, w = s.sections[x], s.w[0]
    place = station = cause = NONE
    if section.is_on and section.first_hold != NONE:
        first = s.items[section.first_hold]
        station, cause = first.place, first.cause
        row = station
        if station == NONE:
            row = w.n_stations
        place = row * w.n_causes + cause
    if place == section.booked:
        return
    settle_stop(s, x)
    if section.booked == NONE:
        section.stands += 1
    section.booked = place
    if place != NONE:
        s.ticks[section.stops + place] += 1
        note(s, E_STOP, NONE, x, station, NONE, NONE, NONE, cause)
    else:
        note(s, E_RESTART, NONE, x, NONE, NONE, NONE, NONE, NONE)
    touch_stations(s, x)


@rule
def settle_stop(s: State, x: int) -> None:
    """Book the time of a stop up to now."""
    section, now = s.sections[x], s.w[0].now
    if section.booked != NONE:
        lasted = now - section.booked_since
        s.ticks[section.stop + section.booked] += lasted
        section.stopped += lasted
    section.booked_since = now


@rule
def regulate_sections(s: State) -> None:
    """Regulate the sections that this instant has touched, and book what they are."""
    w = s.w[0]
    if w.n_changed_sections == 0:
        return
    for x in range(w.n_sections):
        section = s.sections[x]
        if section.is_changed:
            regulate(s, x)
            become(s, section, section_state(s, x))
            book_stop(s, x)
    for x in range(w.n_sections):
        s.sections[x].is_changed = 0
    w.n_changed_sections = 0


# Marks


@rule
def begin_mark(s: State, x: int) -> None:
    """Begin to pass a mark: the last job leaves, and the first place is free."""
    section = s.sections[x]
    section.mark_due = 0
    section.next_mark += section.takt
    section.next_move = section.next_mark - section.transfer
    drop_hold(s, x, section.last, BLOCKED)
    drop_hold(s, x, section.first, STARVED)
    touch_section(s, x)
    note(s, E_MARK, NONE, x, NONE, NONE, NONE, NONE, NONE)
    st = s.stations[section.last]
    section.leaving = st.job
    st.job = NONE
    if section.leaving != NONE:
        note_job(s, E_LEAVE, section.leaving, section.last, NONE)
        part(s, x, section.leaving)
    for i in range(section.boards, section.boards + section.n_boards):
        carrier = s.carriers[s.ints[i]]
        carrier.has_gap = 0
        if is_wanting(s, s.ints[i], section.entrance):
            carrier.has_gap = 1


@rule
def end_mark(s: State, x: int, boarding: int) -> int:
    """Let every job pass into the next station, ``boarding`` into the first; return the one that leaves."""
    section = s.sections[x]
    for i in range(section.stations + section.n_stations - 1, section.stations, -1):
        s.stations[s.ints[i]].job = s.stations[s.ints[i - 1]].job
    s.stations[section.first].job = boarding
    mark = section.next_mark - section.takt
    for position in range(section.n_stations - 1, -1, -1):
        j = s.stations[s.ints[section.stations + position]].job
        if j != NONE:
            enter(s, x, j, position, mark, 0)
    touch_stations(s, x)
    if section.leaving != NONE:
        count_jobs(s, section.modes, section.n_modes)
    wake_inlets(s, section.entrance)
    return section.leaving


@rule
def add_to_agenda(s: State, x: int, clock: int, kind: int, position: int, j: int) -> None:
    """Note what the conveyor of a section meets at a clock time."""
    section, job = s.sections[x], s.jobs[j]
    section.n_agenda += 1
    order = order_of(kind, position, job.number)
    push(s.agenda, section.agenda, section.n_agenda, clock, order, job.serial, j)


@rule
def enter(s: State, x: int, j: int, position: int, mark: int, at_start: int) -> None:
    """Let a job pass the upstream border of the station at ``position`` at clock ``mark``.

    Where the station reaches upstream its visit is open already, unless the run starts with the job here.
    A following station that reaches a whole takt up has the job within reach in this very instant.
    """
    section = s.sections[x]
    k = s.ints[section.stations + position]
    st = s.stations[k]
    if visit_at(s, j, k) == NONE and (at_start or not (st.early and position)):
        open_on_conveyor(s, j, k)
    come_to(s, j, section.hours)
    note_job(s, E_ENTER, j, k, NONE)
    if st.late:
        add_to_agenda(s, x, limit_of(s, j, k), LIMIT, position, j)
    if st.call_at != NONE and visit_at(s, j, k) != NONE:
        add_to_agenda(s, x, mark + st.call_at, CALL, position, j)
    if position + 1 < section.n_stations:
        ahead = s.ints[section.stations + position + 1]
        early = s.stations[ahead].early
        if early == section.takt:
            open_on_conveyor(s, j, ahead)
        elif early:
            add_to_agenda(s, x, mark + section.takt - early, REACH, position + 1, j)


@rule
def open_on_conveyor(s: State, j: int, k: int) -> None:
    """Open the work on a job that has come within reach of a station on a conveyor."""
    s.jobs[j].reached = s.stations[k].position + 1
    open_visit(s, j, k, limit_of(s, j, k))
