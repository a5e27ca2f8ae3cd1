"""Rework bays, and where a job goes from the end of its section."""

from __future__ import annotations

from linesim.engine.calendars import come_to, record
from linesim.engine.faults import settle_in_bay, unflag
from linesim.engine.lists import (
    LEVELS,
    add_last,
    chance,
    has_items,
    make_room,
    note_job,
    take_items,
    timer,
    touch_people,
    wake,
    wake_inlets,
    wake_sections,
    without,
)
from linesim.engine.order import BAY as BAY_ENDS
from linesim.engine.people import give_back, take_first
from linesim.engine.tables import State, rule
from linesim.engine.traffic import passes_cell, release_carrier, scrap
from linesim.engine.visits import set_done
from linesim.ledger.ledger import E_BAY_IN, E_BAY_OUT
from linesim.plan.tables import NONE


@rule
def n_in_bay(s: State, b: int) -> int:
    """Return how many jobs are in a bay."""
    bay = s.bays[b]
    return bay.n_waiting + bay.n_working + bay.n_done


@rule
def note_level(s: State, b: int) -> None:
    """Note down how many jobs are in a bay from now on."""
    w, bay = s.w[0], s.bays[b]
    w.moved = w.now
    record(s, bay.waiting, bay.n_waiting)
    record(s, bay.working, bay.n_working)
    i = w.n_steps
    w.n_steps += 1
    make_room(s, LEVELS, i)
    row = s.levels[i]
    row.bay = b
    row.time = w.now
    row.level = n_in_bay(s, b)


@rule
def is_spent(s: State, b: int, j: int) -> bool:
    """Return whether a job has been in a bay as often as it may."""
    most = s.bays[b].max_passes
    return most != NONE and s.cells[passes_cell(s, j, b)] >= most


@rule
def bay_has_room(s: State, b: int) -> bool:
    """Return whether a bay takes one more job."""
    bay = s.bays[b]
    return n_in_bay(s, b) < bay.waiting_places + bay.places


@rule
def bay_wants(s: State, b: int, j: int) -> bool:
    """Return whether a job goes into a bay from the end of its section."""
    if not has_items(s, j, s.w[0].n_stations + b):
        return False
    return s.bays[b].holds == 1 or is_spent(s, b, j) or bay_has_room(s, b)


@rule
def pass_by(s: State, b: int, j: int) -> None:
    """Let a job carry its faults and open work on, for want of room."""
    unflag(s, j, take_items(s, j, s.w[0].n_stations + b), NONE)
    s.bays[b].carried_on += 1


# From the end of a section


@rule
def outlet(s: State, x: int, j: int) -> int:
    """Return the element to which a job goes from the end of a section."""
    job, section = s.jobs[j], s.sections[x]
    if job.is_scrap:
        return s.w[0].scrap
    if job.first_item != NONE:
        for i in range(section.bays, section.bays + section.n_bays):
            if bay_wants(s, s.ints[i], j):
                return s.bays[s.ints[i]].element
    return s.elements[section.exit].below


@rule
def part(s: State, x: int, j: int) -> None:
    """Take the carriers off a job that leaves a section, and its hopes of a bay that is full."""
    job, section = s.jobs[j], s.sections[x]
    for i in range(section.leaves, section.leaves + section.n_leaves):
        release_carrier(s, s.ints[i], j)
    if job.first_item == NONE or job.is_scrap:
        return
    for i in range(section.bays, section.bays + section.n_bays):
        b = s.ints[i]
        if has_items(s, j, s.w[0].n_stations + b) and not bay_wants(s, b, j):
            pass_by(s, b, j)


# In the bay


@rule
def bay_accepts(s: State, b: int, j: int) -> bool:
    """Return whether a job could be pushed into a bay now."""
    return is_spent(s, b, j) or bay_has_room(s, b)


@rule
def take_into_bay(s: State, b: int, j: int) -> None:
    """Take a job, or scrap it where it has been here as often as it may."""
    bay, job = s.bays[b], s.jobs[j]
    items = take_items(s, j, s.w[0].n_stations + b)
    wake_sections(s)
    job.bay_items = items
    if is_spent(s, b, j):
        scrap(s, j)
        return
    job.bay_visits += 1
    at = passes_cell(s, j, b)
    s.cells[at] += 1
    if s.cells[at] == 1:
        bay.seen += 1
    job.bay_left = job.bay_blocks = job.bay_runs = 0
    i = items
    while i != NONE:
        job.bay_left += s.items[i].remaining
        i = s.items[i].next
    come_to(s, j, bay.hours)
    bay.first_waiting = add_last(s.jobs, bay.first_waiting, j)
    bay.n_waiting += 1
    note_level(s, b)
    note_job(s, E_BAY_IN, j, NONE, b)


