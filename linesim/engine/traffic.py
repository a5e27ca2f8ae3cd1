"""Jobs come onto the segment, take a feeder's unit, leave as finished or are scrapped."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from linesim.engine.jobs import Job
    from linesim.engine.line import Line


def line_on(line: Line, job: Job) -> None:
    """Let ``job`` come onto the segment."""
    job.on = line.clock.now
    line.books.job_in(line.clock.now, job.feeder)
    line.note("line-on", job=job.number, where=job.feeder)


def finish(line: Line, job: Job) -> None:
    """Let ``job`` leave the segment as finished."""
    now, counts = line.clock.now, line.books.counts
    _leave(line, job)
    counts.jobs_out += 1
    counts.lead_time += now - job.on
    is_left_open = job.has_open_work
    counts.first_time += not (job.unclean or job.reworked or is_left_open)
    counts.reworked += job.reworked
    counts.escaped += bool(job.faults) or is_left_open
    for carried in job.faults:
        counts.faults_escaped[carried.fault] += 1
    counts.out_of_sequence += job.number < line.last_out
    line.last_out = max(line.last_out, job.number)
    line.note("line-off", job=job.number)


def scrap(line: Line, job: Job) -> None:
    """Take ``job`` off the segment for good."""
    _leave(line, job)
    line.books.counts.jobs_scrapped += 1
    line.note("scrap", job=job.number)


def _leave(line: Line, job: Job) -> None:
    for k in job.carriers.copy():
        line.carriers[k].release(job)
    line.books.job_gone(line.clock.now)


def merge(line: Line, unit: Job, job: Job) -> None:
    """Let the feeder's ``unit`` become part of ``job``."""
    line.books.counts.units_merged[unit.feeder] += 1
    job.faults += unit.faults
    line.note("merge", job=job.number, where=unit.feeder)
