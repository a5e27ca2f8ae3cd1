"""Pieces of work: they start when all they need is free together, pause, go on, and end."""

from __future__ import annotations

from linesim.engine.calendars import record
from linesim.engine.closing import close_visit, count_jobs
from linesim.engine.faults import leaves_to_redo, look_for, settle_open_work
from linesim.engine.lists import (
    draw,
    look,
    look_at,
    note_piece,
    timer,
    touch,
    touch_people,
    touch_person,
    touch_robot,
    touch_waiting,
)
from linesim.engine.modes import rest_mode, run_mode, switch_modes
from linesim.engine.order import TASK as TASK_ENDS
from linesim.engine.order import WALK
from linesim.engine.people import choose_people, conveyor_clock, give_back, slowed, walk_ticks
from linesim.engine.tables import COMING, DONE, OVER, PAUSED, RUNNING, TASK, State, rule
from linesim.engine.visits import (
    drop_piece,
    new_piece,
    one_less_before,
    set_done,
    unlist_waiting,
    work_done_elsewhere,
)
from linesim.ledger.ledger import (
    E_REDO,
    E_TASK_END,
    E_TASK_PAUSE,
    E_TASK_RESUME,
    E_TASK_START,
    E_WALK,
)
from linesim.plan.tables import NONE

# Starting


@rule
def has_room(s: State, p: int) -> bool:
    """Return whether the zone of a piece has room for its people on its job."""
    piece = s.pieces[p]
    return s.cells[zone_cell(s, p)] + piece.people <= s.ints[piece.zone]


@rule
def zone_cell(s: State, p: int) -> int:
    """Return the cell that counts the people in the zone of a piece, on its job."""
    piece = s.pieces[p]
    return s.jobs[s.visits[piece.visit].job].cells + 2 * s.w[0].n_tasks + piece.zone


@rule
def tools_free(s: State, p: int) -> bool:
    """Return whether every tool that a piece needs is free."""
    piece = s.pieces[p]
    for i in range(piece.tools, piece.tools + piece.n_tools):
        if s.tools[s.ints[i]].free == 0:
            return False
    return True


@rule
def robots_ready(s: State, p: int) -> bool:
    """Return whether every robot that a piece needs can take work."""
    piece = s.pieces[p]
    for i in range(piece.robots, piece.robots + piece.n_robots):
        robot = s.robots[s.ints[i]]
        if robot.piece != NONE or robot.down or robot.is_on == 0:
            return False
    return True


@rule
def try_start(s: State, p: int) -> None:
    """Start a piece if everything it needs is free together.

    Nothing is kept for work that waits, so pieces that need less may pass it by again and again.
    """
    piece = s.pieces[p]
    k = s.visits[piece.visit].station
    st = s.stations[k]
    if st.first_disturbed != NONE:
        return
    if piece.people == 0 and s.sections[st.section].is_on == 0:
        return
    if piece.n_robots and not robots_ready(s, p):
        return
    if piece.n_tools and not tools_free(s, p):
        return
    if piece.zone != NONE and not has_room(s, p):
        return
    if piece.people and not choose_people(s, p):
        return
    begin(s, p)


@rule
def change_tool(s: State, tool: int, by: int) -> None:
    """Count pieces of a tool as free."""
    row = s.tools[tool]
    row.free += by
    record(s, row.busy, row.count - row.free)
    touch_waiting(s, row.stations, row.n_stations)


@rule
def hold_robot(s: State, r: int, p: int) -> None:
    """Let a robot be held by a piece, NONE for none."""
    robot = s.robots[r]
    robot.piece = p
    touch_waiting(s, robot.stations, robot.n_stations)


