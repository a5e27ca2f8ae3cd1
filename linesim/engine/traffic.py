"""Jobs come onto the segment, take a feeder's unit, leave as finished or are scrapped; gates and carriers."""

from __future__ import annotations

from linesim.engine.calendars import record, worked
from linesim.engine.lists import (
    JOBS,
    draw,
    drop_item,
    join,
    make_room,
    note_job,
    timer,
    wake,
    wake_inlets,
    wake_sections,
)
from linesim.engine.order import CARRIER, GATE
from linesim.engine.tables import ENDLESS, State, rule
from linesim.ledger.ledger import E_LINE_OFF, E_LINE_ON, E_MERGE, E_SCRAP
from linesim.plan.tables import NONE

MOST_AT_ONCE = 20_000  #: Jobs in a row that may pass the whole line in one instant; more have no end.
ORDERS = 0  #: The column that says which variant a job is, NONE after the last.

# Jobs in their pool


@rule
def new_job(s: State, number: int, variant: int, feeder: int) -> int:
    """Return a fresh job that is not yet on the line."""
    w = s.w[0]
    j = w.free_job
    if j != NONE:
        w.free_job = s.jobs[j].next
    else:
        j = w.used_jobs
        w.used_jobs += 1
        make_room(s, JOBS, j)
    w.serial += 1
    job = s.jobs[j]
    job.number = number
    job.serial = w.serial
    job.variant = variant
    job.on = job.boarded = job.reached = job.arrives = 0
    job.feeder = feeder
    job.bay_visits = job.is_scrap = job.is_reworked = job.is_unclean = job.n_open = 0
    job.next = job.first_visit = job.last_visit = NONE
    job.first_fault = job.first_item = NONE
    job.bay_items = job.bay_people = NONE
    job.bay_left = job.bay_end = job.bay_serial = job.bay_runs = job.bay_blocks = 0
    for i in range(job.cells, job.cells + w.job_cells):
        s.cells[i] = 0
    return j


@rule
def drop_items(s: State, i: int) -> None:
    """Give back a list of items."""
    while i != NONE:
        following = s.items[i].next
        drop_item(s, i)
        i = following


@rule
def drop_job(s: State, j: int) -> None:
    """Give back a job that is gone, with all that it carried."""
    w, job = s.w[0], s.jobs[j]
    drop_items(s, job.first_fault)
    drop_items(s, job.first_item)
    drop_items(s, job.bay_items)
    job.next = w.free_job
    w.free_job = j


@rule
def carrier_cell(s: State, j: int, k: int) -> int:
    """Return the cell that says whether a job is on a carrier."""
    w = s.w[0]
    return s.jobs[j].cells + 2 * w.n_tasks + w.n_zones + k


@rule
def unit_cell(s: State, j: int, f: int) -> int:
    """Return the cell that says whether a job has its unit of a feeder."""
    w = s.w[0]
    return s.jobs[j].cells + 2 * w.n_tasks + w.n_zones + w.n_carriers + f


@rule
def passes_cell(s: State, j: int, b: int) -> int:
    """Return the cell that counts the visits of a job to a bay."""
    w = s.w[0]
    return s.jobs[j].cells + 2 * w.n_tasks + w.n_zones + w.n_carriers + w.n_feeders + b


# Carriers


@rule
def count_carrier(s: State, k: int, by: int) -> None:
    """Count carriers as free."""
    carrier = s.carriers[k]
    carrier.free += by
    record(s, carrier.busy, carrier.count - carrier.free)


@rule
def take_carrier(s: State, k: int, j: int) -> None:
    """Put a job on a free carrier, unless it comes back on the one it had."""
    at = carrier_cell(s, j, k)
    if s.cells[at] == 0:
        s.cells[at] = 1
        count_carrier(s, k, -1)


@rule
def release_carrier(s: State, k: int, j: int) -> None:
    """Take a job off its carrier, which is back after its return time."""
    at = carrier_cell(s, j, k)
    if s.cells[at] == 0:
        return
    s.cells[at] = 0
    carrier = s.carriers[k]
    carrier.returning += 1
    if carrier.returns:
        timer(s, s.w[0].now + carrier.returns, CARRIER, k, 0, k)
    else:
        carrier_back(s, k)


@rule
def carrier_back(s: State, k: int) -> None:
    """Count one more carrier as free."""
    carrier = s.carriers[k]
    carrier.returning -= 1
    count_carrier(s, k, 1)
    wake(s, carrier.entrance)
    wake_inlets(s, carrier.entrance)


# Gates


@rule
def next_opening(s: State, g: int) -> None:
    """Set when a gate opens next."""
    gate, now = s.gates[g], s.w[0].now
    k = gate.n_opened
    at = NONE
    if gate.column != NONE:
        at = now + draw(s, gate.column, 0, k)
    elif k < gate.n_schedule:
        at = max(now, s.ints[gate.schedule + k])
    if at != NONE:
        timer(s, at, GATE, gate.is_removal, 0, g)


