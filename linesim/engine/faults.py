"""Faults: made by a task, found at once, later or never, and put right there, elsewhere or in a bay."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linesim.engine import open_work, visits
from linesim.engine.jobs import CarriedFault, Job, OpenWork, Piece
from linesim.engine.variants import holds
from linesim.plan.tables import AT_ONCE, AT_STATION, IN_BAY, IN_STATION, NONE, SCRAP

if TYPE_CHECKING:
    from linesim.engine.line import Line


def leaves_to_redo(line: Line, piece: Piece) -> bool:
    """Draw the faults of the task just ended; return whether it is to be redone at once.

    A fault found at once is redone until the task succeeds or has been redone ``tries`` times; what is
    still wrong then is put right where the fault says, like one found later.
    """
    job, table = piece.visit.job, line.plan.faults
    to_redo = False
    for f in line.task_faults[piece.task]:
        chance = chance_of(line, f, job)
        if (
            chance <= 0
            or line.draws.chance("fault", line.fault_names[f], job.number, piece.attempt) >= chance
        ):
            continue
        line.books.counts.faults_made[f] += 1
        line.note("fault", job=job.number, station=piece.visit.station.index, task=piece.task, where=f)
        if table.found[f] != AT_ONCE:
            job.faults.append(CarriedFault(f))
            continue
        line.note_found(job, f, piece.visit.station.index)
        if piece.tries < table.tries[f]:
            to_redo = True
        else:
            carried = CarriedFault(f)
            job.faults.append(carried)
            send(line, job, carried, piece.visit.station.index)
    return to_redo


def chance_of(line: Line, f: int, job: Job) -> float:
    """Return the chance of fault ``f`` on ``job``; the first condition met in file order holds."""
    variant = job.variant
    for model, option, chance in line.plan.faults.chances[f]:
        if holds(model, option, variant.model, variant.options):
            return chance
    raise AssertionError(f"fault {f} has no chance that fits every job")


def look_for(line: Line, job: Job, station: int, task: int) -> None:
    """Look for the faults of ``job`` that are found at ``station`` (``task`` NONE) or by ``task``."""
    table = line.plan.faults
    for carried in job.faults.copy():
        f = carried.fault
        if carried.flagged or table.found[f] == AT_ONCE:
            continue
        place = station if table.found[f] == AT_STATION else task
        if place == NONE or table.found_at[f] != place or (table.found[f] == AT_STATION) != (task == NONE):
            continue
        look = job.bay_visits
        if line.draws.chance("detect", line.fault_names[f], job.number, look) < table.detect[f]:
            line.note_found(job, f, station)
            send(line, job, carried, station)


def send(line: Line, job: Job, carried: CarriedFault, station: int) -> None:
    """Have a found fault put right: here, at a named station, or in a bay; or have its job scrapped."""
    table, f = line.plan.faults, carried.fault
    carried.flagged = carried.known = True
    job.unclean = True
    if table.right[f] == SCRAP:
        job.is_scrap = True
        return
    ticks = 0
    if table.repair[f] != NONE:
        ticks = line.draws.repair_ticks(line.fault_names[f], int(table.repair[f]), job.number, job.bay_visits)
    item = OpenWork(int(table.task[f]), ticks, None, carried)
    if table.right[f] == IN_BAY:
        job.for_bay.setdefault(int(table.right_at[f]), []).append(item)
    elif table.right[f] == IN_STATION and table.right_at[f] != station:
        open_work.give(line, job, line.stations[table.right_at[f]], item)
    else:
        visit = job.visits.get(station)
        if visit is None:
            job.for_station.setdefault(station, []).append(item)
        else:
            visits.add_open_work(line, visit, item)


def settle_open_work(line: Line, job: Job, piece: Piece) -> None:
    """Note that work which ``job`` carried on is done."""
    if piece.fault is not None:
        job.faults.remove(piece.fault)
        job.reworked = True
        line.note_piece("put right", piece)
    else:
        job.done.add(piece.task)
        job.open_tasks.pop(piece.task, None)
        visits.work_done_elsewhere(line, job, piece.task)


def settle_in_bay(line: Line, job: Job, items: list[OpenWork]) -> None:
    """Note that a bay has done ``items``."""
    for item in items:
        if item.fault is not None:
            job.faults.remove(item.fault)
        else:
            job.done.add(item.task)
            job.open_tasks.pop(item.task, None)
            visits.work_done_elsewhere(line, job, item.task)
    job.reworked = True


def keep_open(job: Job, bay: int, items: list[OpenWork]) -> None:
    """Leave the work of ``items`` that is no fault open: the bay did not manage it."""
    rest = [item for item in items if item.fault is None]
    if rest:
        job.for_bay[bay] = rest


def unflag(items: list[OpenWork]) -> None:
    """Let faults whose repair failed, or which a full bay sent on, travel as if they had not been found."""
    for item in items:
        if item.fault is not None:
            item.fault.flagged = False