@rule
def begin(s: State, p: int) -> None:
    """Let a piece take all it needs, and start once its people are there."""
    piece, now = s.pieces[p], s.w[0].now
    v = piece.visit
    visit = s.visits[v]
    job = s.jobs[visit.job]
    unlist_waiting(s, p)
    for i in range(piece.robots, piece.robots + piece.n_robots):
        hold_robot(s, s.ints[i], p)
    for i in range(piece.tools, piece.tools + piece.n_tools):
        change_tool(s, s.ints[i], -1)
    if piece.zone != NONE:
        s.cells[zone_cell(s, p)] += piece.people
    walk = 0
    o = piece.first_person
    while o != NONE:
        operator = s.operators[o]
        operator.piece = p
        if operator.last_job != job.serial:
            walk = max(walk, walk_ticks(s, o, v))
            operator.last_job = job.serial
        o = operator.next
    touch(s, visit.station)
    if walk:
        piece.state = COMING
        piece.serial = timer(s, now + walk, WALK, piece.task, job.number, p)
        note_piece(s, E_WALK, p)
    else:
        start(s, p)


@rule
def arrive(s: State, p: int, serial: int) -> None:
    """Start a piece: its people are there."""
    piece = s.pieces[p]
    if serial == piece.serial and piece.state == COMING:
        touch_people(s, piece.first_person)
        start(s, p)


@rule
def start(s: State, p: int) -> None:
    """Begin the work itself: draw its time if it is fresh, and run unless something keeps it paused."""
    piece = s.pieces[p]
    if piece.remaining == NONE:
        visit = s.visits[piece.visit]
        job = s.jobs[visit.job]
        at = job.cells + 2 * piece.task
        piece.attempt = s.cells[at] // 2
        s.cells[at] += 2
        column = s.steps[visit.steps + piece.task].column
        piece.remaining = slowed(s, p, draw(s, column, piece.attempt, job.number))
    note_piece(s, E_TASK_START, p)
    blocks = 0
    o = piece.first_person
    while o != NONE:
        operator = s.operators[o]
        if s.crews[operator.crew].is_on == 0:
            blocks += 1
        o = operator.next
    for i in range(piece.robots, piece.robots + piece.n_robots):
        if s.robots[s.ints[i]].down:
            blocks += 1
    piece.blocks = blocks
    piece.state = PAUSED
    if blocks == 0:
        run(s, p)
    else:
        note_piece(s, E_TASK_PAUSE, p)


@rule
def run(s: State, p: int) -> None:
    """Let the work of a piece go on from where it stands."""
    piece, now = s.pieces[p], s.w[0].now
    visit = s.visits[piece.visit]
    k = visit.station
    piece.state = RUNNING
    piece.since = now
    piece.end = now + piece.remaining
    piece.serial = timer(s, piece.end, TASK_ENDS, piece.task, s.jobs[visit.job].number, p)
    st = s.stations[k]
    st.n_running += 1
    touch(s, k)
    for i in range(piece.robots, piece.robots + piece.n_robots):
        robot = s.robots[s.ints[i]]
        touch_robot(s, s.ints[i])
        switch_modes(s, robot.modes, robot.n_modes, True)
    if st.n_running == 1:
        for i in range(st.modes, st.modes + st.n_modes):
            run_mode(s, s.ints[i])


@rule
def halt(s: State, p: int) -> None:
    """Stop the work of a piece where it stands, done or not."""
    piece = s.pieces[p]
    k = s.visits[piece.visit].station
    piece.remaining = piece.end - s.w[0].now
    piece.serial = 0
    st = s.stations[k]
    st.n_running -= 1
    touch(s, k)
    for i in range(piece.robots, piece.robots + piece.n_robots):
        robot = s.robots[s.ints[i]]
        touch_robot(s, s.ints[i])
        switch_modes(s, robot.modes, robot.n_modes, False)
    if st.n_running == 0:
        for i in range(st.modes, st.modes + st.n_modes):
            rest_mode(s, s.ints[i])


@rule
def block(s: State, p: int) -> None:
    """Pause a piece for one more reason: its people go off, or its robot fails."""
    piece = s.pieces[p]
    if piece.state != RUNNING and piece.state != PAUSED:
        return
    piece.blocks += 1
    if piece.state == RUNNING:
        halt(s, p)
        piece.state = PAUSED
        note_piece(s, E_TASK_PAUSE, p)
        touch_people(s, piece.first_person)


