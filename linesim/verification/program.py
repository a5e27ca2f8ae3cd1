"""All checks of the installed program, the quick ones first."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.verification import by_hand, free_lines, paced_lines, queues_and_rework
from linesim.verification.bench import CheckBench
from linesim.verification.known import Known, check
from linesim.verification.row import CheckRow, judge_equal


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


def closed_sums(bench: CheckBench) -> CheckRow:
    """Return whether every ledger that the bench made closed with ==."""
    says = "conservation: states and causes add up to the clock, jobs in = out + scrapped + inside"
    odd = f"; first of them: {bench.odd[0]}" if bench.odd else ""
    return judge_equal(f"open sums in {bench.n_runs} runs", says + odd, (0,), (len(bench.odd),))
