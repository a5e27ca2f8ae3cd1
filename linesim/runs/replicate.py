"""Replications of one plan: the same numbers, whoever runs them and in whatever order."""

from __future__ import annotations

import pickle
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from linesim.plan.plan import Plan
from linesim.runs.blocks import BlockResult
from linesim.runs.drive import drive_for
from linesim.runs.replication import Label, Replication, column_of
from linesim.runs.spread import Errand, WorkSpread, run_here
from linesim.runs.workers import WorkerPool, spread_over_workers

Progress = Callable[[int, int], None]  #: Called with how many replications are done, and of how many.


@dataclass(frozen=True, slots=True)
class Replications:
    """Replications of one plan.

    Attributes:
        labels: Names of the figures of each.
        finished: The finished ones, in ascending order of their numbers.
        lost: Numbers of those whose worker process died whenever they ran.
    """

    labels: tuple[Label, ...]
    finished: tuple[Replication, ...]
    lost: tuple[int, ...] = ()

    def column(self, measure: str, where: str, cause: str = "") -> int:
        """Return the place of a figure among the values of each replication.

        Raises:
            KeyError: If replications have no such figure; the message lists what there is.
        """
        return column_of(self.labels, measure, where, cause)


def replicate(
    plan: Plan,
    numbers: Iterable[int],
    *,
    seed: int,
    workers: int = 1,
    progress: Progress | None = None,
    drive: str | None = None,
) -> Replications:
    """Run replications of a plan.

    Args:
        plan: The line.
        numbers: Which replications, counted from 1; replication k is the same alone and among many.
        seed: Seed of the run, >= 0.
        workers: Number of processes; 1 runs here, without starting any. The result does not depend on it.
        progress: Told how many are done, here and not in a worker.
        drive: ``simpy`` or ``compiled``; None takes the compiled drive where numba is installed.

    Raises:
        LineStuck: If the line can no longer move in one of them: the one of the lowest number.
        ValueError: If a number or ``workers`` is below 1, or no number is given.
    """
    wanted = sorted(set(numbers))
    if not wanted or wanted[0] < 1:
        raise ValueError(f"numbers must be at least one number, each >= 1, got {wanted[:5]}")
    if workers < 1:
        raise ValueError(f"workers must be >= 1, got {workers}")
    found: dict[int, Replication] = {}
    names: list[tuple[Label, ...]] = []

    def hand_over(jobs: tuple[Errand, ...], result: BlockResult) -> None:
        if not names:
            names.append(result.labels)
        assert result.labels == names[0], "the rows of a plan must not depend on the replication"
        found.update((replication.number, replication) for replication in result.replications)
        if progress is not None:
            progress(len(found), len(wanted))

    if progress is not None:
        progress(0, len(wanted))
    jobs = [Errand(0, number) for number in wanted]
    spread = WorkSpread([pickle.dumps(plan)], jobs, seed=seed, hand_over=hand_over, drive=drive_for(drive))
    pool = WorkerPool(min(workers, len(jobs)))
    try:
        lost = run_here(spread) if pool.workers == 1 else spread_over_workers(spread, pool)
    finally:
        pool.close()
    finished = tuple(found[number] for number in wanted if number in found)
    return Replications(names[0] if names else (), finished, tuple(job.number for job in lost))
