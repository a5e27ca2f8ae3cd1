"""Jobs on their way to whoever runs them: which go out next, what came back, who was there at a death."""

from __future__ import annotations

import sys
from collections import Counter, deque
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass

from linesim.errors import LinesimError
from linesim.runs.blocks import Block, BlockResult, run_block, told_of
from linesim.runs.drive import CHECKED_TAKTS
from linesim.runs.replication import FIGURES, Recorder

BLOCK_SECONDS = (
    2.0  #: A block is made about this long: rare enough to cost nothing, short enough to show progress.
)
MOST_DEATHS = (
    3  #: A replication that was there at so many deaths of its worker, the last time alone, is given up.
)
TURN_SECONDS = 2e-4  #: How long a thread waits for Python while another has it: callbacks are short.
LARGEST_BLOCK = 10_000  #: Replications that travel together at most.


@dataclass(frozen=True, slots=True)
class Errand:
    """One replication to run: number ``number`` of plan ``plan``, a place in the list of packed plans."""

    plan: int
    number: int


HandOver = Callable[
    [tuple[Errand, ...], BlockResult], None
]  #: Called with finished jobs, as many as results.


class WorkSpread:
    """Jobs that are spread over processes or machines.

    Who runs them asks for `next_block`, and tells `take` what came back or `bury` that a worker died.
    Nothing here decides a figure: a replication is the same whoever runs it, and failures are told in
    the order of the jobs, whatever the order in which they were found.

    Attributes:
        seed: Seed of the run.
        pending: Jobs that nobody works on.
        has_finished_any: Whether a worker ever came to an end with a block.
    """

    def __init__(
        self,
        plans: Sequence[bytes],
        jobs: Sequence[Errand],
        *,
        seed: int,
        hand_over: HandOver,
        notes: Sequence[Recorder] = (),
        names: Sequence[str] = (),
        deaths: Mapping[Errand, int] | None = None,
        give_up: Callable[[Errand], None] | None = None,
        drive: str = "simpy",
        takts: Sequence[int] = (),
    ) -> None:
        """Begin with all jobs pending.

        Args:
            plans: Packed plans.
            jobs: What to run; those of one plan should follow each other.
            seed: Seed of the run.
            hand_over: Called with each block that came back, without what failed in it.
            notes: What is noted down of the replications of each plan; empty means the figures of all.
            names: What messages call the plans; empty if there is nothing to tell apart.
            deaths: Deaths that jobs were there at in an earlier attempt.
            give_up: Called with each job that is given up.
            drive: By which drive replications are run.
            takts: How much of replication 1 of each plan both drives run; empty means the longer beginning.
        """
        self.seed = seed
        self.pending = deque(jobs)
        self.has_finished_any = False
        self._plans, self._hand_over, self._names = plans, hand_over, names
        self._notes = notes or [FIGURES] * len(plans)
        self._give_up, self._drive = give_up, drive
        self._takts = takts or [CHECKED_TAKTS[0]] * len(plans)
        self._rank = {job: rank for rank, job in enumerate(jobs)}
        self._deaths: Counter[Errand] = Counter(deaths or {})
        self._lost: list[Errand] = []
        self._size = 1
        self._first_error: tuple[int, LinesimError] | None = None

    def next_block(self, workers: int) -> tuple[Errand, ...]:
        """Take the next jobs off the list: of one plan, and those that saw a death one by one."""
        jobs = [self.pending.popleft()]
        while (
            self.pending
            and len(jobs) < min(self._size, 1 + len(self.pending) // workers)
            and self.pending[0].plan == jobs[0].plan
            and not self._deaths[jobs[0]]
            and not self._deaths[self.pending[0]]
        ):
            jobs.append(self.pending.popleft())
        return tuple(jobs)

    def packed(self, jobs: tuple[Errand, ...]) -> Block:
        """Return jobs of one plan as the block that travels."""
        place, numbers = jobs[0].plan, tuple(job.number for job in jobs)
        notes, takts = self._notes[place], self._takts[place]
        return Block(self._plans[place], self.seed, numbers, notes, self._drive, takts)

    def put_back(self, jobs: tuple[Errand, ...]) -> None:
        """Put jobs back in their order; nothing happened to them."""
        self.pending = deque(sorted([*jobs, *self.pending], key=self._rank.__getitem__))

    def may_start(self, flying: Collection[tuple[Errand, ...]], *, room: int) -> bool:
        """Return whether another block may go out; a job with its last chance has all workers for itself.

        Args:
            flying: The blocks that are on their way.
            room: How many may be.
        """
        if not flying:
            return True
        is_alone = any(self._must_be_alone(job) for jobs in flying for job in jobs)
        return len(flying) < room and not is_alone and not self._must_be_alone(self.pending[0])

    def _must_be_alone(self, job: Errand) -> bool:
        return self._deaths[job] >= MOST_DEATHS - 1

    @property
    def has_deaths(self) -> bool:
        """Whether any worker died, now or in an earlier attempt."""
        return bool(self._deaths)

    def take(self, jobs: tuple[Errand, ...], result: BlockResult) -> None:
        """Hand over what came of a block; after a failure only what comes before it is still of interest."""
        self.has_finished_any = True
        finished = len(result.replications)
        if finished:
            self._size = round(BLOCK_SECONDS * finished / max(1e-6, result.seconds))
            self._size = max(1, min(LARGEST_BLOCK, self._size))
            self._hand_over(jobs[:finished], result)
        if result.error is not None:
            rank = self._rank[jobs[finished]]
            if self._first_error is None or rank < self._first_error[0]:
                self._first_error = (rank, self._told_of(result.error, jobs[finished]))
            limit = self._first_error[0]
            self.pending = deque(job for job in self.pending if self._rank[job] < limit)

    def _told_of(self, error: LinesimError, job: Errand) -> LinesimError:
        told = told_of(error, self.seed, job.number)
        if self._names:
            told.add_note(f"of {self._names[job.plan]}")
        return told

    def bury(self, jobs: tuple[Errand, ...], *, deaths: int = 1) -> None:
        """Count deaths against jobs that were in flight; put them back in their order, or give them up.

        Nobody is given up who did not have its last chance with all workers for itself.
        """
        for job in jobs:
            most = MOST_DEATHS if self._must_be_alone(job) else MOST_DEATHS - 1
            self._deaths[job] = min(most, self._deaths[job] + deaths)
        lost = [job for job in jobs if self._deaths[job] >= MOST_DEATHS]
        self._lost += lost
        self.put_back(tuple(job for job in jobs if self._deaths[job] < MOST_DEATHS))
        if self._give_up is not None:
            for job in lost:
                self._give_up(job)

    def outcome(self) -> tuple[Errand, ...]:
        """Return the jobs that were given up, in the order of the jobs.

        Raises:
            LinesimError: The one that the first failing job raised.
        """
        if self._first_error is not None:
            raise self._first_error[1]
        return tuple(sorted(self._lost, key=self._rank.__getitem__))


def run_here(spread: WorkSpread) -> tuple[Errand, ...]:
    """Run what a spread holds in this process, one replication after the other; nothing can be lost.

    Raises:
        LinesimError: The one that the first failing job raised.
    """
    while spread.pending:
        job = spread.pending.popleft()
        spread.take((job,), run_block(spread.packed((job,))))
    return spread.outcome()


def run_in_threads(spread: WorkSpread, threads: int) -> tuple[Errand, ...]:
    """Run what a spread holds in threads of this process, for machine code, which lets others run beside it.

    Nothing can be lost, nothing has to start, and the cases of a study share what was drawn.

    Raises:
        LinesimError: The one that the first failing job raised.
    """
    flying: dict[Future[BlockResult], tuple[Errand, ...]] = {}
    with ThreadPoolExecutor(threads) as pool, _quick_turns():
        while spread.pending or flying:
            while spread.pending and len(flying) < threads:
                jobs = (spread.pending.popleft(),)
                flying[pool.submit(run_block, spread.packed(jobs))] = jobs
            for future in wait(flying, return_when=FIRST_COMPLETED).done:
                spread.take(flying.pop(future), future.result())
    return spread.outcome()


@contextmanager
def _quick_turns() -> Iterator[None]:
    before = sys.getswitchinterval()
    sys.setswitchinterval(TURN_SECONDS)
    try:
        yield
    finally:
        sys.setswitchinterval(before)
