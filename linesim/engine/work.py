"""Pieces of work: they start when all they need is free together, pause, go on, and end."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linesim.engine import faults, visits
from linesim.engine.clock import Entry
from linesim.engine.crews import walk_ticks
from linesim.engine.jobs import (
    COMING,
    DONE,
    PAUSED,
    RUNNING,
    TASK,
    Piece,
)
from linesim.engine.order import TASK as TASK_ENDS
from linesim.engine.order import WALK
from linesim.plan.tables import NONE

if TYPE_CHECKING:
    from linesim.engine.crews import Operator
    from linesim.engine.line import Line


# Starting


def try_start(line: Line, piece: Piece) -> None:
    """Start ``piece`` if everything it needs is free together.

    Nothing is kept for work that waits, so pieces that need less may pass it by again and again.
    """
    need, visit = piece.need, piece.visit
    station = visit.station
    if station.disturbed:
        return
    if need.people == 0 and not station.section.is_on:
        return
    if need.robots and not all(line.robots[r].is_ready for r in need.robots):
        return
    if need.tools and not all(line.tools[k].free for k in need.tools):
        return
    if need.zone != NONE and not line.has_room(piece):
        return
    if need.people:
        people = choose_people(line, piece, need.people)
        if people is None:
            return
        piece.people = people
    begin(line, piece)


def choose_people(line: Line, piece: Piece, n: int) -> list[Operator] | None:
    """Take ``n`` people for ``piece`` from its crews, in the order named, or none at all.

    People already at the job come first, then helpers, then the first idle by number.
    """
    job = piece.visit.job
    if n == 1 and not piece.visit.helpers:
        for c in piece.need.crews:
            crew = line.crews[c]
            if crew.free and crew.is_on:
                operator = crew.pick(job)
                crew.free.remove(operator)
                return [operator]
        return None
    idle = [h for h in piece.visit.helpers if h.piece is None and h.crew.is_on]
    for c in piece.need.crews:
        if line.crews[c].is_on:
            idle += line.crews[c].free
    if len(idle) < n:
        return None
    idle.sort(key=lambda operator: (operator.last_job is not job, operator.helps is not None))
    chosen = idle[:n]
    for operator in chosen:
        if operator.helps is None:
            operator.crew.free.remove(operator)
    return chosen


def begin(line: Line, piece: Piece) -> None:
    """Let ``piece`` take all it needs, and start once its people are there."""
    need, visit, now = piece.need, piece.visit, line.clock.now
    station = visit.station
    station.waiting.remove(piece)
    for r in need.robots:
        robot = line.robots[r]
        robot.piece = piece
        piece.robots.append(robot)
    for k in need.tools:
        line.tools[k].free -= 1
        line.books.tools.change(k, 1, now)
    if need.zone != NONE:
        visit.job.zones[need.zone] = visit.job.zones.get(need.zone, 0) + need.people
    walk, job = 0, visit.job
    for operator in piece.people:
        operator.piece = piece
        if operator.last_job is not job:
            walk = max(walk, walk_ticks(operator, visit, now))
            operator.last_job = job
        line.dirty_crews.add(operator.crew.index)
    line.dirty_stations.add(station.index)
    if walk:
        piece.state = COMING
        piece.serial = line.clock.serial()
        line.clock.at(now + walk, (WALK, piece.task, job.number, piece.serial, piece))
        line.note_piece("walk", piece)
    else:
        start(line, piece)


def arrive(line: Line, entry: Entry) -> None:
    """Start the piece of ``entry``: its people are there."""
    serial, piece = entry[3], entry[4]
    if serial == piece.serial and piece.state == COMING:
        line.dirty_crews.update(operator.crew.index for operator in piece.people)
        start(line, piece)


def start(line: Line, piece: Piece) -> None:
    """Begin the work itself: draw its time if it is fresh, and run unless something keeps it paused."""
    visit = piece.visit
    if piece.remaining == NONE:
        job, task = visit.job, piece.task
        attempt = job.attempts.get(task, 0)
        job.attempts[task] = attempt + 1
        piece.attempt = attempt
        piece.remaining = line.draws.task_ticks(task, job.number, attempt, visit.work.shapes[piece.local])
    if line.events is not None:
        line.note_piece("task start", piece)
    blocks = 0
    for operator in piece.people:
        if not operator.crew.is_on:
            blocks += 1
    for robot in piece.robots:
        if robot.down:
            blocks += 1
    piece.blocks = blocks
    piece.state = PAUSED
    if blocks == 0:
        run(line, piece)
    elif line.events is not None:
        line.note_piece("task pause", piece)


def run(line: Line, piece: Piece) -> None:
    """Let the work of ``piece`` go on from where it stands."""
    now, clock, visit = line.clock.now, line.clock, piece.visit
    piece.state = RUNNING
    piece.since = now
    piece.end = now + piece.remaining
    piece.serial = clock.serial()
    clock.at(piece.end, (TASK_ENDS, piece.task, visit.job.number, piece.serial, piece))
    station = visit.station
    station.n_running += 1
    line.dirty_stations.add(station.index)
    for robot in piece.robots:
        line.dirty_robots.add(robot.index)
        for mode in robot.modes:
            mode.run()
    if station.modes and station.n_running == 1:
        for mode in station.modes:
            mode.run()


def halt(line: Line, piece: Piece) -> None:
    """Stop the work of ``piece`` where it stands, done or not."""
    piece.remaining = piece.end - line.clock.now
    piece.serial = 0
    station = piece.visit.station
    station.n_running -= 1
    line.dirty_stations.add(station.index)
    for robot in piece.robots:
        line.dirty_robots.add(robot.index)
        for mode in robot.modes:
            mode.rest()
    if station.modes and station.n_running == 0:
        for mode in station.modes:
            mode.rest()


def block(line: Line, piece: Piece) -> None:
    """Pause ``piece`` for one more reason: its people go off, or its robot fails."""
    if piece.state not in (RUNNING, PAUSED):
        return
    piece.blocks += 1
    if piece.state == RUNNING:
        halt(line, piece)
        piece.state = PAUSED
        line.note_piece("task pause", piece)
        line.dirty_crews.update(operator.crew.index for operator in piece.people)


def unblock(line: Line, piece: Piece) -> None:
    """Drop one reason for the pause of ``piece``, and let it go on if it was the last."""
    if piece.state != PAUSED:
        return
    piece.blocks -= 1
    if piece.blocks == 0:
        run(line, piece)
        line.note_piece("task resume", piece)
        line.dirty_crews.update(operator.crew.index for operator in piece.people)


# Ending


def let_go(line: Line, piece: Piece) -> None:
    """Free everything that ``piece`` holds."""
    need, visit, now = piece.need, piece.visit, line.clock.now
    to_dispatch = line.to_dispatch
    if piece.people:
        section = visit.station.section
        place = section.conveyor_clock(now) - visit.job.boarded
        for operator in piece.people:
            operator.piece = None
            operator.section, operator.position = section.index, place
            crew = operator.crew
            line.dirty_crews.add(crew.index)
            if operator.helps is None:
                crew.give_back(operator, now)
                to_dispatch.update(line.crew_stations[crew.index])
            else:
                to_dispatch.add(visit.station.index)
        piece.people = []
    for robot in piece.robots:
        robot.piece = None
        line.dirty_robots.add(robot.index)
        to_dispatch.update(line.robot_stations[robot.index])
    piece.robots = []
    for k in need.tools:
        line.tools[k].free += 1
        line.books.tools.change(k, -1, now)
        to_dispatch.update(line.tool_stations[k])
    if need.zone != NONE:
        visit.job.zones[need.zone] -= need.people
        to_dispatch.update(visit.job.visits)


def end(line: Line, entry: Entry) -> None:
    """End the piece of ``entry``, whose time is over."""
    piece: Piece = entry[4]
    if entry[3] != piece.serial:
        return
    halt(line, piece)
    piece.state = DONE
    if line.events is not None:
        line.note_piece("task end", piece)
    robots = piece.robots
    let_go(line, piece)
    visit = piece.visit
    visit.pieces.remove(piece)
    for robot in robots:
        for mode in robot.modes:
            mode.count_job()
    if piece.kind == TASK:
        if line.task_faults[piece.task] and faults.leaves_to_redo(line, piece):
            redo(line, piece)
            return
        job = visit.job
        job.done.add(piece.task)
        visit.status[piece.local] = 2
        for follower in visit.work.then[piece.local]:
            visit.pred_left[follower] -= 1
            if visit.pred_left[follower] == 0:
                visits.make_ready(line, visit, follower)
        if visit.work.then_elsewhere[piece.local] or job.open_tasks:
            visits.work_done_elsewhere(line, job, piece.task)
        if line.inspects[piece.task]:
            faults.look_for(line, job, visit.station.index, piece.task)
    else:
        faults.settle_open_work(line, visit.job, piece)
    visit.left -= 1
    if visit.left == 0:
        visits.close_visit(line, visit)


def redo(line: Line, piece: Piece) -> None:
    """Put a task that went wrong back among those that may start."""
    visit = piece.visit
    visit.redone = True
    visit.job.unclean = True
    again = Piece(visit, piece.local, piece.task, piece.need)
    again.tries = piece.tries + 1
    visit.pieces.append(again)
    visit.station.waiting.append(again)
    line.to_dispatch.add(visit.station.index)
    line.note_piece("redo", again)
