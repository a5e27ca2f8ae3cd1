"""What could go on: what an element takes, what it offers, and whether anything will ever come."""

from __future__ import annotations

from linesim.engine.bays import bay_accepts, bay_offers, outlet
from linesim.engine.tables import BAY, BUFFER, JOIN, PACED, REMOVAL, SCRAP, STALLS, SUPPLY, State, rule
from linesim.engine.traffic import carrier_cell, is_spent_supply, lets_through, prepared, unit_cell
from linesim.plan.tables import NONE
from linesim.plan.words import BLOCKED, STARVED


@rule
def may_move(s: State, x: int) -> bool:
    """Return whether a free section may hand jobs on at this moment."""
    section = s.sections[x]
    return section.is_on == 1 and section.first_hold == NONE


@rule
def may_pass(s: State, x: int) -> bool:
    """Return whether nothing but its two ends could keep the due mark of a section from being passed."""
    section = s.sections[x]
    if section.mark_due == 0 or section.is_on == 0:
        return False
    i = section.first_hold
    while i != NONE:
        hold = s.items[i]
        is_end = hold.place == section.last and hold.cause == BLOCKED
        if not is_end and not (hold.place == section.first and hold.cause == STARVED):
            return False
        i = hold.next
    return True


@rule
def outlet_of(s: State, e: int, j: int) -> int:
    """Return the element to which a job goes from an element of a section."""
    el = s.elements[e]
    if el.is_last:
        return outlet(s, el.section, j)
    return el.below


@rule
def pulls(s: State, e: int) -> bool:
    """Return whether an element takes jobs straight out of what is above, at a mark."""
    while s.elements[e].kind == BUFFER and s.buffers[s.elements[e].index].capacity == 0:
        e = s.elements[e].below
    kind = s.elements[e].kind
    return kind in (PACED, JOIN)


@rule
def has_jobs(s: State, x: int) -> bool:
    """Return whether anything is on the conveyor of a section."""
    section = s.sections[x]
    for i in range(section.stations, section.stations + section.n_stations):
        if s.stations[s.ints[i]].job != NONE:
            return True
    return False


@rule
def is_dry(s: State, e: int) -> bool:
    """Return whether nothing is in an element and nothing will ever come."""
    while True:
        el = s.elements[e]
        if el.kind == SUPPLY:
            return is_spent_supply(s, el.index)
        if el.kind == BUFFER:
            if s.buffers[el.index].n:
                return False
            for i in range(el.inlets, el.inlets + el.n_inlets):
                inlet = s.elements[s.ints[i]]
                if inlet.kind == BAY:
                    bay = s.bays[inlet.index]
                    if bay.n_waiting or bay.n_working or bay.n_done:
                        return False
        elif el.kind == PACED:
            if has_jobs(s, el.section):
                return False
        elif s.stations[el.index].n_jobs:
            return False
        e = el.above


@rule
def can_board(s: State, x: int, j: int) -> bool:
    """Return whether a job that waits could come on: carriers are free, feeders have their units.

    A job that comes back from a bay may have both already.
    """
    section = s.sections[x]
    for i in range(section.boards, section.boards + section.n_boards):
        k = s.ints[i]
        if s.cells[carrier_cell(s, j, k)] == 0 and s.carriers[k].free == 0:
            return False
    for i in range(section.feeders, section.feeders + section.n_feeders):
        join = s.elements[s.ints[i]]
        if s.cells[unit_cell(s, j, join.index)] == 0 and join.has_unit == 0:
            return False
    return True


@rule
def lets_in(s: State, e: int) -> int:
    """Return the bay from which a job could pass straight through an empty buffer now, or NONE."""
    el = s.elements[e]
    for i in range(el.inlets, el.inlets + el.n_inlets):
        inlet = s.elements[s.ints[i]]
        if inlet.kind == BAY and bay_offers(s, inlet.index, e) != NONE:
            return s.ints[i]
    return NONE


