"""All checks: of the installed program, the quick ones first, and of a line of one's own."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from linesim.plan.plan import Plan
from linesim.runs.drive import DrivesDifferError, check_drives
from linesim.stats.comparisons import welch_difference
from linesim.stats.intervals import mean_interval, normal_quantile
from linesim.verification import by_hand, free, paced, queues_and_rework
from linesim.verification.bench import (
    AGREES,
    BLIND,
    CAUGHT,
    DIFFERS,
    FALSE_ALARM,
    QUICK_RATE,
    CheckBench,
    CheckRow,
    Known,
    Outputs,
    check,
    judge_at_most,
    judge_equal,
    judged,
    not_here,
)
from linesim.verification.free import free_laws
from linesim.verification.long_run import roomy, steady
from linesim.verification.paced import paced_law

if TYPE_CHECKING:
    from linesim.plan.plan import Plan
    from linesim.scenario import Scenario


def known(*, full: bool) -> tuple[Known, ...]:
    """Return the settings with a known answer.

    Args:
        full: All of them; otherwise one of each kind.
    """
    found = (*by_hand.checks(), *free.checks(), *paced.checks(), *queues_and_rework.checks())
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


SEEDS, CEILING = "another seed: jobs/h", "output below ceiling"


def own_rows(scenario: Scenario, bench: CheckBench, replications: int | None) -> Iterator[CheckRow]:
    """Yield the outcome of each check of a line, or why it does not apply.

    Output is looked at as sharply as rates in the quick set of the program.

    Args:
        scenario: The line.
        bench: Runs it.
        replications: Of each run; None for as many as each check takes.
    """
    raw = scenario.as_dict()
    plan = bench.plan(raw)
    ends = plan.orders.sequence == "listed" and not plan.orders.repeats
    first = Outputs(plan, bench)
    if ends:
        why = "its list of orders ends, so that there is no rate in the long run"
        yield not_here(SEEDS, why)
        yield not_here(CEILING, why)
    else:
        second = Outputs(plan, bench, seed=bench.seed + 1)
        yield judged(partial(_seeds, first, second, bench.seed), replications)
        yield _ceiling(plan, first, replications)
    yield steady(raw, bench)
    yield paced_law(raw, bench)
    yield from free_laws(raw, bench)
    yield roomy(raw, bench, replications)
    yield drives_agree(plan, bench)
    yield closed_sums(bench)


def _seeds(first: Outputs, second: Outputs, seed: int, replications: int) -> CheckRow:
    """Return whether another seed gives the same mean."""
    one, two = first.rates(replications), second.rates(replications)
    base = mean_interval(one).mean
    must_see = QUICK_RATE * base
    source = f"seeds {seed} and {seed + 1} are equally good; Welch's t, {replications} replications each"
    apart = welch_difference(two, one, 1 - FALSE_ALARM).interval
    if apart.low is None or apart.high is None or apart.half_width is None:
        return not_here(SEEDS, "one replication has no interval")
    sds = [mean_interval(rates).sd or 0.0 for rates in (one, two)]
    sees = apart.half_width + normal_quantile(CAUGHT) * math.hypot(*sds) / math.sqrt(replications)
    verdict = AGREES if sees <= must_see else BLIND
    if not apart.low <= 0 <= apart.high:
        verdict = DIFFERS
    return CheckRow(
        SEEDS, source, "jobs/h", (base,), (base + apart.mean,), base + apart.low, base + apart.high,
        must_see, sees, replications=replications, verdict=verdict,
    )  # fmt: skip


def _ceiling(plan: Plan, outputs: Outputs, replications: int | None) -> CheckRow:
    """Return whether the line stays below what its narrowest place allows."""
    from linesim.capacity.ceiling import limits
    from linesim.capacity.loads import Loads

    found = limits(Loads(plan))
    if not found:
        return not_here(CEILING, "nothing in the scenario limits output")
    first = found[0]
    source = f"{first.what} {first.name} ({first.because}), from mean times, nothing ever waits"
    bound = first.jobs_per_hour
    return judged(
        lambda n: judge_at_most(
            CEILING, source, bound, outputs.through(n), must_see=QUICK_RATE * bound, unit="jobs/h"
        ),
        replications,
    )
