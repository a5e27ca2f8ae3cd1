"""A station's limit: the section stops, or the work left is carried on. And the calls before it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linesim.engine import open_work, visits, work
from linesim.engine.jobs import COMING, OPEN_WORK, PAUSED, READY, RUNNING, Job, OpenWork, Piece, Visit
from linesim.plan.tables import NONE
from linesim.plan.words import BREAKDOWN, OVERRUN, REPEAT, S_DOWN, WAITING

if TYPE_CHECKING:
    from linesim.engine.line import Line
    from linesim.engine.sections import Section
    from linesim.engine.stations import Station


def meet_limit(line: Line, job: Job, station: Station) -> None:
    """Deal with work on ``job`` that is still open when ``station`` reaches its limit for it."""
    visit = job.visits.get(station.index)
    if visit is None:
        return
    counts = line.books.counts
    counts.overruns[station.index] += 1
    counts.overload[station.index] += work_left(line, visit)
    if station.stops_at_limit:
        visit.stopped = True
        line.calls.become_stop(visit)
        station.section.hold(station.index, OVERRUN)
        station.section.unnamed.append(visit)
    else:
        job.unclean = True
        break_off(line, visit)


def name_causes(line: Line, section: Section) -> None:
    """Give the stops that begin at this instant their causes, now that all that can begin has begun.

    A task that begins as another ends at the limit makes an overrun: the station works on. A limit met as
    working time ends stops the section only when that begins again, and gets its cause then.
    """
    for visit in section.unnamed:
        here = visit.station.index
        if (here, OVERRUN) not in section.holds:  # the work was over in the break
            continue
        named = (here, cause_of(visit))
        section.holds = {named if hold == (here, OVERRUN) else hold: None for hold in section.holds}
    section.unnamed.clear()


def work_left(line: Line, visit: Visit) -> int:
    """Return the work left on ``visit`` [ticks], summed over its tasks whoever does them."""
    now, job = line.clock.now, visit.job
    left = 0
    for piece in visit.pieces:
        left += left_of(line, piece, now)
    left += sum(item.remaining for item in visit.later)
    for local, task in enumerate(visit.work.tasks):
        if visit.status[local] == 0:
            attempt = job.attempts.get(task, 0)
            left += line.draws.task_ticks(task, job.number, attempt, visit.work.shapes[local])
    return left


def left_of(line: Line, piece: Piece, now: int) -> int:
    """Return the work left of one piece [ticks]."""
    if piece.state == RUNNING:
        return piece.end - now
    if piece.remaining != NONE:
        return piece.remaining
    job = piece.visit.job
    attempt = job.attempts.get(piece.task, 0)
    return line.draws.task_ticks(piece.task, job.number, attempt, piece.visit.work.shapes[piece.local])


def cause_of(visit: Visit) -> int:
    """Return the cause of a stop that ``visit`` begins."""
    if any(piece.state == RUNNING for piece in visit.pieces):
        return REPEAT if visit.redone else OVERRUN
    station = visit.station
    if station.disturbed:
        return station.disturbed[0]
    return BREAKDOWN if station.why_waiting() == S_DOWN else WAITING


def break_off(line: Line, visit: Visit) -> None:
    """Let the job of ``visit`` go: what is left of its work becomes open work."""
    station, job = visit.station, visit.job
    now = line.clock.now
    rest: list[OpenWork] = []
    for piece in visit.pieces.copy():
        left = left_of(line, piece, now)
        need = piece.need if piece.fault is None else None
        rest.append(OpenWork(piece.task, left, need, piece.fault))
        drop(line, piece)
    rest += visit.later
    for local, task in enumerate(visit.work.tasks):
        if visit.status[local] == 0:
            attempt = job.attempts.get(task, 0)
            left = line.draws.task_ticks(task, job.number, attempt, visit.work.shapes[local])
            rest.append(OpenWork(task, left, line.task_need[task], None))
    line.books.counts.unfinished[station.index] += 1
    line.note("open work", job=job.number, station=station.index)
    visit.left = 0
    visits.close_visit(line, visit)
    open_work.carry(line, job, rest, (station.open_station, station.open_bay))


def drop(line: Line, piece: Piece) -> None:
    """Take ``piece`` out of its station, whatever it is doing."""
    visit = piece.visit
    if piece.state == READY:
        visit.station.waiting.remove(piece)
    elif piece.state == RUNNING:
        work.halt(line, piece)
    if piece.state in (COMING, RUNNING, PAUSED):
        piece.serial = 0
        line.note_piece("task left", piece)
        work.let_go(line, piece)
    visit.pieces.remove(piece)


def consider_call(line: Line, job: Job, station: Station) -> None:
    """Call for help if the work left on ``job`` is not expected to fit before the limit."""
    visit = job.visits.get(station.index)
    if visit is None or visit.is_called:
        return
    if expected_work(line, visit) > station.to_limit(visit) * station.present_people(visit):
        line.calls.call(visit)


def expected_work(line: Line, visit: Visit) -> float:
    """Return the person-ticks of work expected on ``visit``: mean times, less what was worked already."""
    now = line.clock.now
    expected = 0.0
    for piece in visit.pieces:
        people = max(1, piece.need.people)
        if piece.kind == OPEN_WORK:
            expected += people * left_of(line, piece, now)
        else:
            mean = line.shape_mean[visit.work.shapes[piece.local]]
            worked = now - piece.since if piece.state == RUNNING else 0
            expected += people * max(0.0, mean - worked)
    expected += sum(max(1, i.need.people) * i.remaining for i in visit.later if i.need is not None)
    for local, task in enumerate(visit.work.tasks):
        if visit.status[local] == 0:
            expected += max(1, line.task_need[task].people) * line.shape_mean[visit.work.shapes[local]]
    return expected
