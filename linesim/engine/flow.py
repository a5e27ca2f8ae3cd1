"""Where jobs go: what an element takes, what it offers, and how a job is handed on along the line."""

from __future__ import annotations

from linesim.engine.bays import after_bay, give_from_bay, outlet, part, take_into_bay
from linesim.engine.calendars import come_to, worked
from linesim.engine.closing import count_jobs
from linesim.engine.conveyor import begin_mark, end_mark
from linesim.engine.lists import note_job, timer, touch, touch_section, wake, wake_inlets
from linesim.engine.modes import drop_hold
from linesim.engine.offers import (
    accepts,
    find_offer,
    gap_is_fine,
    job_waits,
    lets_in,
    may_move,
    may_pass,
    note_units,
    outlet_of,
    pulls,
)
from linesim.engine.opening import open_visit
from linesim.engine.order import NO_LIMIT, TRAVEL
from linesim.engine.tables import BAY, BUFFER, JOIN, PACED, REMOVAL, STALLS, SUPPLY, State, rule
from linesim.engine.traffic import (
    bring,
    finish,
    lets_through,
    merge,
    prepared,
    scrap_at_end,
    take_carrier,
    unit_cell,
)
from linesim.ledger.ledger import E_BUFFER_IN, E_BUFFER_OUT, E_ENTER, E_LEAVE
from linesim.plan.tables import NONE
from linesim.plan.words import BLOCKED

# Handing on


@rule
def change_buffer(s: State, b: int, by: int) -> None:
    """Book the level of a buffer that changes."""
    buffer, now = s.buffers[b], s.w[0].now
    at = worked(s, buffer.hours)
    s.ticks[buffer.levels + buffer.n] += at - buffer.worked
    s.ticks[buffer.levels_clock + buffer.n] += now - buffer.since
    buffer.since = now
    buffer.worked = at
    buffer.n += by
    buffer.highest = max(buffer.highest, buffer.n)


@rule
def put_in_buffer(s: State, b: int, j: int, travel: int) -> None:
    """Put a job at the end of a buffer, ``travel`` ticks away from where it can be taken."""
    buffer, now, job = s.buffers[b], s.w[0].now, s.jobs[j]
    job.arrives = now + travel
    come_to(s, j, buffer.hours)
    job.next = NONE
    if buffer.last == NONE:
        buffer.first = j
    else:
        s.jobs[buffer.last].next = j
    buffer.last = j
    change_buffer(s, b, 1)
    note_job(s, E_BUFFER_IN, j, NONE, b)
    if travel:
        timer(s, now + travel, TRAVEL, b, 0, b)
    else:
        wake(s, buffer.element)


@rule
def take_from_buffer(s: State, b: int) -> int:
    """Take the first job out of a buffer."""
    buffer = s.buffers[b]
    j = buffer.first
    buffer.first = s.jobs[j].next
    if buffer.first == NONE:
        buffer.last = NONE
    change_buffer(s, b, -1)
    note_job(s, E_BUFFER_OUT, j, NONE, b)
    wake_inlets(s, buffer.element)
    return j


@rule
def take_from_stalls(s: State, e: int) -> int:
    """Take the job that was finished first out of a free station."""
    el = s.elements[e]
    st = s.stations[el.index]
    j = st.first_ready
    st.first_ready = s.jobs[j].next
    st.n_jobs -= 1
    touch(s, el.index)
    note_job(s, E_LEAVE, j, el.index, NONE)
    if el.is_last:
        part(s, el.section, j)
        section = s.sections[el.section]
        count_jobs(s, section.modes, section.n_modes)
    wake_inlets(s, e)
    wake(s, e)
    return j


