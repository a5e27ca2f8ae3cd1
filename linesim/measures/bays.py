"""The rework bays."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.ledger.ledger import Ledger
from linesim.ledger.shifts import shift_hours
from linesim.measures.clock import minutes_per_shift, shifts_worked
from linesim.measures.value import Value, share
from linesim.plan.plan import Plan

MOST_HOURS = 24  #: Of longer shifts there is no row for each hour.


def bays(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield what goes through each bay, how it copes, and what it costs the line when it is full."""
    clock = ledger.end - ledger.start
    begin, end = shift_hours(ledger.windows)
    hours = (end - begin).sum(axis=0).tolist()
    by_hour = ledger.window_bay.sum(axis=0)
    for index, name in enumerate(plan.names.bay):
        visits, good = int(ledger.bay_jobs[index]), int(ledger.bay_good[index])
        finished = ledger.jobs_out + ledger.jobs_scrapped
        yield Value("reworked", name, "", "share", share(int(ledger.bay_seen[index]), finished))
        yield Value("bay_visits", name, "", "1/shift", share(visits, shifts_worked(plan, ledger)))
        yield Value("bay_good", name, "", "share", share(good, visits))
        hours_open = int(ledger.bay_hours[index])
        yield Value("bay_waiting", name, "", "jobs", share(int(ledger.bay_waiting[index]), hours_open))
        yield Value("bay_waiting_clock", name, "", "jobs", share(int(ledger.bay_waiting_clock[index]), clock))
        yield Value("bay_working", name, "", "jobs", share(int(ledger.bay_working[index]), hours_open))
        yield Value("bay_working_clock", name, "", "jobs", share(int(ledger.bay_working_clock[index]), clock))
        held = minutes_per_shift(int(ledger.bay_hold[index]), plan, ledger)
        yield Value("bay_hold", name, "", "min/shift", held)
        passed = int(ledger.bay_carried_on[index])
        yield Value("bay_carried_on", name, "", "1/100 jobs", share(100 * passed, finished))
        if len(hours) <= MOST_HOURS:
            for hour, (spent, ticks) in enumerate(zip(by_hour[index].tolist(), hours, strict=True), 1):
                yield Value("bay_by_hour", name, f"hour {hour}", "jobs", share(spent, ticks))
