"""Opening the work on a job at a station."""

from __future__ import annotations

from linesim.engine.closing import station_did_job, work_done
from linesim.engine.faults import look_for
from linesim.engine.lists import take_items, touch
from linesim.engine.open_work import take_along, withdraw
from linesim.engine.tables import WAITS, State, rule
from linesim.engine.visits import (
    add_open_work,
    is_done,
    leave_out,
    list_visit,
    make_ready,
    new_visit,
    open_place,
    set_done,
)
from linesim.plan.tables import NONE


@rule
def open_visit(s: State, j: int, k: int, limit: int) -> None:
    """Open the work on a job at a station, if there is any to do."""
    v = new_visit(s, j, k, limit)
    visit, job = s.visits[v], s.jobs[j]
    if job.bay_visits:
        leave_out_done(s, v)
    if job.n_open:
        take_along(s, v)
    if job.first_fault != NONE:
        look_for(s, j, k, NONE)
    carried = NONE
    if job.first_item != NONE:
        carried = take_items(s, j, k)
    if visit.left == 0 and carried == NONE:
        w = s.w[0]
        visit.next = w.free_visit
        w.free_visit = v
        work_done(s, k, j)
        station_did_job(s, k)
        return
    list_visit(s, v)
    begin_visit(s, v)
    while carried != NONE:
        following = s.items[carried].next
        add_open_work(s, v, carried)
        carried = following
    touch(s, k)


@rule
def begin_visit(s: State, v: int) -> None:
    """Count what each task of a new visit waits for, and let those that wait for nothing be ready."""
    visit = s.visits[v]
    j, first = visit.job, s.stations[visit.station].first_task
    for i in range(visit.tasks, visit.tasks + visit.n_tasks):
        t = s.links[i]
        at = visit.cells + 2 * (t - first)
        if s.cells[at + 1] != WAITS:
            continue
        if visit.has_outer:
            step = s.steps[visit.steps + t]
            for a in range(step.outer, step.outer + step.n_outer):
                if not is_done(s, j, s.links[a]):
                    s.cells[at] += 1
        if s.cells[at] == 0:
            make_ready(s, v, t)


@rule
def leave_out_done(s: State, v: int) -> None:
    """Leave out of a new visit what a job on a later pass needs no more."""
    visit = s.visits[v]
    j = visit.job
    for i in range(visit.tasks, visit.tasks + visit.n_tasks):
        t = s.links[i]
        if s.tasks[t].again or not is_done(s, j, t):
            set_done(s, j, t, 0)
            if open_place(s, j, t) != NONE:
                withdraw(s, j, t)
        else:
            leave_out(s, v, t)
