"""The checks that a line of one's own must pass, whatever stands on it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from linesim.stats import mean_interval, normal_quantile, welch_difference
from linesim.verification.bench import QUICK_RATE, CheckBench, Outputs, judged
from linesim.verification.free_laws import free_laws
from linesim.verification.paced_law import paced_law
from linesim.verification.program import closed_sums, drives_agree
from linesim.verification.roomy import roomy
from linesim.verification.row import (
    AGREES,
    BLIND,
    CAUGHT,
    DIFFERS,
    FALSE_ALARM,
    CheckRow,
    judge_at_most,
    not_here,
)
from linesim.verification.steady import steady

if TYPE_CHECKING:
    from linesim.plan.plan import Plan
    from linesim.scenario import Scenario

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