@rule
def hand_on(s: State, e: int, to_bay: bool) -> int:
    """Hand on the job that an element offers; return it, or NONE where a section passes an empty place.

    A section that passes its mark takes a job from above, and the units of its feeders, before its jobs pass
    on; what is above may be a section that passes its mark by that, and so on up the line. Each notes how far
    it is, and who waits for the job that leaves it.
    """
    at, asked, job = e, NONE, NONE
    while True:
        # Up: what does ``at`` hand on, which ``asked`` waits for?
        has_job = True
        el = s.elements[at]
        if el.kind == SUPPLY:
            gate = s.gates[el.index]
            if gate.is_rated:
                gate.due -= 1
            job = bring(s, el.index)
        elif el.kind == BAY:
            job = give_from_bay(s, el.index, to_bay)
        elif el.kind == STALLS:
            job = take_from_stalls(s, at)
        elif el.kind == PACED:
            el.caller = asked
            el.step = NONE
            el.job = NONE
            begin_mark(s, el.section)
            if job_waits(s, el.section):
                asked = at
                at = el.above
                has_job = False
            else:
                el.step = s.sections[el.section].n_feeders
                job = NONE
                asked = at
        else:
            buffer = s.buffers[el.index]
            if buffer.n or buffer.travel:
                job = take_from_buffer(s, el.index)
            else:
                bay = lets_in(s, at)
                if bay != NONE:
                    job = give_from_bay(s, s.elements[bay].index, False)
                else:
                    at = el.above
                    has_job = False
        # Down: a job is there for ``asked``.
        while has_job and asked != NONE:
            el = s.elements[asked]
            section = s.sections[el.section]
            if el.step == NONE:
                el.job = job
                s.jobs[job].boarded = section.next_mark - section.takt
                s.jobs[job].reached = 0
                take_carriers(s, el.section, job)
            elif el.job != NONE:
                merge(s, job, el.job)
            el.step = next_feeder(s, asked)
            if el.step < section.n_feeders:
                at = s.elements[s.ints[section.feeders + el.step]].above
                has_job = False
            else:
                job = end_mark(s, el.section, el.job)
                asked = el.caller
        if has_job:
            return job


@rule
def next_feeder(s: State, e: int) -> int:
    """Return which feeder's unit the job that boards element ``e`` takes next, or their number."""
    el = s.elements[e]
    section = s.sections[el.section]
    if el.job == NONE:
        return section.n_feeders
    for step in range(el.step + 1, section.n_feeders):
        f = s.elements[s.ints[section.feeders + step]].index
        if s.cells[unit_cell(s, el.job, f)] == 0:
            return step
    return section.n_feeders


@rule
def take_carriers(s: State, x: int, j: int) -> None:
    """Give a job that boards a section the carriers that it has not."""
    section = s.sections[x]
    for i in range(section.boards, section.boards + section.n_boards):
        take_carrier(s, s.ints[i], j)


@rule
def fill_stall(s: State, e: int, j: int) -> None:
    """Put a job in a place of a free station and open the work on it."""
    el = s.elements[e]
    s.stations[el.index].n_jobs += 1
    come_to(s, j, s.sections[el.section].hours)
    touch(s, el.index)
    note_job(s, E_ENTER, j, el.index, NONE)
    open_visit(s, j, el.index, NO_LIMIT)


@rule
def take(s: State, e: int, j: int) -> None:
    """Push a job into an element that accepts it."""
    while s.elements[e].kind == BUFFER and s.buffers[s.elements[e].index].capacity == 0:
        e = s.elements[e].below
    el = s.elements[e]
    if el.kind == BUFFER:
        put_in_buffer(s, el.index, j, s.buffers[el.index].travel)
    elif el.kind == STALLS:
        if el.is_first:
            take_carriers(s, el.section, j)
            section = s.sections[el.section]
            for i in range(section.feeders, section.feeders + section.n_feeders):
                join = s.elements[s.ints[i]]
                if s.cells[unit_cell(s, j, join.index)] == 0:
                    merge(s, hand_on(s, join.above, False), j)
        fill_stall(s, e, j)
    elif el.kind == BAY:
        take_into_bay(s, el.index, j)
    elif el.kind == REMOVAL:
        gate = s.gates[el.index]
        if gate.is_rated:
            gate.due -= 1
        finish(s, j)
    else:
        scrap_at_end(s, j)


