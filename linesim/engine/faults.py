"""Faults: made by a task, found at once, later or never, and put right there, elsewhere or in a bay."""

from __future__ import annotations

from linesim.engine.lists import (
    add_item,
    add_last,
    chance,
    draw,
    drop_item,
    new_item,
    note,
    note_job,
    note_piece,
    without,
)
from linesim.engine.open_work import give
from linesim.engine.tables import State, rule
from linesim.engine.visits import add_open_work, set_done, set_open, visit_at, work_done_elsewhere
from linesim.ledger.ledger import E_FAULT, E_FOUND, E_PUT_RIGHT
from linesim.plan.tables import AT_ONCE, AT_STATION, IN_BAY, IN_STATION, NONE, SCRAP


@rule
def carry_fault(s: State, j: int, f: int) -> int:
    """Let a job carry a fault; return the item that stands for it."""
    i = new_item(s, NONE, 0, 0, f)
    job = s.jobs[j]
    job.first_fault = add_last(s.items, job.first_fault, i)
    return i


@rule
def drop_fault(s: State, j: int, carried: int) -> None:
    """Take a fault off a job: it is put right."""
    job = s.jobs[j]
    job.first_fault = without(s.items, job.first_fault, carried)
    drop_item(s, carried)


@rule
def leaves_to_redo(s: State, p: int) -> bool:
    """Draw the faults of the task just ended; return whether it is to be redone at once.

    A fault found at once is redone until the task succeeds or has been redone ``tries`` times; what is
    still wrong then is put right where the fault says, like one found later.
    """
    piece = s.pieces[p]
    visit = s.visits[piece.visit]
    j, k = visit.job, visit.station
    job, task = s.jobs[j], s.tasks[piece.task]
    to_redo = False
    for i in range(task.faults, task.faults + task.n_faults):
        f = s.ints[i]
        odds = s.chances[job.variant * s.w[0].n_faults + f]
        fault = s.faults[f]
        if odds <= 0 or chance(s, fault.made, piece.attempt, job.number) >= odds:
            continue
        fault.n_made += 1
        note(s, E_FAULT, job.number, NONE, k, piece.task, f, NONE, NONE)
        if fault.found != AT_ONCE:
            carry_fault(s, j, f)
            continue
        fault.n_found += 1
        note_job(s, E_FOUND, j, k, f)
        if piece.tries < fault.tries:
            to_redo = True
        else:
            send(s, j, carry_fault(s, j, f), k)
    return to_redo


@rule
def look_for(s: State, j: int, k: int, task: int) -> None:
    """Look for the faults of a job that are found at a station (``task`` NONE) or by a task."""
    job = s.jobs[j]
    i = job.first_fault
    while i != NONE:
        carried = s.items[i]
        following = carried.next
        fault = s.faults[carried.fault]
        is_here = fault.found_at == k
        if fault.found != AT_STATION:
            is_here = fault.found_at == task and task != NONE
        elif task != NONE:
            is_here = False
        is_due = carried.is_flagged == 0 and fault.found != AT_ONCE and is_here
        if is_due and chance(s, fault.seen, job.bay_visits, job.number) < fault.detect:
            fault.n_found += 1
            note_job(s, E_FOUND, j, k, carried.fault)
            send(s, j, i, k)
        i = following


@rule
def send(s: State, j: int, carried: int, k: int) -> None:
    """Have a found fault put right: here, at a named station, or in a bay; or have its job scrapped."""
    job = s.jobs[j]
    s.items[carried].is_flagged = s.items[carried].is_known = 1
    fault = s.faults[s.items[carried].fault]
    job.is_unclean = 1
    if fault.right == SCRAP:
        job.is_scrap = 1
        return
    ticks = 0
    if fault.repair != NONE:
        ticks = draw(s, fault.repair, job.bay_visits, job.number)
    i = new_item(s, fault.task, ticks, 0, carried)
    if fault.right == IN_BAY:
        add_item(s, j, i, s.w[0].n_stations + fault.right_at)
    elif fault.right == IN_STATION and fault.right_at != k:
        give(s, j, fault.right_at, i)
    else:
        v = visit_at(s, j, k)
        if v == NONE:
            add_item(s, j, i, k)
        else:
            add_open_work(s, v, i)


@rule
def settle_task(s: State, j: int, t: int) -> None:
    """Note that a task that was left open is done."""
    set_done(s, j, t, 1)
    set_open(s, j, t, NONE)
    work_done_elsewhere(s, j, t)


@rule
def settle_open_work(s: State, j: int, p: int) -> None:
    """Note that work which a job carried on is done."""
    piece = s.pieces[p]
    if piece.fault != NONE:
        note_piece(s, E_PUT_RIGHT, p)
        drop_fault(s, j, piece.fault)
        s.jobs[j].is_reworked = 1
    else:
        settle_task(s, j, piece.task)


@rule
def settle_in_bay(s: State, j: int, i: int) -> None:
    """Note that a bay has done the items from ``i`` on."""
    while i != NONE:
        following = s.items[i].next
        fault, t = s.items[i].fault, s.items[i].task
        drop_item(s, i)
        if fault != NONE:
            drop_fault(s, j, fault)
        else:
            settle_task(s, j, t)
        i = following
    s.jobs[j].is_reworked = 1


@rule
def unflag(s: State, j: int, i: int, place: int) -> None:
    """Let faults whose repair failed, or which a full bay sent on, travel as if they had not been found.

    Other work of the items from ``i`` on stays open for ``place``, or nowhere where that is NONE.
    """
    while i != NONE:
        item = s.items[i]
        following = item.next
        if item.fault != NONE:
            s.items[item.fault].is_flagged = 0
            drop_item(s, i)
        elif place != NONE:
            add_item(s, j, i, place)
        else:
            set_open(s, j, item.task, s.w[0].n_stations + s.w[0].n_bays)
            drop_item(s, i)
        i = following
