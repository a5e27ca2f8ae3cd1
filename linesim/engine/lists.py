"""What all rules stand on: pools, timers, draws, what an instant touched, and the event log."""

from __future__ import annotations

from typing import Any

from linesim.engine.tables import State, rule
from linesim.plan.tables import NONE

# The tables that grow.
JOBS, VISITS, PIECES, ITEMS, EVENTS, LEVELS = range(6)

EVERYBODY = 2  #: of a crew may do something else now, not only its idle and those noted one by one

# Outside the rules: each has a twin in `linesim.engine.native`.


def set_timer(s: State, at: int, rank: int, first: int, second: int, what: int) -> None:
    """Have ``what`` handed over at tick ``at``; its serial is the last that was given out."""
    s.outside.set_timer(at, (rank, first, second, s.w[0].serial, what))


def make_room(s: State, table: int, slot: int) -> None:
    """See that ``table`` has ``slot``, the first that was never used."""
    s.outside.make_room(table, slot)


def fill(s: State, column: int, attempt: int, row: int) -> int:
    """Draw the block of ``column`` that holds ``row``, and return what is drawn there."""
    number: int = s.outside.fill(column, attempt, row)
    return number


# Timers and draws


@rule
def timer(s: State, at: int, rank: int, first: int, second: int, what: int) -> int:
    """Set a timer and return its serial; it is void as soon as its owner forgets that."""
    w = s.w[0]
    w.serial += 1
    serial = w.serial
    set_timer(s, at, rank, first, second, what)
    return serial


@rule
def draw(s: State, column: int, attempt: int, row: int) -> int:
    """Return row ``row`` of a column of draws: ticks, or a chance in units of 2**-53."""
    c = s.columns[column]
    if c.constant >= 0:
        return c.constant
    k = attempt
    while k > 0:
        if c.later == NONE:
            return fill(s, column, attempt, row)
        c = s.columns[c.later]
        k -= 1
    block = row >> c.bits
    place = row - (block << c.bits)
    if c.block == block:
        return s.drawn[c.at + place]
    if c.other_block == block:
        return s.drawn[c.other_at + place]
    return fill(s, column, attempt, row)


@rule
def chance(s: State, column: int, attempt: int, row: int) -> float:
    """Return a number in [0, 1) that decides a yes or no."""
    return draw(s, column, attempt, row) * 2.0**-53


# Chains: records of a table linked through ``next``, from a first one on


@rule
def join(table: Any, first: int, more: int) -> int:
    """Put the chain that begins with ``more`` behind the one that begins with ``first``; return its first."""
    if first == NONE:
        return more
    at = first
    while table[at].next != NONE:
        at = table[at].next
    table[at].next = more
    return first


@rule
def add_last(table: Any, first: int, i: int) -> int:
    """Put record ``i`` at the end of the chain that begins with ``first``; return the first of it."""
    table[i].next = NONE
    return join(table, first, i)


@rule
def without(table: Any, first: int, i: int) -> int:
    """Take record ``i`` out of the chain that begins with ``first``; return the first of it."""
    following: int = table[i].next
    if first == i:
        return following
    at = first
    while table[at].next != i:
        at = table[at].next
    table[at].next = following
    return first


# Pools


@rule
def new_item(s: State, task: int, remaining: int, people: int, fault: int) -> int:
    """Return a fresh item, in no list."""
    w = s.w[0]
    i = w.free_item
    if i != NONE:
        w.free_item = s.items[i].next
    else:
        i = w.used_items
        w.used_items += 1
        make_room(s, ITEMS, i)
    item = s.items[i]
    item.task = task
    item.remaining = remaining
    item.people = people
    item.fault = fault
    item.place = NONE
    item.is_known = 0
    item.is_flagged = 0
    item.next = NONE
    return i


@rule
def drop_item(s: State, i: int) -> None:
    """Give back an item."""
    w = s.w[0]
    s.items[i].next = w.free_item
    w.free_item = i


@rule
def add_item(s: State, j: int, i: int, place: int) -> None:
    """Let a job carry on an item that is to be done at ``place``."""
    job, item = s.jobs[j], s.items[i]
    item.place = place
    s.w[0].has_moved = 1
    job.first_item = add_last(s.items, job.first_item, i)


@rule
def take_items(s: State, j: int, place: int) -> int:
    """Take what a job carries on to ``place`` off it; return the first of the list, in order."""
    job = s.jobs[j]
    first = NONE
    i = job.first_item
    while i != NONE:
        following = s.items[i].next
        if s.items[i].place == place:
            job.first_item = without(s.items, job.first_item, i)
            first = add_last(s.items, first, i)
        i = following
    return first


@rule
def has_items(s: State, j: int, place: int) -> bool:
    """Return whether a job carries on something to ``place``."""
    i = s.jobs[j].first_item
    while i != NONE:
        if s.items[i].place == place:
            return True
        i = s.items[i].next
    return False


# What an instant touched


@rule
def wake(s: State, e: int) -> None:
    """Have element ``e`` moved before this instant is over; the furthest down the line is first."""
    el = s.elements[e]
    if el.is_woken:
        return
    el.is_woken = 1
    w = s.w[0]
    w.has_moved = 1
    if w.woken < e:
        el.next_woken = w.woken
        w.woken = e
        return
    at = w.woken
    while s.elements[at].next_woken > e:
        at = s.elements[at].next_woken
    el.next_woken = s.elements[at].next_woken
    s.elements[at].next_woken = e


