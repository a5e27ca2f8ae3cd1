"""Visits: the work on one job at one station, from opening to closing."""

from __future__ import annotations

from linesim.engine.lists import PIECES, VISITS, add_last, drop_item, look, make_room, touch, without
from linesim.engine.order import NO_LIMIT
from linesim.engine.people import conveyor_clock
from linesim.engine.tables import BEGUN, DONE, OPEN_WORK, OVER, READY, TASK, WAITS, State, rule
from linesim.plan.tables import NONE

# Cells of a job, by task: how often it was begun and whether it is done, and where it is open.


@rule
def is_done(s: State, j: int, t: int) -> bool:
    """Return whether a task is done on a job."""
    return s.cells[s.jobs[j].cells + 2 * t] & 1 == 1


@rule
def set_done(s: State, j: int, t: int, done: int) -> None:
    """Note whether a task is done on a job."""
    at = s.jobs[j].cells + 2 * t
    s.cells[at] = s.cells[at] // 2 * 2 + done


@rule
def open_place(s: State, j: int, t: int) -> int:
    """Return where a task left open on a job is to be done, or NONE if it is not open."""
    return s.cells[s.jobs[j].cells + 2 * t + 1] - 1


@rule
def set_open(s: State, j: int, t: int, place: int) -> None:
    """Note where a task of a job is open, NONE for nowhere at all because it is not open."""
    job = s.jobs[j]
    at = job.cells + 2 * t + 1
    if s.cells[at] == 0 and place != NONE:
        job.n_open += 1
    elif s.cells[at] and place == NONE:
        job.n_open -= 1
    s.cells[at] = place + 1


@rule
def attempts(s: State, j: int, t: int) -> int:
    """Return how often a task was begun on a job."""
    return s.cells[s.jobs[j].cells + 2 * t] // 2


@rule
def step_of(s: State, j: int, t: int) -> int:
    """Return the row of a task on a job in the table of steps."""
    return s.works[s.jobs[j].variant * s.w[0].n_stations + s.tasks[t].station].steps + t


@rule
def waits_for_earlier(s: State, j: int, t: int) -> bool:
    """Return whether something that a task comes after is not done."""
    step = s.steps[step_of(s, j, t)]
    for i in range(step.before, step.before + step.n_before):
        if not is_done(s, j, s.links[i]):
            return True
    return False


# Opening


@rule
def visit_at(s: State, j: int, k: int) -> int:
    """Return the open visit of a job at a station, or NONE."""
    v = s.jobs[j].first_visit
    while v != NONE:
        if s.visits[v].station == k:
            return v
        v = s.visits[v].next_of_job
    return NONE


@rule
def new_visit(s: State, j: int, k: int, limit: int) -> int:
    """Return a fresh visit with all tasks of its job there, in no list yet."""
    w = s.w[0]
    v = w.free_visit
    if v != NONE:
        w.free_visit = s.visits[v].next
    else:
        v = w.used_visits
        w.used_visits += 1
        make_room(s, VISITS, v)
    visit, st = s.visits[v], s.stations[k]
    work = s.works[s.jobs[j].variant * w.n_stations + k]
    visit.job = j
    visit.station = k
    visit.limit = limit
    visit.left = work.n_tasks
    visit.has_outer = work.has_outer
    visit.tasks = work.tasks
    visit.n_tasks = work.n_tasks
    visit.steps = work.steps
    visit.is_called = visit.is_redone = visit.is_stopped = visit.is_open_call = 0
    visit.first_piece = visit.first_later = NONE
    visit.first_helper = visit.last_helper = NONE
    visit.asked_at = NONE
    visit.next = visit.next_of_job = visit.next_call = visit.next_unnamed = NONE
    for i in range(work.tasks, work.tasks + work.n_tasks):
        t = s.links[i]
        at = visit.cells + 2 * (t - st.first_task)
        s.cells[at] = s.steps[work.steps + t].n_pred
        s.cells[at + 1] = WAITS
    return v


@rule
def leave_out(s: State, v: int, t: int) -> None:
    """Leave a task out of a visit that nobody has begun; what waits for it here does so no more."""
    visit = s.visits[v]
    first = s.stations[visit.station].first_task
    step = s.steps[visit.steps + t]
    visit.left -= 1
    s.cells[visit.cells + 2 * (t - first) + 1] = OVER
    for i in range(step.then, step.then + step.n_then):
        s.cells[visit.cells + 2 * (s.links[i] - first)] -= 1


