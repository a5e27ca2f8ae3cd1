"""Replications of many plans at once: what is stored is looked up, the rest is run and stored as it comes."""

from __future__ import annotations

import pickle
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from linesim.errors import LinesimError
from linesim.runs.blocks import Block, BlockResult, run_block
from linesim.runs.cost import CostOnly, RunCost
from linesim.runs.drive import DRIVES, Looks, drive_for, usable
from linesim.runs.replicate import Progress, Replications
from linesim.runs.replication import FIGURES, Label, Recorder, Replication
from linesim.runs.spread import MOST_DEATHS, Errand, WorkSpread, run_here, run_in_threads
from linesim.runs.workers import WorkerPool, spread_over_workers

if TYPE_CHECKING:
    from linesim.runs.store import Store
    from linesim.scenario import Scenario


class Pace:
    """How long replications have taken so far.

    Attributes:
        run: How many were run.
        seconds: How long they took, added up [s].
        looks: Of which cases both drives have run the beginning.
    """

    __slots__ = ("looks", "run", "seconds")

    def __init__(self) -> None:
        self.run, self.seconds, self.looks = 0, 0.0, Looks()

    def tell(self, run: int, seconds: float) -> None:
        """Take note of replications that were run."""
        self.run += run
        self.seconds += seconds


