"""Run a scenario and say what came of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from linesim.measures.clock import TICKS_PER_MINUTE, shift_ticks
from linesim.plan.plan import Plan
from linesim.studies.cases import Case, run_cases
from linesim.studies.convergence import AT_LEAST, Goal
from linesim.studies.precise import run_until_precise
from linesim.studies.provenance import versions
from linesim.studies.replicate import Progress, Replications
from linesim.studies.result import Result, RunCard, ScenarioCard
from linesim.ticks import seconds

if TYPE_CHECKING:
    from linesim.scenario import Scenario
    from linesim.studies.store import Store


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
    notice: Callable[[str], None] | None = None,
    store: Store | None = None,
    cluster: str | None = None,
    goal: Goal | None = None,
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
        notice: Told what a user should hear while the work goes on, such as a replication given up.
        store: Where finished replications are kept and looked up.
        cluster: Address of a scheduler that shares the work among machines; ``workers`` is not used then.
        goal: Run as many replications as this figure needs, instead of ``replications``.

    Raises:
        LineStuck: If the line can no longer move.
        LinesimError: If no replication survives its worker process (out of memory, for instance).
        ValueError: If an argument is outside its limits.

    Examples:
        >>> from linesim import load, simulate
        >>> result = simulate(load("line.toml"), replications=10)  # doctest: +SKIP
        >>> result.row("jobs_per_shift")  # doctest: +SKIP
    """
    if not 0 < confidence < 1:
        raise ValueError(f"confidence must lie between 0 and 1, got {confidence}")
    if goal is not None and (replications is not None or numbers is not None):
        raise ValueError("goal finds the number of replications; give either it or their number")
    case = Case(scenario.title or "the scenario", scenario, tuple(changes))
    runs = run_cases(
        [case],
        replications=replications,
        numbers=numbers if goal is None else range(1, AT_LEAST + 1),
        seed=seed,
        workers=workers,
        store=store,
        cluster=cluster,
        progress=progress,
        notice=notice,
    )
    if goal is None:
        return runs.result(case.name, confidence, file=file)
    runs, (convergence,) = run_until_precise(runs, goal)
    return replace(runs.result(case.name, confidence, file=file), convergence=convergence)


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
