"""The checks that a line of one's own must pass, whatever stands on it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from linesim.commands.verifying.bench import Bench
from linesim.commands.verifying.free_laws import free_laws
from linesim.commands.verifying.paced_law import paced_law
from linesim.commands.verifying.program import closed_sums
from linesim.commands.verifying.roomy import roomy
from linesim.commands.verifying.row import (
    AGREES,
    BLIND,
    CAUGHT,
    DIFFERS,
    FALSE_ALARM,
    Row,
    judge_at_most,
    not_here,
)
from linesim.commands.verifying.steady import steady
from linesim.stats import mean_interval, normal_quantile, welch_difference

if TYPE_CHECKING:
    from linesim.plan.plan import Plan
    from linesim.scenario import Scenario

N_CHECKS = 9  #: Rows of a line, at most
SEES = 0.2  #: Share of the output that a comparison has to notice.
SEEDS, CEILING = "another seed: jobs/h", "output below ceiling"


def own_rows(scenario: Scenario, bench: Bench, replications: int) -> Iterator[Row]:
    """Yield the outcome of each check of a line, or why it does not apply."""
    raw = scenario.as_dict()
    plan = bench.plan(raw)
    ends = plan.orders.sequence == "listed" and not plan.orders.repeats
    first, through = _rates(plan, bench, bench.seed, replications)
    if ends:
        why = "its list of orders ends, so that there is no rate in the long run"
        yield not_here(SEEDS, why)
        yield not_here(CEILING, why)
    else:
        yield _seeds(plan, bench, first, replications)
        yield _ceiling(plan, through)
    yield steady(raw, bench)
    yield paced_law(raw, bench)
    yield from free_laws(raw, bench)
    yield roomy(raw, bench, replications)
    yield closed_sums(bench)


def _rates(plan: Plan, bench: Bench, seed: int, replications: int) -> tuple[list[float], list[float]]:
    """Return jobs finished an hour, and jobs that went all the way through in an hour, per replication."""
    made, through = [], []
    for number in range(1, replications + 1):
        ledger = bench.run(plan, number, seed=seed)
        hours = ledger.working_time / 3_600_000
        made.append(ledger.jobs_out / hours)
        # What was inside at the start may leave, and what came on may stay, without passing the narrowest.
        through.append(min(ledger.jobs_out, ledger.jobs_in) / hours)
    return made, through


def _seeds(plan: Plan, bench: Bench, first: list[float], replications: int) -> Row:
    """Return whether another seed gives the same mean."""
    other = bench.seed + 1
    second, _ = _rates(plan, bench, other, replications)
    base = mean_interval(first).mean
    source = f"seeds {bench.seed} and {other} are equally good; Welch's t, {replications} replications each"
    apart = welch_difference(second, first, 1 - FALSE_ALARM).interval
    if apart.low is None or apart.high is None or apart.half_width is None:
        return not_here(SEEDS, "one replication has no interval")
    sds = [mean_interval(one).sd or 0.0 for one in (first, second)]
    sees = apart.half_width + normal_quantile(CAUGHT) * math.hypot(*sds) / math.sqrt(replications)
    verdict = AGREES if sees <= SEES * base else BLIND
    if not apart.low <= 0 <= apart.high:
        verdict = DIFFERS
    found = base + apart.mean
    return Row(
        SEEDS, source, "jobs/h", (base,), (found,), base + apart.low, base + apart.high, SEES * base, sees,
        replications, verdict,
    )  # fmt: skip


def _ceiling(plan: Plan, through: list[float]) -> Row:
    from linesim.studies.ceiling import limits
    from linesim.studies.loads import Loads

    found = limits(Loads(plan))
    if not found:
        return not_here(CEILING, "nothing in the scenario limits output")
    first = found[0]
    source = f"{first.what} {first.name} ({first.because}), from mean times, nothing ever waits"
    return judge_at_most(
        CEILING, source, first.jobs_per_hour, through, must_see=SEES * first.jobs_per_hour, unit="jobs/h"
    )