@dataclass(frozen=True, slots=True)
class Means:
    """How replications are run; no figure depends on it.

    Attributes:
        workers: How many replications run at a time, >= 1: by machine code in threads, which it lets run side
            by side, else in processes, which take a second to start.
        store: Where finished replications are kept and looked up.
        cluster: Address of a scheduler that shares the work among machines; ``workers`` is not used then.
        progress: Told how many replications are done and of how many.
        notice: Told what a user should hear while the work goes on, one sentence each.
        only_cost: Run nothing; raise `CostOnly` where something would be run.
        drive: ``simpy`` or ``compiled``; None takes the compiled drive where numba is installed.
        pool: The processes, kept for the next piece of work.
        pace: How many replications were run here and elsewhere so far, and for how long [s].
    """

    workers: int = 1
    store: Store | None = None
    cluster: str | None = None
    progress: Progress | None = None
    notice: Callable[[str], None] | None = None
    only_cost: bool = False
    drive: str | None = None
    pool: WorkerPool = field(init=False, repr=False, compare=False)
    pace: Pace = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Refuse a number of workers that cannot be; their processes start when there is work for them."""
        if self.workers < 1:
            raise ValueError(f"workers must be >= 1, got {self.workers}")
        if self.drive not in (None, *DRIVES):
            raise ValueError(f"drive must be simpy or compiled, got {self.drive!r}")
        object.__setattr__(self, "pool", WorkerPool(self.workers))
        object.__setattr__(self, "pace", Pace())


@dataclass(frozen=True, slots=True)
class CaseNeed:
    """What is wanted of one scenario.

    Attributes:
        name: What messages call it.
        scenario: The line.
        numbers: Replications, counted from 1, ascending.
        have: Replications that are already there.
        notes: What is noted down of each.
    """

    name: str
    scenario: Scenario
    numbers: tuple[int, ...]
    have: Replications | None = None
    notes: Recorder = FIGURES


def run_needs(needs: Sequence[CaseNeed], *, seed: int, means: Means) -> dict[str, Replications]:
    """Return for each name the replications it had and those it needs.

    Scenarios of the same content are run once. A replication is looked up in the store before it
    is run, and kept there as soon as it is finished.

    Args:
        needs: What is wanted, each under its own name.
        seed: Seed of all draws, >= 0.
        means: How to run it.

    Raises:
        CostOnly: If only the cost was asked for.
        LineStuck: If a line can no longer move: the first of ``needs``, the lowest number.
        LinesimError: If nothing is left of a need, because its worker process always died.
        ValueError: If a number is below 1, or none is given.
    """
    for need in needs:
        if not need.numbers or need.numbers[0] < 1:
            raise ValueError(f"numbers must be at least one number, each >= 1, got {need.numbers[:5]}")
    contents = {need.name: need.notes.content(need.scenario.fingerprint()) for need in needs}
    piles: dict[str, _Pile] = {}
    for need in needs:
        content = contents[need.name]
        piles.setdefault(content, _Pile(content, need)).want(need)
    _Work(list(piles.values()), seed, means).run()
    return {need.name: piles[contents[need.name]].replications(need.name) for need in needs}


class _Pile:
    """The replications of one content, found or still wanted."""

    def __init__(self, content: str, need: CaseNeed) -> None:
        self.content = content
        self.scenario, self.notes, self.name = need.scenario, need.notes, need.name
        self.labels: tuple[Label, ...] = ()
        self.wanted: set[int] = set()
        self.found: dict[int, Replication] = {}
        self.lost: set[int] = set()

    def want(self, need: CaseNeed) -> None:
        self.wanted.update(need.numbers)
        if need.have is not None:
            self.put(need.have.labels, need.have.finished)
            self.lost.update(need.have.lost)

    @property
    def missing(self) -> list[int]:
        return sorted(self.wanted - self.found.keys() - self.lost)

    def put(self, labels: tuple[Label, ...], replications: Iterable[Replication]) -> None:
        assert self.labels in ((), labels), "the rows of a plan must not depend on the replication"
        self.labels = labels
        self.found.update((replication.number, replication) for replication in replications)

    def replications(self, name: str) -> Replications:
        if not self.found:
            raise LinesimError(
                f"all {len(self.lost)} replications of {name} ended with the death of their worker process"
            )
        finished = tuple(self.found[number] for number in sorted(self.found))
        return Replications(self.labels, finished, tuple(sorted(self.lost)))


class _Work:
    """One `run_needs` on its way."""

    def __init__(self, piles: Sequence[_Pile], seed: int, means: Means) -> None:
        self.seed, self.means = seed, means
        self.all, self.piles = piles, tuple(piles)

    def run(self) -> None:
        from linesim.plan.build import build

        if self.means.store is not None:
            self._look_up(self.means.store)
        self.piles = tuple(pile for pile in self.all if pile.missing)
        if self.piles and self.means.only_cost:
            raise CostOnly(self._cost())
        jobs = [Errand(place, number) for place, pile in enumerate(self.piles) for number in pile.missing]
        self._tell()
        if not jobs:
            return
        drive = drive_for(self.means.drive, self.means.notice)
        plans = [build(pile.scenario) for pile in self.piles]
        looks = self.means.pace.looks
        spread = WorkSpread(
            [pickle.dumps(plan) for plan in plans],
            jobs,
            seed=self.seed,
            hand_over=self._hand_over,
            notes=[pile.notes for pile in self.piles],
            names=[pile.name for pile in self.piles] if len(self.all) > 1 else (),
            deaths=self._earlier_deaths(),
            give_up=self._give_up,
            drive=drive,
            takts=[
                looks.takts(plan) if drive == "compiled" and 1 in pile.missing else 0
                for plan, pile in zip(plans, self.piles, strict=True)
            ],
        )
        if self.means.cluster is not None:
            from linesim.runs.cluster import spread_over_cluster

            spread_over_cluster(spread, self.means.cluster, notice=self.means.notice)
        elif min(self.means.workers, len(jobs)) == 1 and not spread.has_deaths:
            run_here(spread)
        else:
            if drive == "compiled" and not spread.has_deaths:
                run_in_threads(spread, self.means.workers)
            else:
                spread_over_workers(spread, self.means.pool)

    def _look_up(self, store: Store) -> None:
        for pile in self.all:
            if pile.missing:
                found = store.get(pile.content, self.seed, pile.missing)
                if found.replications:
                    pile.put(found.labels, found.replications.values())
            if pile.missing and not self.means.only_cost:
                store.keep_scenario(pile.scenario)

    def _earlier_deaths(self) -> dict[Errand, int]:
        """Return what was given up in an earlier attempt; it gets one more chance, alone."""
        if self.means.store is None:
            return {}
        return {
            Errand(place, number): MOST_DEATHS - 1
            for place, pile in enumerate(self.piles)
            for number in set(self.means.store.lost(pile.content, self.seed)) & set(pile.missing)
        }

    def _hand_over(self, jobs: tuple[Errand, ...], result: BlockResult) -> None:
        pile = self.piles[jobs[0].plan]
        self.means.pace.tell(len(jobs), result.seconds)
        if self.means.store is not None:
            each = result.seconds / len(jobs)
            self.means.store.keep(pile.content, self.seed, result.labels, result.replications, each)
        pile.put(result.labels, result.replications)
        self._tell()

    def _give_up(self, job: Errand) -> None:
        pile = self.piles[job.plan]
        pile.lost.add(job.number)
        if self.means.store is not None:
            self.means.store.keep_lost(pile.content, self.seed, job.number, MOST_DEATHS)
        if self.means.notice is not None:
            self.means.notice(
                f"replication {job.number} of {pile.name} is given up: its worker died each time it ran; the "
                "others go on"
            )

    def _cost(self) -> RunCost:
        store = self.means.store
        known = [None if store is None else store.seconds_each(pile.content) for pile in self.piles]
        drive = drive_for(self.means.drive, self.means.notice) if None in known else ""
        timed = _timed_once(self.piles[known.index(None)], self.seed, drive) if None in known else None
        wanted = sum(len(pile.wanted) for pile in self.all)
        missing = [len(pile.missing) for pile in self.piles]
        total = sum(
            n * (each if each is not None else timed or 0.0) for n, each in zip(missing, known, strict=True)
        )
        return RunCost(
            cases=len(self.all),
            replications=wanted,
            stored=wanted - sum(missing),
            each=total / max(1, sum(missing)),
            is_timed_now=timed is not None,
            workers=self._places(),
        )

    def _places(self) -> int:
        if self.means.cluster is None:
            return self.means.workers
        from linesim.runs.cluster import places_of

        return max(1, places_of(self.means.cluster))

    def _tell(self) -> None:
        if self.means.progress is not None:
            done = sum(len(pile.wanted & pile.found.keys()) for pile in self.all)
            self.means.progress(done, sum(len(pile.wanted) for pile in self.all))


def _timed_once(pile: _Pile, seed: int, drive: str) -> float:
    """Return how long one replication of a pile takes here [s].

    Raises:
        LineStuck: If its line can no longer move.
    """
    import linesim.engine.run  # noqa: F401 - loading it is no part of the time
    from linesim.plan.build import build

    usable(drive)
    result = run_block(Block(pickle.dumps(build(pile.scenario)), seed, (1,), pile.notes, drive, takts=0))
    if result.error is not None:
        raise result.error
    return result.seconds
