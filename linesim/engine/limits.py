"""A station's limit: the section stops, or the work left is carried on. And the calls before it."""

from __future__ import annotations

from linesim.engine.calls import call, call_becomes_stop, to_limit
from linesim.engine.closing import close_visit
from linesim.engine.lists import add_last, drop_item, join, new_item, note_job, note_piece, without
from linesim.engine.modes import find_hold, hold
from linesim.engine.open_work import carry, drawn_ticks
from linesim.engine.states import why_waiting
from linesim.engine.tables import COMING, OPEN_WORK, PAUSED, READY, RUNNING, WAITS, State, rule
from linesim.engine.visits import drop_piece, unlist_waiting, visit_at
from linesim.engine.work import halt, let_go
from linesim.ledger.ledger import E_OPEN_WORK, E_TASK_LEFT
from linesim.plan.tables import NONE
from linesim.plan.words import BREAKDOWN, OVERRUN, REPEAT, S_DOWN, WAITING


@rule
def meet_limit(s: State, j: int, k: int) -> None:
    """Deal with work on a job that is still open when a station reaches its limit for it."""
    v = visit_at(s, j, k)
    if v == NONE:
        return
    st, visit = s.stations[k], s.visits[v]
    st.overruns += 1
    st.overload += work_left(s, v)
    if st.stops_at_limit == 0:
        s.jobs[j].is_unclean = 1
        break_off(s, v)
        return
    visit.is_stopped = 1
    call_becomes_stop(s, v)
    hold(s, st.section, k, OVERRUN)
    section = s.sections[st.section]
    visit.next_unnamed = NONE
    if section.last_unnamed == NONE:
        section.first_unnamed = v
    else:
        s.visits[section.last_unnamed].next_unnamed = v
    section.last_unnamed = v


@rule
def name_causes(s: State, x: int) -> None:
    """Give the stops that begin at this instant their causes, now that all that can begin has begun.

    A task that begins as another ends at the limit makes an overrun: the station works on. A limit met as
    working time ends stops the section only when that begins again, and gets its cause then.
    """
    section = s.sections[x]
    v = section.first_unnamed
    section.first_unnamed = section.last_unnamed = NONE
    while v != NONE:
        k = s.visits[v].station
        i = find_hold(s, x, k, OVERRUN)
        if i != NONE:  # else the work was over in the break
            cause = cause_of(s, v)
            s.items[i].cause = cause
            drop_second_hold(s, x, k, cause)
        v = s.visits[v].next_unnamed


@rule
def drop_second_hold(s: State, x: int, k: int, cause: int) -> None:
    """Drop the later of two holds that have become alike."""
    section = s.sections[x]
    i = s.items[find_hold(s, x, k, cause)].next
    while i != NONE:
        if s.items[i].place == k and s.items[i].cause == cause:
            section.first_hold = without(s.items, section.first_hold, i)
            drop_item(s, i)
            return
        i = s.items[i].next


@rule
def waiting_ticks(s: State, v: int) -> int:
    """Return the drawn ticks of the tasks of a visit that wait for earlier work."""
    visit = s.visits[v]
    first, left = s.stations[visit.station].first_task, 0
    for i in range(visit.tasks, visit.tasks + visit.n_tasks):
        t = s.links[i]
        if s.cells[visit.cells + 2 * (t - first) + 1] == WAITS:
            left += drawn_ticks(s, visit.job, t)
    return left


@rule
def work_left(s: State, v: int) -> int:
    """Return the work left on a visit [ticks], summed over its tasks whoever does them."""
    visit = s.visits[v]
    left = waiting_ticks(s, v)
    p = visit.first_piece
    while p != NONE:
        left += left_of(s, p)
        p = s.pieces[p].next
    i = visit.first_later
    while i != NONE:
        left += s.items[i].remaining
        i = s.items[i].next
    return left


@rule
def left_of(s: State, p: int) -> int:
    """Return the work left of one piece [ticks]."""
    piece = s.pieces[p]
    if piece.state == RUNNING:
        return piece.end - s.w[0].now
    if piece.remaining != NONE:
        return piece.remaining
    return drawn_ticks(s, s.visits[piece.visit].job, piece.task)


