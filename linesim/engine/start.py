"""What rules are asked to do between instants: to begin the run, and to book everything up to now."""

from __future__ import annotations

from linesim.engine.bays import count_as_done
from linesim.engine.calendars import become, record
from linesim.engine.conveyor import enter, settle_stop
from linesim.engine.flow import change_buffer, fill_stall, put_in_buffer
from linesim.engine.instant import follow_calendar
from linesim.engine.lists import touch, touch_crew, touch_robot, touch_section, wake
from linesim.engine.modes import next_failure
from linesim.engine.people import draw_roster
from linesim.engine.tables import BOOK, BUFFER, JOIN, PACED, SCRAP, STALLS, START, State, rule
from linesim.engine.traffic import bring, next_opening, take_carrier, unit_cell
from linesim.plan.tables import NONE


@rule
def ask(s: State, what: int) -> None:
    """Do what is asked for between instants."""
    if what == START:
        start(s)
    elif what == BOOK:
        book(s)


@rule
def start(s: State) -> None:
    """Open the line at tick 0: who is on, what is already on the line, and what begins."""
    w = s.w[0]
    for c in range(w.n_crews):
        if s.crews[c].absence > 0:
            draw_roster(s, c)
    for c in range(w.n_calendars):
        follow_calendar(s, c)
    for m in range(w.n_modes):
        next_failure(s, m)
    if w.begin_levels != NONE:
        for g in range(w.n_feeders + 1):
            fill_places(s, g)
    for g in range(w.supply, w.removal + 1):
        if s.gates[g].is_rated:
            next_opening(s, g)
    for e in range(w.n_elements):
        if s.elements[e].kind != JOIN and s.elements[e].kind != SCRAP:
            wake(s, e)
    for x in range(w.n_sections):
        touch_section(s, x)
    for k in range(w.n_stations):
        touch(s, k)
    for c in range(w.n_crews):
        touch_crew(s, c)
    for r in range(w.n_robots):
        touch_robot(s, r)


@rule
def book(s: State) -> None:
    """Book everything up to now; nothing else changes by it."""
    w = s.w[0]
    for k in range(w.n_stations):
        become(s, s.stations[k], s.stations[k].state)
    for o in range(w.n_operators):
        become(s, s.operators[o], s.operators[o].state)
    for r in range(w.n_robots):
        become(s, s.robots[r], s.robots[r].state)
    for x in range(w.n_sections):
        become(s, s.sections[x], s.sections[x].state)
        settle_stop(s, x)
    for b in range(w.n_buffers):
        change_buffer(s, b, 0)
    for a in range(w.n_accounts):
        record(s, a, s.accounts[a].level)


# A line that starts full


@rule
def has_places(s: State, e: int) -> bool:
    """Return whether an element has places of jobs that wait or are worked on."""
    kind = s.elements[e].kind
    return kind in (PACED, STALLS, BUFFER)


@rule
def fill_places(s: State, g: int) -> None:
    """Put jobs in all places below a supply and the stated number in buffers, the oldest furthest down."""
    e = s.gates[g].element
    while has_places(s, s.elements[e].below):
        e = s.elements[e].below
    while e != s.gates[g].element:
        el = s.elements[e]
        if el.kind == BUFFER:
            level = min(s.buffers[el.index].capacity, s.ints[s.w[0].begin_levels + el.index])
            for _ in range(level):
                put(s, g, e, NONE)
        elif el.kind == PACED:
            last = s.sections[el.index].n_stations - 1
            for i in range(last + 1):
                put(s, g, e, last - i)
        else:
            for _ in range(s.stations[el.index].places):
                put(s, g, e, s.stations[el.index].position)
        e = el.above


@rule
def put(s: State, g: int, e: int, position: int) -> None:
    """Take the next job from a supply and put it where it would be had it come down the line."""
    w = s.w[0]
    for k in range(w.n_carriers):
        if rides(s, g, e, k) and s.carriers[k].free == 0:
            return
    j = bring(s, g)
    if j == NONE:
        return
    come_down(s, g, e, j)
    for k in range(w.n_carriers):
        if rides(s, g, e, k):
            take_carrier(s, k, j)
    el = s.elements[e]
    if el.kind == BUFFER:
        put_in_buffer(s, el.index, j, 0)
    elif el.kind == STALLS:
        fill_stall(s, e, j)
    else:
        section = s.sections[el.index]
        for i in range(section.stations, section.stations + position):
            count_as_done(s, j, s.ints[i])
        s.stations[s.ints[section.stations + position]].job = j
        s.jobs[j].boarded = -position * section.takt
        section.next_mark = section.takt
        section.next_move = section.takt - section.transfer
        enter(s, el.index, j, position, 0, 1)


@rule
def come_down(s: State, g: int, e: int, j: int) -> None:
    """Give a job the units and the work of all that it has passed on its way from a supply to ``e``."""
    at = s.elements[s.gates[g].element].below
    while True:
        el = s.elements[at]
        if el.section != NONE:
            section = s.sections[el.section]
            for i in range(section.feeders, section.feeders + section.n_feeders):
                s.cells[unit_cell(s, j, s.elements[s.ints[i]].index)] = 1
        if at == e:
            return
        if el.kind == STALLS:
            count_as_done(s, j, el.index)
        elif el.kind == PACED:
            section = s.sections[el.index]
            for i in range(section.stations, section.stations + section.n_stations):
                count_as_done(s, j, s.ints[i])
        at = el.below


@rule
def rides(s: State, g: int, e: int, k: int) -> bool:
    """Return whether a job that has come from a supply to ``e`` is on carrier ``k``."""
    carrier = s.carriers[k]
    is_on = False
    at = s.elements[s.gates[g].element].below
    while True:
        el = s.elements[at]
        if el.section != NONE and el.section == carrier.boards:
            is_on = True
        if at == e:
            return is_on
        if el.section != NONE and el.is_last and el.section == carrier.leaves:
            is_on = False
        at = el.below
