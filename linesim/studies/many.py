"""Replications of many plans at once: what is there already is not run again."""

from __future__ import annotations

import pickle
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from linesim.errors import LinesimError
from linesim.studies.replicate import Progress, Replications, run_here
from linesim.studies.replication import Label, Replication
from linesim.studies.spread import Job
from linesim.studies.workers import run_in_workers

if TYPE_CHECKING:
    from linesim.scenario import Scenario


@dataclass(frozen=True, slots=True)
class Means:
    """How replications are run; no figure depends on it.

    Attributes:
        workers: Number of processes, >= 1; 1 runs here, without starting any.
        progress: Told how many replications are done and of how many.
    """

    workers: int = 1
    progress: Progress | None = None

    def __post_init__(self) -> None:
        """Refuse a number of workers that cannot be."""
        if self.workers < 1:
            raise ValueError(f"workers must be >= 1, got {self.workers}")


@dataclass(frozen=True, slots=True)
class Need:
    """What is wanted of one scenario.

    Attributes:
        name: What messages call it.
        scenario: The line.
        numbers: Replications, counted from 1, ascending.
        have: Replications that are already there.
    """

    name: str
    scenario: Scenario
    numbers: tuple[int, ...]
    have: Replications | None = None


def run_needs(needs: Sequence[Need], *, seed: int, means: Means) -> dict[str, Replications]:
    """Return for each name the replications it had and those it needs.

    Scenarios of the same content are run once.

    Args:
        needs: What is wanted, each under its own name.
        seed: Seed of all draws, >= 0.
        means: How to run it.

    Raises:
        LineStuck: If a line can no longer move: the first of ``needs``, the lowest number.
        LinesimError: If nothing is left of a need, because its worker process always died.
        ValueError: If a number is below 1, or none is given.
    """
    for need in needs:
        if not need.numbers or need.numbers[0] < 1:
            raise ValueError(f"numbers must be at least one number, each >= 1, got {need.numbers[:5]}")
    prints = {need.name: need.scenario.fingerprint() for need in needs}
    piles: dict[str, _Pile] = {}
    for need in needs:
        piles.setdefault(prints[need.name], _Pile(need)).want(need)
    _run([pile for pile in piles.values() if pile.missing], seed, means, list(piles.values()))
    return {need.name: piles[prints[need.name]].replications(need.name) for need in needs}


class _Pile:
    """The replications of one content, found or still wanted."""

    def __init__(self, need: Need) -> None:
        self.need = need
        self.labels: tuple[Label, ...] = ()
        self.wanted: set[int] = set()
        self.found: dict[int, Replication] = {}
        self.lost: set[int] = set()

    def want(self, need: Need) -> None:
        self.wanted.update(need.numbers)
        if need.have is not None:
            for replication in need.have.finished:
                self.put(need.have.labels, replication)
            self.lost.update(need.have.lost)

    @property
    def missing(self) -> list[int]:
        return sorted(self.wanted - self.found.keys() - self.lost)

    def put(self, labels: tuple[Label, ...], replication: Replication) -> None:
        assert self.labels in ((), labels), "the rows of a plan must not depend on the replication"
        self.labels = labels
        self.found[replication.number] = replication

    def replications(self, name: str) -> Replications:
        if not self.found:
            raise LinesimError(
                f"all {len(self.lost)} replications of {name} ended with the death of their worker process"
            )
        finished = tuple(self.found[number] for number in sorted(self.found))
        return Replications(self.labels, finished, tuple(sorted(self.lost)))


def _run(piles: Sequence[_Pile], seed: int, means: Means, all_piles: Sequence[_Pile]) -> None:
    from linesim.plan.build import build

    jobs = [Job(place, number) for place, pile in enumerate(piles) for number in pile.missing]
    if not jobs:
        return
    total = sum(len(pile.wanted) for pile in all_piles)
    done = total - len(jobs)

    def deliver(job: Job, labels: tuple[Label, ...], replication: Replication) -> None:
        nonlocal done
        piles[job.plan].put(labels, replication)
        done += 1
        if means.progress is not None:
            means.progress(done, total)

    if means.progress is not None:
        means.progress(done, total)
    plans = [pickle.dumps(build(pile.need.scenario)) for pile in piles]
    workers = min(means.workers, len(jobs))
    if workers == 1:
        lost = run_here(plans, jobs, seed=seed, deliver=deliver)
    else:
        lost = run_in_workers(plans, jobs, seed=seed, workers=workers, deliver=deliver)
    for job in lost:
        piles[job.plan].lost.add(job.number)