@rule
def rouse(s: State, e: int) -> None:
    """Have an element that pulls look at what is offered."""
    el = s.elements[e]
    if el.kind == JOIN:
        wake(s, el.entrance)
        wake_inlets(s, el.entrance)
    else:
        wake(s, e)


# Moves


@rule
def move(s: State, e: int) -> None:
    """Push on what can go."""
    el = s.elements[e]
    if el.kind == SUPPLY:
        move_supply(s, e)
    elif el.kind == BUFFER:
        move_buffer(s, e)
    elif el.kind == PACED:
        move_section(s, e)
    elif el.kind == STALLS:
        move_stalls(s, e)
    elif el.kind == BAY:
        move_bay(s, e)


@rule
def move_supply(s: State, e: int) -> None:
    """Bring what the line takes and the gate lets through."""
    el = s.elements[e]
    if pulls(s, el.below):
        if lets_through(s, el.index) and prepared(s, el.index) != NONE:
            rouse(s, el.below)
        return
    while lets_through(s, el.index):
        j = prepared(s, el.index)
        if j == NONE or not accepts(s, el.below, j):
            return
        take(s, el.below, hand_on(s, e, False))


@rule
def move_buffer(s: State, e: int) -> None:
    """Pass on the jobs that have arrived."""
    el = s.elements[e]
    buffer = s.buffers[el.index]
    if pulls(s, el.below):
        note_units(s)
        if find_offer(s, e, el.below) != NONE:
            rouse(s, el.below)
        return
    while buffer.n and s.jobs[buffer.first].arrives <= s.w[0].now and accepts(s, el.below, buffer.first):
        take(s, el.below, take_from_buffer(s, el.index))
    if buffer.capacity == 0:
        wake_inlets(s, e)


@rule
def move_stalls(s: State, e: int) -> None:
    """Hand on the jobs that are finished."""
    el = s.elements[e]
    st = s.stations[el.index]
    while st.first_ready != NONE and may_move(s, el.section):
        to = outlet_of(s, e, st.first_ready)
        if pulls(s, to):
            rouse(s, to)
            return
        if not accepts(s, to, st.first_ready):
            return
        take(s, to, take_from_stalls(s, e))


@rule
def move_bay(s: State, e: int) -> None:
    """Let go the jobs that are put right."""
    el = s.elements[e]
    bay = s.bays[el.index]
    while bay.first_done != NONE:
        to = after_bay(s, el.index, bay.first_done)
        if to == NONE:
            finish(s, give_from_bay(s, el.index, False))
            continue
        if not accepts(s, to, bay.first_done):
            return
        take(s, to, give_from_bay(s, el.index, s.elements[to].kind == BAY))


@rule
def move_section(s: State, e: int) -> None:
    """Begin the move and pass the mark of a conveyor that are due, if nothing holds it."""
    x = s.elements[e].section
    section = s.sections[x]
    if section.mark_due or section.move_due:
        touch_section(s, x)  # what it stands for may have changed
    if section.move_due and section.is_on and may_start_move(s, x):
        section.move_due = 0
        drop_hold(s, x, section.last, BLOCKED)
    if not may_pass(s, x) or not gap_is_fine(s, x):
        return
    last = s.stations[section.last].job
    if last == NONE:
        hand_on(s, e, False)
        return
    to = outlet(s, x, last)
    if pulls(s, to):
        rouse(s, to)
    elif accepts(s, to, last):
        take(s, to, hand_on(s, e, s.elements[to].kind == BAY))


@rule
def may_start_move(s: State, x: int) -> bool:
    """Return whether an indexed section may begin to step: all is finished, and the last job can leave."""
    section = s.sections[x]
    i = section.first_hold
    while i != NONE:
        if s.items[i].place != section.last or s.items[i].cause != BLOCKED:
            return False
        i = s.items[i].next
    last = s.stations[section.last].job
    if last == NONE:
        return True
    to = outlet(s, x, last)
    return pulls(s, to) or accepts(s, to, last)
