"""What the line makes: jobs per hour and per shift."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.ledger.ledger import Ledger
from linesim.ledger.shifts import shifts_a_day_and_week
from linesim.measures.clock import TICKS_PER_HOUR
from linesim.measures.value import SEGMENT, Value, share
from linesim.plan.plan import Plan


def output(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield throughput, jobs per shift, day and week, and the shifts that meet the target of the plan.

    Shifts count whole: a shift cut by the end of the warm-up or of the run is in the
    throughput and in no shift figure.
    """
    yield Value(
        "throughput", SEGMENT, "", "jobs/h", share(ledger.jobs_out, ledger.working_time / TICKS_PER_HOUR)
    )
    made = ledger.window_jobs
    a_shift = share(int(made.sum()), len(made))
    yield Value("jobs_per_shift", SEGMENT, "", "jobs", a_shift)
    for name, shifts in zip(("jobs_per_day", "jobs_per_week"), shifts_a_day_and_week(plan), strict=True):
        yield Value(name, SEGMENT, "", "jobs", None if a_shift is None else shifts * a_shift)
    if plan.target is not None:
        met = int((made >= plan.target).sum())
        yield Value("plan_met", SEGMENT, "", "share", share(met, len(made)))
