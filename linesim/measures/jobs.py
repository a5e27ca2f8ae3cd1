"""How jobs get through: time, number inside, quality at the end."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.ledger.ledger import Ledger
from linesim.measures.clock import TICKS_PER_MINUTE
from linesim.measures.value import SEGMENT, Value, share
from linesim.plan.plan import Plan


def way_through(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield lead time and jobs inside, in working time and on the clock, and the share overtaken."""
    out, clock = ledger.jobs_out, ledger.end - ledger.start
    yield Value("lead_time", SEGMENT, "", "min", share(ledger.lead_time / TICKS_PER_MINUTE, out))
    yield Value("lead_time_clock", SEGMENT, "", "min", share(ledger.lead_time_clock / TICKS_PER_MINUTE, out))
    yield Value("in_progress", SEGMENT, "", "jobs", share(ledger.job_time, ledger.working_time))
    yield Value("in_progress_clock", SEGMENT, "", "jobs", share(ledger.job_time_clock, clock))
    yield Value("out_of_sequence", SEGMENT, "", "share", share(ledger.out_of_sequence, out))


def quality(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield the shares of jobs right first time, reworked, scrapped and let out with something wrong."""
    out = ledger.jobs_out
    yield Value("first_time_through", SEGMENT, "", "share", share(ledger.first_time, out))
    yield Value("reworked", SEGMENT, "", "share", share(ledger.reworked, out))
    yield Value("scrapped", SEGMENT, "", "share", share(ledger.jobs_scrapped, out + ledger.jobs_scrapped))
    yield Value("escaped", SEGMENT, "", "share", share(ledger.escaped, out))