@rule
def open_gate(s: State, g: int) -> None:
    """Let one more job through; removal that finds none stays open for one, but only for one."""
    gate = s.gates[g]
    gate.n_opened += 1
    gate.due += 1
    if gate.is_removal:
        gate.due = 1
    next_opening(s, g)
    wake(s, gate.element)
    wake_inlets(s, gate.element)


@rule
def lets_through(s: State, g: int) -> bool:
    """Return whether a gate lets a job through now."""
    gate = s.gates[g]
    return gate.shut == 0 and (gate.is_rated == 0 or gate.due > 0)


@rule
def prepared(s: State, g: int) -> int:
    """Return the next job of a supply, not yet on the line; NONE when no more are ordered."""
    gate = s.gates[g]
    if gate.job == NONE:
        variant = draw(s, ORDERS, 0, gate.next_number)
        if variant >= 0:
            gate.job = new_job(s, gate.next_number, variant, gate.feeder)
    return gate.job


@rule
def has_more(s: State, g: int) -> bool:
    """Return whether a gate will open again."""
    gate = s.gates[g]
    return gate.column != NONE or gate.n_opened < gate.n_schedule


@rule
def is_spent_supply(s: State, g: int) -> bool:
    """Return whether a supply will bring no more."""
    gate = s.gates[g]
    if prepared(s, g) == NONE:
        return True
    return gate.is_rated == 1 and gate.due == 0 and not has_more(s, g)


@rule
def bring(s: State, g: int) -> int:
    """Let the next job of a supply onto the line, whatever its gate says; return NONE for no more."""
    j = prepared(s, g)
    if j != NONE:
        gate = s.gates[g]
        gate.job = NONE
        gate.next_number += 1
        line_on(s, g, j)
    return j


@rule
def line_on(s: State, g: int, j: int) -> None:
    """Let a job come onto the segment."""
    w, job = s.w[0], s.jobs[j]
    job.on = w.now
    job.way = job.hours = 0
    job.worked = worked(s, 0)
    if job.feeder == NONE:
        w.jobs_in += 1
        count_inside(s, 1)
    else:
        s.gates[g].units_in += 1
    note_job(s, E_LINE_ON, j, NONE, job.feeder)


@rule
def count_inside(s: State, by: int) -> None:
    """Count jobs on the segment."""
    w = s.w[0]
    w.n_inside += by
    record(s, w.inside, w.n_inside)


# The ways off


@rule
def leave(s: State, j: int) -> None:
    """Take a job off the segment; jobs that come and go without end in one instant end the run."""
    w, job = s.w[0], s.jobs[j]
    if job.on != w.now:
        w.n_at_once = 0
    else:
        w.n_at_once += 1
        if w.n_at_once > MOST_AT_ONCE:
            w.status = ENDLESS
    for k in range(w.n_carriers):
        release_carrier(s, k, j)
    if job.feeder == NONE:
        count_inside(s, -1)


@rule
def finish(s: State, j: int) -> None:
    """Let a job leave the segment as finished."""
    w, job = s.w[0], s.jobs[j]
    leave(s, j)
    w.jobs_out += 1
    w.lead_time += job.way + worked(s, job.hours) - job.worked
    w.lead_time_clock += w.now - job.on
    is_left_open = job.n_open > 0 or job.first_item != NONE
    if not (job.is_unclean or job.is_reworked or is_left_open):
        w.first_time += 1
    w.reworked += job.is_reworked
    if job.first_fault != NONE or is_left_open:
        w.escaped += 1
    i = job.first_fault
    while i != NONE:
        fault = s.faults[s.items[i].fault]
        if s.items[i].is_known:
            fault.n_not_put_right += 1
        else:
            fault.n_escaped += 1
        i = s.items[i].next
    if job.number < w.last_out:
        w.out_of_sequence += 1
    w.last_out = max(w.last_out, job.number)
    note_job(s, E_LINE_OFF, j, NONE, NONE)
    drop_job(s, j)


@rule
def scrap(s: State, j: int) -> None:
    """Take a job off the segment for good; a feeder's unit is no job and is not counted."""
    job = s.jobs[j]
    leave(s, j)
    if job.feeder == NONE:
        s.w[0].jobs_scrapped += 1
    note_job(s, E_SCRAP, j, NONE, job.feeder)
    drop_job(s, j)


@rule
def scrap_at_end(s: State, j: int) -> None:
    """Scrap a job at the end of a section; one further down may have waited for this one alone."""
    scrap(s, j)
    wake_sections(s)


@rule
def merge(s: State, u: int, j: int) -> None:
    """Let a feeder's unit become part of a job."""
    unit, job = s.jobs[u], s.jobs[j]
    s.gates[unit.feeder].units_merged += 1
    s.cells[unit_cell(s, j, unit.feeder)] = 1
    job.first_fault = join(s.items, job.first_fault, unit.first_fault)
    unit.first_fault = NONE
    note_job(s, E_MERGE, j, NONE, unit.feeder)
    drop_job(s, u)
