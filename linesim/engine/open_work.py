"""Open work: what was left of a job's work at a limit, where it will be done, and what goes along.

Work that comes after open work cannot be done before it. Where open work is to be done further down
than the station of what follows, that goes along and becomes open work of the same place; where it is
to be done nowhere any more, neither is what follows.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from linesim.engine import visits
from linesim.engine.jobs import NOWHERE, Job, OpenWork, Place, Visit
from linesim.engine.variants import StationWork, only
from linesim.plan.tables import NONE

if TYPE_CHECKING:
    from linesim.engine.line import Line
    from linesim.engine.stations import Station


def carry(line: Line, job: Job, items: list[OpenWork], place: Place) -> None:
    """Send the ``items`` left of a visit to ``place``, or further down with work that they come after."""
    tasks = [item.task for item in items if item.fault is None]
    places = _places(line, job, tasks, place)
    for item in items:
        _put(line, job, item, place if item.fault is not None else places[item.task])
    for visit in list(job.visits.values()):
        _take_from(line, visit)


def give(line: Line, job: Job, station: Station, item: OpenWork) -> bool:
    """Add ``item`` to the work on ``job`` at ``station``: now if it reaches the job, else when it comes.

    Return False if the job is past that station's limit already, so that nobody will do it.
    """
    visit = job.visits.get(station.index) or station.section.open_again(job, station)
    if visit is not None:
        visits.add_open_work(line, visit, item)
    elif station.section.is_past(job, station):
        return False
    else:
        job.for_station.setdefault(station.index, []).append(item)
    return True


def take_along(line: Line, job: Job, station: Station, work: StationWork) -> StationWork:
    """Return what of ``work`` can be done at ``station``; the rest comes after open work further down."""
    places = _beyond(line, job, station, work.tasks)
    if not places:
        return work
    _send_on(line, job, station, places, dict(zip(work.tasks, work.shapes, strict=True)))
    return only(work, [task not in places for task in work.tasks])


def withdraw(job: Job, task: int) -> None:
    """Take ``task`` out of the open work of ``job``, which is back at the station where it belongs."""
    job.open_tasks.pop(task, None)
    for table in (job.for_station, job.for_bay):
        for at, items in list(table.items()):
            table[at] = [item for item in items if item.fault is not None or item.task != task]
            if not table[at]:
                del table[at]


def _take_from(line: Line, visit: Visit) -> None:
    """Send on what of an open visit comes after open work further down."""
    job, station, work = visit.job, visit.station, visit.work
    held = [item.task for item in visit.later]
    waiting = [task for i, task in enumerate(work.tasks) if visit.status[i] == 0]
    places = _beyond(line, job, station, [*waiting, *held])
    if not places:
        return
    later = [item for item in visit.later if item.task in places]
    visit.later = [item for item in visit.later if item.task not in places]
    for i, task in enumerate(work.tasks):
        if task in places:
            visit.status[i] = 2
    visit.left -= len(places)
    for item in later:
        _put(line, job, item, places.pop(item.task))
    _send_on(line, job, station, places, dict(zip(work.tasks, work.shapes, strict=True)))
    if visit.left == 0:
        visits.close_visit(line, visit)


def _send_on(
    line: Line, job: Job, station: Station, places: dict[int, Place], shapes: dict[int, int]
) -> None:
    job.unclean = True
    line.books.counts.unfinished[station.index] += 1
    line.note("open work", job=job.number, station=station.index)
    for task, place in places.items():
        ticks = line.draws.task_ticks(task, job.number, job.attempts.get(task, 0), shapes[task])
        _put(line, job, OpenWork(task, ticks, line.task_need[task], None), place)


def _put(line: Line, job: Job, item: OpenWork, place: Place) -> None:
    station, bay = place
    if item.fault is None:
        job.open_tasks[item.task] = place
    if station != NONE:
        is_done_there = give(line, job, line.stations[station], item)
        if item.fault is None and not is_done_there:
            job.open_tasks[item.task] = NOWHERE
    elif bay != NONE:
        job.for_bay.setdefault(bay, []).append(item)


def _places(line: Line, job: Job, tasks: Iterable[int], place: Place) -> dict[int, Place]:
    """Return where each of ``tasks`` is to be done: at ``place``, or where earlier work has gone."""
    places = dict.fromkeys(tasks, place)
    changed = True
    while changed:
        changed = False
        for task in places:
            known = [places.get(p, job.open_tasks.get(p)) for p in job.variant.before[task]]
            far = max((k for k in [places[task], *known] if k is not None), key=lambda k: _rank(line, k))
            changed = changed or far != places[task]
            places[task] = far
    return places


def _beyond(line: Line, job: Job, station: Station, tasks: Iterable[int]) -> dict[int, Place]:
    """Return which of ``tasks`` come after open work further down than ``station``, and where that is."""
    here = _rank(line, (station.index, NONE))
    found = _places(line, job, tasks, (station.index, NONE))
    return {task: place for task, place in found.items() if _rank(line, place) > here}


def _rank(line: Line, place: Place) -> tuple[int, int]:
    """Return how far off ``place`` is: stations down the line, then bays, then nowhere."""
    station, bay = place
    if station != NONE:
        return 0, line.stations[station].depth
    return (1, line.bays[bay].order) if place != NOWHERE else (2, 0)