@rule
def wake_inlets(s: State, e: int) -> None:
    """Have everything that passes jobs to element ``e`` look again: there may be room."""
    el = s.elements[e]
    for i in range(el.inlets, el.inlets + el.n_inlets):
        wake(s, s.ints[i])


@rule
def wake_section(s: State, x: int) -> None:
    """Have a section moved: where it is free, every station and what passes jobs to it."""
    section = s.sections[x]
    if section.is_paced:
        wake(s, section.entrance)
        return
    for i in range(section.stations, section.stations + section.n_stations):
        e = s.stations[s.ints[i]].element
        wake(s, e)
        wake_inlets(s, e)


@rule
def wake_sections(s: State) -> None:
    """Have every section moved: one may have waited for a job that has just left the line."""
    for x in range(s.w[0].n_sections):
        wake_section(s, x)


@rule
def touch_section(s: State, x: int) -> None:
    """Note that the conveyor of a section may have to start or halt."""
    section = s.sections[x]
    if section.is_changed == 0:
        section.is_changed = 1
        s.w[0].n_changed_sections += 1
        s.w[0].has_moved = 1


@rule
def touch(s: State, k: int) -> None:
    """Note that what station ``k`` is may have changed."""
    st = s.stations[k]
    if st.is_changed == 0:
        st.is_changed = 1
        w = s.w[0]
        st.next_changed = w.changed_station
        w.changed_station = k


@rule
def touch_waiting(s: State, first: int, n: int) -> None:
    """Note that what work waits for may have changed at a row of stations."""
    for i in range(first, first + n):
        if s.stations[s.ints[i]].first_waiting != NONE:
            touch(s, s.ints[i])


@rule
def touch_stations(s: State, x: int) -> None:
    """Note that what the stations of a section are may have changed."""
    section = s.sections[x]
    for i in range(section.stations, section.stations + section.n_stations):
        touch(s, s.ints[i])


@rule
def touch_idle(s: State, c: int) -> None:
    """Note that what the idle people of a crew wait for may have changed."""
    crew = s.crews[c]
    if crew.is_changed == 0:
        crew.is_changed = 1
        w = s.w[0]
        crew.next_changed = w.changed_crew
        w.changed_crew = c


@rule
def touch_crew(s: State, c: int) -> None:
    """Note that what anybody of a crew does may have changed."""
    touch_idle(s, c)
    s.crews[c].is_changed = EVERYBODY


@rule
def touch_person(s: State, o: int) -> None:
    """Note that what one person does may have changed, and with it what the idle of the crew wait for."""
    operator = s.operators[o]
    if operator.is_changed == 0:
        operator.is_changed = 1
        crew = s.crews[operator.crew]
        operator.next_changed = crew.first_changed
        crew.first_changed = o
        touch_idle(s, operator.crew)


@rule
def touch_people(s: State, o: int) -> None:
    """Note the same of each of a list of people."""
    while o != NONE:
        touch_person(s, o)
        o = s.operators[o].next


@rule
def touch_robot(s: State, r: int) -> None:
    """Note that what a robot does may have changed."""
    robot = s.robots[r]
    if robot.is_changed == 0:
        robot.is_changed = 1
        w = s.w[0]
        robot.next_changed = w.changed_robot
        w.changed_robot = r


@rule
def look(s: State, k: int) -> None:
    """Have the work that waits at station ``k`` looked at: something may start."""
    st = s.stations[k]
    if st.is_looked == 0:
        st.is_looked = 1
        w = s.w[0]
        st.next_look = w.look
        w.look = k


@rule
def look_at(s: State, first: int, n: int) -> None:
    """Have the work that waits at a row of stations looked at."""
    for i in range(first, first + n):
        if s.stations[s.ints[i]].first_waiting != NONE:
            look(s, s.ints[i])


# The event log


@rule
def note(
    s: State, what: int, job: int, section: int, station: int, task: int, where: int, who: int, cause: int
) -> None:
    """Write one row of the event log, if somebody reads it."""
    w = s.w[0]
    if w.watch == 0:
        return
    i = w.n_events
    w.n_events += 1
    make_room(s, EVENTS, i)
    row = s.events[i]
    row.time = w.now
    row.what = what
    row.job = job
    row.section = section
    row.station = station
    row.task = task
    row.where = where
    row.who = who
    row.cause = cause


@rule
def note_job(s: State, what: int, j: int, station: int, where: int) -> None:
    """Write down what happened to a job."""
    s.w[0].moved = s.w[0].now
    if s.w[0].watch:
        note(s, what, s.jobs[j].number, NONE, station, NONE, where, NONE, NONE)


@rule
def note_piece(s: State, what: int, p: int) -> None:
    """Write down what happened to a piece of work, with everybody who is at it."""
    s.w[0].moved = s.w[0].now
    if s.w[0].watch == 0:
        return
    piece = s.pieces[p]
    visit = s.visits[piece.visit]
    number = s.jobs[visit.job].number
    where = NONE
    if piece.fault != NONE:
        where = s.items[piece.fault].fault
    k = visit.station
    o = piece.first_person
    note(s, what, number, s.stations[k].section, k, piece.task, where, o, NONE)
    while o != NONE:
        o = s.operators[o].next
        if o != NONE:
            note(s, NONE, NONE, NONE, NONE, NONE, NONE, o, NONE)