@rule
def unblock(s: State, p: int) -> None:
    """Drop one reason for the pause of a piece, and let it go on if it was the last."""
    piece = s.pieces[p]
    if piece.state != PAUSED:
        return
    piece.blocks -= 1
    if piece.blocks == 0:
        run(s, p)
        note_piece(s, E_TASK_RESUME, p)
        touch_people(s, piece.first_person)


# Ending


@rule
def let_go(s: State, p: int) -> None:
    """Free everything that a piece holds."""
    piece = s.pieces[p]
    visit = s.visits[piece.visit]
    job = s.jobs[visit.job]
    o = piece.first_person
    if o != NONE:
        x = s.stations[visit.station].section
        place = conveyor_clock(s, x) - job.boarded
        while o != NONE:
            operator = s.operators[o]
            following = operator.next
            operator.piece = NONE
            operator.section = x
            operator.position = place
            if operator.helps == NONE:
                give_back(s, o)
            else:
                touch_person(s, o)
                look(s, visit.station)
            o = following
        piece.first_person = NONE
    for i in range(piece.robots, piece.robots + piece.n_robots):
        robot = s.robots[s.ints[i]]
        hold_robot(s, s.ints[i], NONE)
        touch_robot(s, s.ints[i])
        look_at(s, robot.stations, robot.n_stations)
    for i in range(piece.tools, piece.tools + piece.n_tools):
        tool = s.tools[s.ints[i]]
        change_tool(s, s.ints[i], 1)
        look_at(s, tool.stations, tool.n_stations)
    if piece.zone != NONE:
        s.cells[zone_cell(s, p)] -= piece.people
        v = job.first_visit
        while v != NONE:
            touch(s, s.visits[v].station)
            look(s, s.visits[v].station)
            v = s.visits[v].next_of_job


@rule
def end(s: State, p: int, serial: int) -> None:
    """End a piece whose time is over."""
    piece = s.pieces[p]
    if serial != piece.serial:
        return
    halt(s, p)
    piece.state = DONE
    note_piece(s, E_TASK_END, p)
    let_go(s, p)
    v = piece.visit
    visit = s.visits[v]
    for i in range(piece.robots, piece.robots + piece.n_robots):
        robot = s.robots[s.ints[i]]
        count_jobs(s, robot.modes, robot.n_modes)
    if piece.kind == TASK:
        if s.tasks[piece.task].n_faults and leaves_to_redo(s, p):
            redo(s, p)
            return
        end_task(s, v, piece.task)
    else:
        settle_open_work(s, visit.job, p)
    drop_piece(s, p)
    visit.left -= 1
    if visit.left == 0:
        close_visit(s, v)


@rule
def end_task(s: State, v: int, t: int) -> None:
    """Let what waits for a task be ready: it is done."""
    visit = s.visits[v]
    j, k = visit.job, visit.station
    set_done(s, j, t, 1)
    s.cells[visit.cells + 2 * (t - s.stations[k].first_task) + 1] = OVER
    step = s.steps[visit.steps + t]
    for i in range(step.then, step.then + step.n_then):
        one_less_before(s, v, s.links[i])
    if step.elsewhere or s.jobs[j].n_open:
        work_done_elsewhere(s, j, t)
    if s.tasks[t].inspects:
        look_for(s, j, k, t)


@rule
def redo(s: State, p: int) -> None:
    """Put a task that went wrong back among those that may start."""
    piece = s.pieces[p]
    v, t, tries = piece.visit, piece.task, piece.tries
    drop_piece(s, p)
    s.visits[v].is_redone = 1
    s.jobs[s.visits[v].job].is_unclean = 1
    again = new_piece(s, v, t, TASK)
    s.pieces[again].tries = tries + 1
    note_piece(s, E_REDO, again)