@rule
def find_offer(s: State, e: int, to: int) -> int:
    """Return the job that element ``to`` could pull out of ``e`` now, or NONE.

    First up the line, through empty buffers and sections that pass on only as they take, then down again.
    """
    at, job = e, NONE
    while True:
        el = s.elements[at]
        if el.kind == SUPPLY:
            if lets_through(s, el.index):
                job = prepared(s, el.index)
            break
        if el.kind == BUFFER:
            buffer = s.buffers[el.index]
            if buffer.n and s.jobs[buffer.first].arrives <= s.w[0].now:
                job = buffer.first
                break
            if buffer.n or buffer.travel:
                break
            bay = lets_in(s, at)
            if bay != NONE:
                job = bay_offers(s, s.elements[bay].index, at)
                break
        elif el.kind == STALLS:
            j = s.stations[el.index].first_ready
            if j != NONE and may_move(s, el.section) and outlet_of(s, at, j) == to:
                job = j
            break
        elif el.kind == PACED:
            section = s.sections[el.section]
            j = s.stations[section.last].job
            if j == NONE or not may_pass(s, el.section) or outlet(s, el.section, j) != to:
                break
            if section.lets_gaps_pass:
                job = j
                break
        else:
            break
        to = at
        at = el.above
    while at != e:
        at = s.elements[at].below
        el = s.elements[at]
        if el.kind == PACED:
            goes_on = job != NONE and can_board(s, el.section, job)
            job = NONE
            if goes_on or is_dry(s, el.above):
                job = s.stations[s.sections[el.section].last].job
    return job


@rule
def note_units(s: State) -> None:
    """Note at every join whether a unit waits."""
    w = s.w[0]
    if w.n_feeders == 0:
        return
    for e in range(w.n_elements):
        el = s.elements[e]
        if el.kind == JOIN:
            el.has_unit = 0
            if find_offer(s, el.above, e) != NONE:
                el.has_unit = 1


@rule
def offer(s: State, e: int) -> int:
    """Return the job that element ``e`` could pull out of what is above it, or NONE."""
    note_units(s)
    return find_offer(s, s.elements[e].above, e)


@rule
def job_waits(s: State, x: int) -> bool:
    """Return whether a job waits that could board a section."""
    j = offer(s, s.sections[x].entrance)
    return j != NONE and can_board(s, x, j)


@rule
def gap_is_fine(s: State, x: int) -> bool:
    """Return whether a section may pass its mark as far as its first place goes."""
    section = s.sections[x]
    if section.lets_gaps_pass or job_waits(s, x):
        return True
    return is_dry(s, s.elements[section.entrance].above)


@rule
def accepts(s: State, e: int, j: int) -> bool:
    """Return whether a job could be pushed into an element now."""
    while True:
        el = s.elements[e]
        if el.kind == REMOVAL:
            return lets_through(s, el.index)
        if el.kind == SCRAP:
            return True
        if el.kind == BAY:
            return bay_accepts(s, el.index, j)
        if el.kind == STALLS:
            st = s.stations[el.index]
            if st.n_jobs >= st.places or not may_move(s, el.section):
                return False
            if el.is_first == 0:
                return True
            note_units(s)
            return can_board(s, el.section, j)
        if el.kind != BUFFER:
            return False
        buffer = s.buffers[el.index]
        if buffer.n < buffer.capacity:
            return True
        if buffer.capacity or pulls(s, el.below):
            return False
        e = el.below


@rule
def is_wanting(s: State, k: int, e: int) -> bool:
    """Return whether a job waits above element ``e`` for a carrier, and none is free."""
    if s.carriers[k].free:
        return False
    j = offer(s, e)
    return j != NONE and s.cells[carrier_cell(s, j, k)] == 0


@rule
def is_kept_empty(s: State, k: int) -> bool:
    """Return whether the place where a carrier boards is empty because a job waits and none is free."""
    carrier = s.carriers[k]
    el = s.elements[carrier.entrance]
    section = s.sections[el.section]
    if el.kind == STALLS:
        st = s.stations[el.index]
        if st.n_jobs >= st.places or not may_move(s, el.section):
            return False
        return is_wanting(s, k, carrier.entrance)
    i = section.first_hold
    while i != NONE:
        if s.items[i].place == section.first and s.items[i].cause == STARVED:
            return is_wanting(s, k, carrier.entrance)
        i = s.items[i].next
    return s.stations[section.first].job == NONE and carrier.has_gap == 1
