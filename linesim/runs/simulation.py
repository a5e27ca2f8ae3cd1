"""Run a scenario and say what came of it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Unpack

from linesim.measures.output import TICKS_PER_MINUTE
from linesim.plan.plan import Plan
from linesim.runs.cases import Case, run_cases
from linesim.runs.provenance import versions
from linesim.runs.replicate import Replications
from linesim.runs.result import Result, RunCard, ScenarioCard
from linesim.runs.run_options import How
from linesim.ticks import seconds

if TYPE_CHECKING:
    from linesim.scenario import Scenario


def simulate(
    scenario: Scenario,
    *,
    replications: int | None = None,
    seed: int | None = None,
    confidence: float = 0.95,
    numbers: Iterable[int] | None = None,
    file: str = "",
    changes: Iterable[str] = (),
    **how: Unpack[How],
) -> Result:
    """Simulate a scenario and return its measures with intervals.

    Args:
        scenario: What `linesim.load` returns.
        replications: How many, counted from 1; None takes what the scenario says.
        seed: Seed of all draws; None takes what the scenario says.
        confidence: Confidence of the intervals, between 0 and 1.
        numbers: Run exactly these replications instead of the first ``replications``.
        file: Name of the scenario's file, for the result to carry.
        changes: Lines of TOML that were laid over the file, for the result to carry.
        how: How replications are run, such as ``workers=4``; see `How`.

    Raises:
        LineStuck: If the line can no longer move.
        LinesimError: If no replication survives its worker process (out of memory, for instance).
        ValueError: If an argument is outside its limits.

    Examples:
        >>> from linesim.scenario import example
        >>> simulate(example(), replications=2, seed=1)
        <result of A line to start from: 2 replications with seed 1, ... measures>
    """
    if not 0 < confidence < 1:
        raise ValueError(f"confidence must lie between 0 and 1, got {confidence}")
    case = Case(scenario.title or "the scenario", scenario, tuple(changes))
    runs = run_cases([case], replications=replications, numbers=numbers, seed=seed, **how)
    return runs.result(case.name, confidence, file=file)


def result_of(
    plan: Plan, found: Replications, scenario: ScenarioCard, *, seed: int, confidence: float
) -> Result:
    """Return the result of the replications of a plan."""
    run = RunCard(
        seed=seed,
        numbers=tuple(replication.number for replication in found.finished),
        lost=found.lost,
        confidence=confidence,
        warm_up_s=seconds(plan.run.warm_up),
        length_s=seconds(plan.run.length),
        shift_min=plan.shift_ticks / TICKS_PER_MINUTE,
        target=plan.target,
        sections=plan.names.section,
        versions=tuple(versions().items()),
    )
    return Result.of(scenario, run, found.labels, found.finished)
