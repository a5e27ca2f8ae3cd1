"""Jobs come onto the segment, take a feeder's unit, leave as finished or are scrapped."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linesim.errors import LineStuck
from linesim.plan.tables import NONE

if TYPE_CHECKING:
    from linesim.engine.jobs import Job
    from linesim.engine.line import Line

MOST_AT_ONCE = 20_000  #: Jobs in a row that may pass the whole line in one instant; more have no end.


def line_on(line: Line, job: Job) -> None:
    """Let ``job`` come onto the segment."""
    job.on = line.clock.now
    line.books.job_in(line.clock.now, job.feeder)
    line.note("line-on", job=job.number, where=job.feeder)


def finish(line: Line, job: Job) -> None:
    """Let ``job`` leave the segment as finished."""
    now, counts = line.clock.now, line.books.counts
    assert job.feeder == NONE, "a unit of a feeder joins a job or is scrapped"
    _leave(line, job)
    counts.jobs_out += 1
    counts.lead_time += now - job.on
    is_left_open = job.has_open_work
    counts.first_time += not (job.unclean or job.reworked or is_left_open)
    counts.reworked += job.reworked
    counts.escaped += bool(job.faults) or is_left_open
    for carried in job.faults:
        gone = counts.faults_not_put_right if carried.known else counts.faults_escaped
        gone[carried.fault] += 1
    counts.out_of_sequence += job.number < line.last_out
    line.last_out = max(line.last_out, job.number)
    line.note("line-off", job=job.number)


def scrap(line: Line, job: Job) -> None:
    """Take ``job`` off the segment for good; a feeder's unit is no job and is not counted."""
    _leave(line, job)
    line.books.counts.jobs_scrapped += job.feeder == NONE
    line.note("scrap", job=job.number, where=job.feeder)


def _leave(line: Line, job: Job) -> None:
    _check_time_passes(line, job)
    for k in job.carriers.copy():
        line.carriers[k].release(job)
    if job.feeder == NONE:
        line.books.job_gone(line.clock.now)


def _check_time_passes(line: Line, job: Job) -> None:
    """Raise `LineStuck` if jobs come and go without end in one instant."""
    if job.on != line.clock.now:
        line.n_at_once = 0
        return
    line.n_at_once += 1
    if line.n_at_once > MOST_AT_ONCE:
        held = (
            f"{MOST_AT_ONCE} jobs came and went in one instant: no work takes any time, and neither supply "
            "nor removal holds them back",
            "give each model at least one task that takes time, or [supply] a rate",
        )
        raise LineStuck(line.clock.now, held)


def merge(line: Line, unit: Job, job: Job) -> None:
    """Let the feeder's ``unit`` become part of ``job``."""
    line.books.counts.units_merged[unit.feeder] += 1
    job.units.append(unit.feeder)
    job.faults += unit.faults
    line.note("merge", job=job.number, where=unit.feeder)