@rule
def list_visit(s: State, v: int) -> None:
    """Put a visit in the lists of its job and its station."""
    visit = s.visits[v]
    job, st = s.jobs[visit.job], s.stations[visit.station]
    if job.last_visit == NONE:
        job.first_visit = v
    else:
        s.visits[job.last_visit].next_of_job = v
    job.last_visit = v
    st.first_visit = add_last(s.visits, st.first_visit, v)


@rule
def limit_of(s: State, j: int, k: int) -> int:
    """Return the conveyor clock at which work on a job at a station must be over."""
    st = s.stations[k]
    section = s.sections[st.section]
    return s.jobs[j].boarded + (st.position + 1) * section.takt - section.transfer + st.late


@rule
def is_past(s: State, j: int, k: int) -> bool:
    """Return whether a job on the conveyor of a station was within its reach before now."""
    st = s.stations[k]
    section = s.sections[st.section]
    if section.is_paced == 0 or s.jobs[j].reached <= st.position:
        return False
    for i in range(section.stations, section.stations + section.n_stations):
        if s.stations[s.ints[i]].job == j:
            return True
    return False


@rule
def open_again(s: State, j: int, k: int) -> int:
    """Return a new visit for work that comes up after that on a job was over, if it still is in reach."""
    if not is_past(s, j, k):
        return NONE
    limit = limit_of(s, j, k)
    if conveyor_clock(s, s.stations[k].section) >= limit:
        return NONE
    v = new_visit(s, j, k, limit)
    visit, first = s.visits[v], s.stations[k].first_task
    for i in range(visit.tasks, visit.tasks + visit.n_tasks):
        s.cells[visit.cells + 2 * (s.links[i] - first) + 1] = OVER
    visit.left = 0
    list_visit(s, v)
    return v


@rule
def new_piece(s: State, v: int, t: int, kind: int) -> int:
    """Put a fresh piece of work among those of a visit that may start."""
    w = s.w[0]
    p = w.free_piece
    if p != NONE:
        w.free_piece = s.pieces[p].next
    else:
        p = w.used_pieces
        w.used_pieces += 1
        make_room(s, PIECES, p)
    piece, visit = s.pieces[p], s.visits[v]
    st = s.stations[visit.station]
    piece.visit = v
    piece.task = t
    piece.kind = kind
    piece.state = READY
    piece.remaining = NONE
    piece.serial = piece.attempt = piece.tries = piece.blocks = 0
    piece.fault = piece.first_person = NONE
    if kind == TASK:
        task = s.tasks[t]
        piece.people = task.people
        piece.crews = task.crews
        piece.n_crews = task.n_crews
        piece.robots = task.robots
        piece.n_robots = task.n_robots
        piece.tools = task.tools
        piece.n_tools = task.n_tools
        piece.zone = task.zone
    visit.first_piece = add_last(s.pieces, visit.first_piece, p)
    piece.next_waiting = NONE
    if st.last_waiting == NONE:
        st.first_waiting = p
    else:
        s.pieces[st.last_waiting].next_waiting = p
    st.last_waiting = p
    touch(s, visit.station)
    look(s, visit.station)
    return p


@rule
def make_ready(s: State, v: int, t: int) -> None:
    """Put a task of a visit among those that may start."""
    visit = s.visits[v]
    s.cells[visit.cells + 2 * (t - s.stations[visit.station].first_task) + 1] = BEGUN
    new_piece(s, v, t, TASK)


@rule
def one_less_before(s: State, v: int, t: int) -> None:
    """Count one task less that a task of a visit waits for."""
    visit = s.visits[v]
    at = visit.cells + 2 * (t - s.stations[visit.station].first_task)
    if s.cells[at + 1] == WAITS:
        s.cells[at] -= 1
        if s.cells[at] == 0:
            make_ready(s, v, t)


