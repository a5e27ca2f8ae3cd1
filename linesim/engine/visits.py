"""Visits: the work on one job at one station, from opening to closing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linesim.engine import faults, open_work
from linesim.engine.jobs import OPEN_WORK, Job, OpenWork, Piece, Visit
from linesim.engine.variants import Need, StationWork, only
from linesim.plan.tables import NONE

if TYPE_CHECKING:
    from linesim.engine.line import Line
    from linesim.engine.stations import Station


def open_visit(line: Line, job: Job, station: Station, limit: int) -> Visit | None:
    """Open the work on ``job`` at ``station``; return None if there is none to do."""
    work = job.variant.work[station.index]
    if job.bay_visits:
        work = not_yet_done(line, work, job)
    if job.open_tasks:
        work = open_work.take_along(line, job, station, work)
    if line.has_faults:
        faults.look_for(line, job, station.index, NONE)
    carried = job.for_station.pop(station.index, None)
    if not work.tasks and not carried:
        station.section.work_done(station, job)
        line.station_did_job(station)
        return None
    visit = Visit(job, station, work, limit)
    job.visits[station.index] = visit
    station.visits.append(visit)
    pred_left = visit.pred_left
    if work.has_outer_pred:
        for i, outer in enumerate(work.pred):
            pred_left[i] += sum(p not in job.done for p in outer)
    for i, n in enumerate(pred_left):
        if n == 0:
            make_ready(line, visit, i)
    for item in carried or ():
        add_open_work(line, visit, item)
    line.dirty_stations.add(station.index)
    return visit


def open_empty_visit(line: Line, job: Job, station: Station, limit: int) -> Visit:
    """Open one more visit for work that comes up after that on ``job`` at ``station`` was over."""
    work = job.variant.work[station.index]
    visit = Visit(job, station, only(work, [False] * len(work.tasks)), limit)
    job.visits[station.index] = visit
    station.visits.append(visit)
    return visit


def not_yet_done(line: Line, work: StationWork, job: Job) -> StationWork:
    """Return the part of ``work`` that a job on a later pass still needs."""
    keep = [line.task_again[t] or t not in job.done for t in work.tasks]
    for i, t in enumerate(work.tasks):
        if keep[i]:
            job.done.discard(t)
            if t in job.open_tasks:
                open_work.withdraw(job, t)
    return work if all(keep) else only(work, keep)


def make_ready(line: Line, visit: Visit, local: int) -> None:
    """Put a task of ``visit`` among those that may start."""
    task = visit.work.tasks[local]
    visit.status[local] = 1
    piece = Piece(visit, local, task, line.task_need[task])
    visit.pieces.append(piece)
    visit.station.waiting.append(piece)
    line.to_dispatch.add(visit.station.index)


def add_open_work(line: Line, visit: Visit, item: OpenWork) -> None:
    """Add work that the job brought along, or a fault to put right, to ``visit``.

    Open work waits for earlier work that is not done yet. It takes the people whom the work took where it
    belongs, at least one and at most all who cover this station, and the same tools. A station that no crew
    covers, such as a robot's, does it by itself.
    """
    station, job = visit.station, visit.job
    if item.fault is None and any(p not in job.done for p in job.variant.before[item.task]):
        visit.left += 1
        visit.later.append(item)
        return
    crews = tuple(crew.index for crew in station.crews)
    tools = item.need.tools if item.need is not None else ()
    people = max(1, item.need.people) if item.need is not None else 1
    people = min(people, sum(len(crew.operators) for crew in station.crews))
    for k in tools:
        if station.index not in line.tool_stations[k]:
            line.tool_stations[k].append(station.index)
    piece = Piece(visit, NONE, item.task, Need(people, crews, (), tools, NONE), OPEN_WORK, item.remaining)
    piece.fault = item.fault
    visit.left += 1
    visit.pieces.append(piece)
    station.waiting.append(piece)
    line.to_dispatch.add(station.index)


def work_done_elsewhere(line: Line, job: Job, task: int) -> None:
    """Tell the open visits of ``job`` at other stations that ``task`` is done."""
    for visit in list(job.visits.values()):
        if visit.later:
            later, visit.later = visit.later, []
            visit.left -= len(later)
            for item in later:
                add_open_work(line, visit, item)
            line.dirty_stations.add(visit.station.index)
        if not visit.work.has_outer_pred:
            continue
        for i, outer in enumerate(visit.work.pred):
            if task in outer and visit.status[i] == 0:
                visit.pred_left[i] -= 1
                if visit.pred_left[i] == 0:
                    make_ready(line, visit, i)
                line.dirty_stations.add(visit.station.index)


def close_visit(line: Line, visit: Visit) -> None:
    """Close ``visit``: its work is done, or was broken off."""
    station, job = visit.station, visit.job
    station.visits.remove(visit)
    del job.visits[station.index]
    line.dirty_stations.add(station.index)
    if visit.helpers or visit.is_called:
        line.calls.finish(visit)
    if visit.stopped:
        line.release_station(station)
    line.station_did_job(station)
    station.section.work_done(station, job)