@rule
def after_bay(s: State, b: int, j: int) -> int:
    """Return where a job goes next: a later bay of this section that it needs, where it rejoins, or NONE."""
    bay = s.bays[b]
    section = s.sections[bay.section]
    for i in range(section.bays + bay.place + 1, section.bays + section.n_bays):
        if bay_wants(s, s.ints[i], j):
            return s.bays[s.ints[i]].element
    return s.elements[bay.element].below


@rule
def bay_offers(s: State, b: int, to: int) -> int:
    """Return the job that could be pulled out of a bay by element ``to``, or NONE."""
    j = s.bays[b].first_done
    if j != NONE and after_bay(s, b, j) == to:
        return j
    return NONE


@rule
def give_from_bay(s: State, b: int, to_bay: bool) -> int:
    """Let out of a bay the job that was put right first, past full bays and stations on the way."""
    bay = s.bays[b]
    j = bay.first_done
    bay.first_done = s.jobs[j].next
    bay.n_done -= 1
    note_level(s, b)
    note_job(s, E_BAY_OUT, j, NONE, b)
    if not to_bay:
        section = s.sections[bay.section]
        for i in range(section.bays + bay.place + 1, section.bays + section.n_bays):
            if has_items(s, j, s.w[0].n_stations + s.ints[i]):
                pass_by(s, s.ints[i], j)
        for i in range(bay.skipped, bay.skipped + bay.n_skipped):
            count_as_done(s, j, s.ints[i])
    wake_inlets(s, bay.element)
    return j


@rule
def count_as_done(s: State, j: int, k: int) -> None:
    """Count the work on a job at a station as done."""
    work = s.works[s.jobs[j].variant * s.w[0].n_stations + k]
    for i in range(work.tasks, work.tasks + work.n_tasks):
        set_done(s, j, s.links[i], 1)


@rule
def start_bay_work(s: State, b: int) -> None:
    """Begin on waiting jobs while a work place and the people are free."""
    bay = s.bays[b]
    while bay.first_waiting != NONE and bay.n_working + bay.n_done < bay.places:
        o = take_first(s, bay.crews, bay.n_crews, bay.people)
        if o == NONE:
            return
        j = bay.first_waiting
        job = s.jobs[j]
        bay.first_waiting = job.next
        bay.n_waiting -= 1
        job.bay_people = o
        bay.first_working = add_last(s.jobs, bay.first_working, j)
        bay.n_working += 1
        note_level(s, b)
        while o != NONE:
            operator = s.operators[o]
            operator.last_job = job.serial
            operator.section = NONE
            operator.bay_job = j
            o = operator.next
        run_in_bay(s, b, j)


@rule
def run_in_bay(s: State, b: int, j: int) -> None:
    """Let the work on a job in a bay go on."""
    job = s.jobs[j]
    job.bay_runs = 1
    job.bay_end = s.w[0].now + job.bay_left
    job.bay_serial = timer(s, job.bay_end, BAY_ENDS, b, job.number, j)


@rule
def block_in_bay(s: State, j: int) -> None:
    """Pause the work on a job in a bay: one more of its people goes off."""
    job = s.jobs[j]
    job.bay_blocks += 1
    if job.bay_runs:
        job.bay_runs = job.bay_serial = 0
        job.bay_left = job.bay_end - s.w[0].now
        touch_people(s, job.bay_people)


@rule
def unblock_in_bay(s: State, b: int, j: int) -> None:
    """Let the work on a job in a bay go on when the last of its people is back."""
    job = s.jobs[j]
    job.bay_blocks -= 1
    if job.bay_blocks == 0:
        run_in_bay(s, b, j)
        touch_people(s, job.bay_people)


@rule
def bay_of(s: State, j: int) -> int:
    """Return the bay in which a job is worked on."""
    for b in range(s.w[0].n_bays):
        i = s.bays[b].first_working
        while i != NONE:
            if i == j:
                return b
            i = s.jobs[i].next
    return NONE


@rule
def end_in_bay(s: State, b: int, j: int, serial: int) -> None:
    """End the work on a job in a bay; it goes on to another bay, rejoins the line or leaves as finished."""
    bay, job = s.bays[b], s.jobs[j]
    if serial != job.bay_serial:
        return
    bay.first_working = without(s.jobs, bay.first_working, j)
    bay.n_working -= 1
    job.bay_serial = 0
    o = job.bay_people
    job.bay_people = NONE
    while o != NONE:
        operator = s.operators[o]
        following = operator.next
        operator.bay_job = NONE
        give_back(s, o)
        o = following
    good = 1
    if bay.success < 1 and chance(s, bay.column, s.cells[passes_cell(s, j, b)], job.number) >= bay.success:
        good = 0
    items = job.bay_items
    job.bay_items = NONE
    if good:
        settle_in_bay(s, j, items)
    else:
        unflag(s, j, items, s.w[0].n_stations + b)
    bay.jobs += 1
    bay.good += good
    s.w[0].bay_put_right += good
    bay.first_done = add_last(s.jobs, bay.first_done, j)
    bay.n_done += 1
    note_level(s, b)
    wake(s, bay.element)