@rule
def cause_of(s: State, v: int) -> int:
    """Return the cause of a stop that a visit begins."""
    visit = s.visits[v]
    p = visit.first_piece
    while p != NONE:
        if s.pieces[p].state == RUNNING:
            if visit.is_redone:
                return REPEAT
            return OVERRUN
        p = s.pieces[p].next
    disturbed = s.stations[visit.station].first_disturbed
    if disturbed != NONE:
        return s.modes[disturbed].cause
    if why_waiting(s, visit.station) == S_DOWN:
        return BREAKDOWN
    return WAITING


@rule
def break_off(s: State, v: int) -> None:
    """Let the job of a visit go: what is left of its work becomes open work."""
    visit = s.visits[v]
    j, k = visit.job, visit.station
    st = s.stations[k]
    first = NONE
    p = visit.first_piece
    while p != NONE:
        piece = s.pieces[p]
        following = piece.next
        people = piece.people
        if piece.fault != NONE:
            people = 0
        i = new_item(s, piece.task, left_of(s, p), people, piece.fault)
        first = add_last(s.items, first, i)
        drop(s, p)
        p = following
    first = join(s.items, first, visit.first_later)
    visit.first_later = NONE
    for a in range(visit.tasks, visit.tasks + visit.n_tasks):
        t = s.links[a]
        if s.cells[visit.cells + 2 * (t - st.first_task) + 1] == WAITS:
            i = new_item(s, t, drawn_ticks(s, j, t), s.tasks[t].people, NONE)
            first = add_last(s.items, first, i)
    st.unfinished += 1
    note_job(s, E_OPEN_WORK, j, k, NONE)
    visit.left = 0
    close_visit(s, v)
    carry(s, j, first, st.open_to)


@rule
def drop(s: State, p: int) -> None:
    """Take a piece out of its station, whatever it is doing."""
    piece = s.pieces[p]
    state = piece.state
    if state == READY:
        unlist_waiting(s, p)
    elif state == RUNNING:
        halt(s, p)
    if state in (COMING, RUNNING, PAUSED):
        piece.serial = 0
        note_piece(s, E_TASK_LEFT, p)
        let_go(s, p)
    drop_piece(s, p)


# Calls


@rule
def consider_call(s: State, j: int, k: int) -> None:
    """Call for help if the work left on a job is not expected to fit before the limit."""
    v = visit_at(s, j, k)
    if v == NONE or s.visits[v].is_called:
        return
    if expected_work(s, v) > to_limit(s, v) * present_people(s, v):
        call(s, v)


@rule
def present_people(s: State, v: int) -> int:
    """Return how many people work on a visit or could: the present staffing, at least 1."""
    visit = s.visits[v]
    n = 0
    p = visit.first_piece
    while p != NONE:
        piece = s.pieces[p]
        if piece.state == COMING or piece.state == RUNNING:
            o = piece.first_person
            while o != NONE:
                n += 1
                o = s.operators[o].next
        p = piece.next
    st = s.stations[visit.station]
    for i in range(st.crews, st.crews + st.n_crews):
        crew = s.crews[s.ints[i]]
        if crew.is_on:
            n += crew.n_free
    return max(1, n)


@rule
def expected_work(s: State, v: int) -> float:
    """Return the person-ticks of work expected on a visit: mean times, less what was worked already."""
    visit, w = s.visits[v], s.w[0]
    expected = 0.0
    p = visit.first_piece
    while p != NONE:
        piece = s.pieces[p]
        people = max(1, piece.people)
        if piece.kind == OPEN_WORK:
            expected += people * left_of(s, p)
        else:
            left = s.steps[visit.steps + piece.task].mean
            if piece.state == RUNNING:
                left -= w.now - piece.since
            expected += people * max(0.0, left)
        p = piece.next
    later = 0
    i = visit.first_later
    while i != NONE:
        later += max(1, s.items[i].people) * s.items[i].remaining
        i = s.items[i].next
    expected += later
    first = s.stations[visit.station].first_task
    for a in range(visit.tasks, visit.tasks + visit.n_tasks):
        t = s.links[a]
        if s.cells[visit.cells + 2 * (t - first) + 1] == WAITS:
            expected += max(1, s.tasks[t].people) * s.steps[visit.steps + t].mean
    return expected
