"""All checks of the installed program, the quick ones first."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.plan.plan import Plan
from linesim.runs.drive import DrivesDifferError, check_drives
from linesim.verification import by_hand, free_lines, paced_lines, queues_and_rework
from linesim.verification.bench import CheckBench, Known, check
from linesim.verification.row import DIFFERS, CheckRow, judge_equal, not_here


def known(*, full: bool) -> tuple[Known, ...]:
    """Return the settings with a known answer.

    Args:
        full: All of them; otherwise one of each kind.
    """
    found = (*by_hand.checks(), *free_lines.checks(), *paced_lines.checks(), *queues_and_rework.checks())
    return tuple(one for one in found if full or one.is_quick)


def rows(bench: CheckBench, *, full: bool) -> Iterator[CheckRow]:
    """Yield the outcome of each check, and last whether all ledgers made on the way closed."""
    for one in known(full=full):
        yield check(one, bench)
    yield closed_sums(bench)


def drives_agree(plan: Plan, bench: CheckBench) -> CheckRow:
    """Return whether both drives give the same events and accounts in replication 1 of a line."""
    what = "events alike by both drives"
    if bench.drive == "simpy":
        return not_here(what, "every run is by SimPy, the reference; there is no other to compare with")
    source = "SimPy, the reference, against the compiled drive, by which all other checks run; replication 1"
    try:
        n = check_drives(plan, bench.seed, 1, takts=None)
    except DrivesDifferError as differ:
        return CheckRow(what, str(differ), expected=(0.0,), found=(1.0,), verdict=DIFFERS)
    return judge_equal(what, source, (n,), (n,))


def closed_sums(bench: CheckBench) -> CheckRow:
    """Return whether every ledger that the bench made closed with ==."""
    says = "conservation: states and causes add up to the clock, jobs in = out + scrapped + inside"
    odd = f"; first of them: {bench.odd[0]}" if bench.odd else ""
    return judge_equal(f"open sums in {bench.n_runs} runs", says + odd, (0,), (len(bench.odd),))
