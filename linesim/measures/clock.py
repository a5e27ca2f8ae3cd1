"""Hours and shifts of the accounts: what "per hour" and "per shift" divide by."""

from __future__ import annotations

from linesim.ledger.ledger import Ledger
from linesim.measures.value import share
from linesim.plan.plan import Plan

TICKS_PER_MINUTE = 60_000
TICKS_PER_HOUR = 3_600_000


def shift_ticks(plan: Plan) -> float:
    """Return the working time of an average shift [ticks], breaks left out.

    Without a calendar a shift is as long as ``[run] shift`` says and has no breaks.
    """
    run = plan.run
    if run.calendar < 0:
        return float(run.shift)
    calendar = plan.calendars[run.calendar]
    return sum(end - start for start, end in calendar.on) / max(1, len(calendar.shifts))


def shifts_worked(plan: Plan, ledger: Ledger) -> float:
    """Return the working time of the accounts as a number of average shifts; need not be whole."""
    return ledger.working_time / shift_ticks(plan)


def minutes_per_shift(ticks: int, plan: Plan, ledger: Ledger) -> float | None:
    """Return an amount of time in the accounts as minutes in an average shift; None in no working time."""
    return share(ticks / TICKS_PER_MINUTE, shifts_worked(plan, ledger))
