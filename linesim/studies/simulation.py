"""Run a scenario and say what came of it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from linesim.errors import LinesimError
from linesim.measures.clock import TICKS_PER_MINUTE, shift_ticks
from linesim.plan.plan import Plan
from linesim.studies.provenance import versions
from linesim.studies.replicate import Progress, Replications, replicate
from linesim.studies.result import Result, RunCard, ScenarioCard
from linesim.ticks import seconds

if TYPE_CHECKING:
    from linesim.scenario import Scenario


def simulate(
    scenario: Scenario,
    *,
    replications: int | None = None,
    seed: int | None = None,
    workers: int = 1,
    confidence: float = 0.95,
    numbers: Iterable[int] | None = None,
    file: str = "",
    changes: Iterable[str] = (),
    progress: Progress | None = None,
) -> Result:
    """Simulate a scenario and return its measures with intervals.

    Args:
        scenario: What `linesim.load` returns.
        replications: How many, counted from 1; None takes what the scenario says.
        seed: Seed of all draws; None takes what the scenario says.
        workers: Number of processes; the result does not depend on it.
        confidence: Confidence of the intervals, between 0 and 1.
        numbers: Run exactly these replications instead of the first ``replications``.
        file: Name of the scenario's file, for the result to carry.
        changes: Lines of TOML that were laid over the file, for the result to carry.
        progress: Told how many replications are done, and of how many.

    Raises:
        LineStuck: If the line can no longer move.
        LinesimError: If no replication survives its worker process (out of memory, for instance).
        ValueError: If an argument is outside its limits.

    Examples:
        >>> from linesim import load, simulate
        >>> result = simulate(load("line.toml"), replications=10)  # doctest: +SKIP
        >>> result.row("jobs_per_shift")  # doctest: +SKIP
    """
    from linesim.plan.build import build

    plan = build(scenario)
    if not 0 < confidence < 1:
        raise ValueError(f"confidence must lie between 0 and 1, got {confidence}")
    count = plan.run.replications if replications is None else replications
    if count < 1:
        raise ValueError(f"replications must be >= 1, got {count}")
    seed = plan.run.seed if seed is None else seed
    wanted = range(1, count + 1) if numbers is None else numbers
    found = replicate(plan, wanted, seed=seed, workers=workers, progress=progress)
    if not found.finished:
        raise LinesimError(f"all {len(found.lost)} replications ended with the death of their worker process")
    card = ScenarioCard(plan.title, file, scenario.fingerprint(), tuple(changes))
    return result_of(plan, found, card, seed=seed, confidence=confidence)


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
        shift_min=shift_ticks(plan) / TICKS_PER_MINUTE,
        target=plan.target,
        sections=plan.names.section,
        versions=tuple(versions().items()),
    )
    return Result.of(scenario, run, found.labels, found.finished)