@rule
def unlist_waiting(s: State, p: int) -> None:
    """Take a piece off those that wait at its station."""
    piece = s.pieces[p]
    st = s.stations[s.visits[piece.visit].station]
    before = NONE
    i = st.first_waiting
    while i != p:
        before = i
        i = s.pieces[i].next_waiting
    if before == NONE:
        st.first_waiting = piece.next_waiting
    else:
        s.pieces[before].next_waiting = piece.next_waiting
    if st.last_waiting == p:
        st.last_waiting = before


@rule
def drop_piece(s: State, p: int) -> None:
    """Take a piece off its visit and give back its slot."""
    piece = s.pieces[p]
    visit = s.visits[piece.visit]
    visit.first_piece = without(s.pieces, visit.first_piece, p)
    piece.serial = 0
    piece.state = DONE
    w = s.w[0]
    piece.next = w.free_piece
    w.free_piece = p


@rule
def add_open_work(s: State, v: int, i: int) -> None:
    """Add work that the job brought along, or a fault to put right, to a visit.

    Open work waits for earlier work that is not done yet. It takes the people whom the work took where it
    belongs, at least one and at most all who cover this station, and the same tools. A station that no crew
    covers, such as a robot's, does it by itself.
    """
    visit, item = s.visits[v], s.items[i]
    visit.left += 1
    if item.fault == NONE and waits_for_earlier(s, visit.job, item.task):
        visit.first_later = add_last(s.items, visit.first_later, i)
        touch(s, visit.station)
        return
    k = visit.station
    st = s.stations[k]
    p = new_piece(s, v, item.task, OPEN_WORK)
    piece = s.pieces[p]
    piece.remaining = item.remaining
    piece.fault = item.fault
    piece.people = min(max(1, item.people), st.people)
    piece.crews = st.crews
    piece.n_crews = st.n_crews
    piece.n_robots = piece.n_tools = 0
    piece.zone = NONE
    if item.fault == NONE:
        piece.tools = s.tasks[item.task].tools
        piece.n_tools = s.tasks[item.task].n_tools
        for a in range(piece.tools, piece.tools + piece.n_tools):
            list_tool(s, s.ints[a], k)
    drop_item(s, i)


@rule
def list_tool(s: State, tool: int, k: int) -> None:
    """Note that a tool is used at station ``k``."""
    row = s.tools[tool]
    for i in range(row.stations, row.stations + row.n_stations):
        if s.ints[i] == k:
            return
    s.ints[row.stations + row.n_stations] = k
    row.n_stations += 1


@rule
def work_done_elsewhere(s: State, j: int, t: int) -> None:
    """Tell the open visits of a job at other stations that a task is done."""
    v = s.jobs[j].first_visit
    while v != NONE:
        visit = s.visits[v]
        following = visit.next_of_job
        if visit.first_later != NONE:
            i = visit.first_later
            visit.first_later = NONE
            while i != NONE:
                after = s.items[i].next
                visit.left -= 1
                add_open_work(s, v, i)
                i = after
            touch(s, visit.station)
        if visit.has_outer:
            tell_visit(s, v, t)
        v = following


@rule
def tell_visit(s: State, v: int, t: int) -> None:
    """Tell one visit that a task of another station is done."""
    visit = s.visits[v]
    for i in range(visit.tasks, visit.tasks + visit.n_tasks):
        step = s.steps[visit.steps + s.links[i]]
        for a in range(step.outer, step.outer + step.n_outer):
            if s.links[a] == t:
                one_less_before(s, v, s.links[i])
                touch(s, visit.station)


# The queue for people and equipment


@rule
def set_urgency(s: State, p: int, clock: int) -> None:
    """Note how much running time a piece has until its limit, where the conveyor's clock shows ``clock``."""
    piece = s.pieces[p]
    limit = s.visits[piece.visit].limit
    piece.to_limit = NO_LIMIT
    if limit != NO_LIMIT:
        piece.to_limit = limit - clock


@rule
def is_before(s: State, a: int, b: int) -> bool:
    """Return whether piece ``a`` is served before ``b``, as `linesim.engine.order` says."""
    one, other = s.pieces[a], s.pieces[b]
    if one.to_limit != other.to_limit:
        return one.to_limit < other.to_limit
    first, second = s.visits[one.visit], s.visits[other.visit]
    if first.station != second.station:
        return s.stations[first.station].depth > s.stations[second.station].depth
    if one.task != other.task:
        return one.task < other.task
    return s.jobs[first.job].number < s.jobs[second.job].number
