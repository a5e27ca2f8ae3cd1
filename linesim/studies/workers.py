"""Several worker processes that share a list of replications, survive a death and obey Ctrl-C."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections import Counter, deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import connection
from typing import TypeVar

from linesim.errors import LinesimError
from linesim.studies.blocks import Block, BlockResult, run_block, told_of
from linesim.studies.replication import Label, Replication

BLOCK_SECONDS = (
    2.0  #: A block is made about this long: rare enough to cost nothing, short enough to show progress.
)
MOST_DEATHS = (
    3  #: A replication that was there at so many deaths of its worker, the last time alone, is given up.
)


_R = TypeVar("_R")


class WorkersWontStartError(LinesimError):
    """No worker process survives even its start."""


@dataclass(frozen=True, slots=True)
class Job:
    """One replication to run: number ``number`` of plan ``plan``, a place in the list of packed plans."""

    plan: int
    number: int


Deliver = Callable[[Job, tuple[Label, ...], Replication], None]  #: What to do with a finished replication.


def usable_cores() -> int:
    """Return how many processors this program may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def run_in_workers(
    plans: Sequence[bytes],
    jobs: Sequence[Job],
    *,
    seed: int,
    workers: int,
    deliver: Deliver,
    work: Callable[[Block], BlockResult] = run_block,
) -> tuple[Job, ...]:
    """Run ``jobs`` in ``workers`` spawned processes and hand over each result as it comes.

    A worker that dies takes its block along: the pool is built anew and what is missing is
    sent again, replication by replication. One that was there at two deaths runs alone; if its
    worker dies once more it is given up, and the others go on.

    Args:
        plans: Packed plans.
        jobs: What to run; those of one plan should follow each other.
        seed: Seed of the run.
        workers: Number of processes, >= 1.
        deliver: Called here, not in a worker, with each finished job in order of completion.

        work: What a worker does with a block; a function that a new process can import.

    Returns:
        The jobs that were given up, in the order of ``jobs``.

    Raises:
        LinesimError: The one that the first failing job of ``jobs`` raised, after everything before
            it was delivered; so the number of workers never decides which failure is reported.
        WorkersWontStartError: If not even an idle worker process can be kept alive.
    """
    return _Spread(plans, jobs, seed, workers, deliver, work).run()


class _Spread:
    """The state of one `run_in_workers`."""

    def __init__(
        self,
        plans: Sequence[bytes],
        jobs: Sequence[Job],
        seed: int,
        workers: int,
        deliver: Deliver,
        work: Callable[[Block], BlockResult],
    ) -> None:
        self.plans, self.seed, self.workers, self.deliver = plans, seed, workers, deliver
        self.work = work
        self.rank = {job: rank for rank, job in enumerate(jobs)}
        self.pending = deque(jobs)
        self.deaths: Counter[Job] = Counter()
        self.lost: list[Job] = []
        self.size = 1
        self.has_finished_any = False
        self.first_error: tuple[int, LinesimError] | None = None

    def run(self) -> tuple[Job, ...]:
        while self.pending:
            with _pool(self.workers) as pool:
                self._until_done_or_broken(pool)
        if self.first_error is not None:
            raise self.first_error[1]
        return tuple(sorted(self.lost, key=self.rank.__getitem__))

    def _until_done_or_broken(self, pool: ProcessPoolExecutor) -> None:
        if self.deaths and not self.has_finished_any:
            self._probe(pool)
        flying: dict[Future[BlockResult], tuple[Job, ...]] = {}
        is_broken = False
        while not is_broken and (self.pending or flying):
            while self.pending and not is_broken and self._may_start(list(flying.values())):
                jobs = self._next_block()
                block = Block(self.plans[jobs[0].plan], self.seed, tuple(job.number for job in jobs))
                try:
                    flying[_submitted(pool, self.work, block)] = jobs
                except BrokenProcessPool:
                    self.pending.extendleft(reversed(jobs))
                    is_broken = True
            done, _ = wait(flying, return_when=FIRST_COMPLETED)
            is_broken = is_broken or any(isinstance(f.exception(), BrokenProcessPool) for f in done)
            for future in wait(flying).done if is_broken else done:
                jobs = flying.pop(future)
                if isinstance(future.exception(), BrokenProcessPool):
                    self._bury(jobs)
                else:
                    self._take(jobs, future.result())

    def _may_start(self, flying: Sequence[tuple[Job, ...]]) -> bool:
        """Return whether another block may go out; a job that saw two deaths has the pool for itself."""
        last_chance = MOST_DEATHS - 1
        is_alone = any(self.deaths[job] >= last_chance for jobs in flying for job in jobs)
        must_be_alone = self.deaths[self.pending[0]] >= last_chance
        return not flying or (len(flying) < self.workers and not is_alone and not must_be_alone)

    def _next_block(self) -> tuple[Job, ...]:
        """Take the next jobs off the list: of one plan, and those that saw a death one by one."""
        jobs = [self.pending.popleft()]
        while (
            self.pending
            and len(jobs) < min(self.size, 1 + len(self.pending) // self.workers)
            and self.pending[0].plan == jobs[0].plan
            and not self.deaths[jobs[0]]
            and not self.deaths[self.pending[0]]
        ):
            jobs.append(self.pending.popleft())
        return tuple(jobs)

    def _take(self, jobs: tuple[Job, ...], result: BlockResult) -> None:
        self.has_finished_any = True
        finished = len(result.replications)
        for job, replication in zip(jobs, result.replications, strict=False):
            self.deliver(job, result.labels, replication)
        if finished:
            self.size = max(1, min(10_000, round(BLOCK_SECONDS * finished / max(1e-6, result.seconds))))
        if result.error is not None:
            rank = self.rank[jobs[finished]]
            if self.first_error is None or rank < self.first_error[0]:
                self.first_error = (rank, told_of(result.error, self.seed, jobs[finished].number))
            limit = self.first_error[0]
            self.pending = deque(job for job in self.pending if self.rank[job] < limit)

    def _bury(self, jobs: tuple[Job, ...]) -> None:
        """Count a death against jobs that were in flight; put them back in their order, or give them up."""
        self.deaths.update(jobs)
        self.lost += [job for job in jobs if self.deaths[job] >= MOST_DEATHS]
        back = [job for job in jobs if self.deaths[job] < MOST_DEATHS]
        self.pending = deque(sorted([*back, *self.pending], key=self.rank.__getitem__))

    def _probe(self, pool: ProcessPoolExecutor) -> None:
        """Find out whether a worker can start at all."""
        try:
            _submitted(pool, os.getpid).result()
        except BrokenProcessPool:
            raise WorkersWontStartError(
                "worker processes die while they start; a script that simulates with several workers must "
                'do so below `if __name__ == "__main__":`, because each worker reads the script again '
                "(workers=1 needs no other process)"
            ) from None


def _submitted(pool: ProcessPoolExecutor, work: Callable[..., _R], *args: object) -> Future[_R]:
    """Hand work to the pool; this is the moment at which it may start a process."""
    with _quiet_interrupts():
        return pool.submit(work, *args)


@contextmanager
def _pool(workers: int) -> Iterator[ProcessPoolExecutor]:
    """Open a pool of spawned workers; whatever ends the block, no worker outlives it for long."""
    pool = ProcessPoolExecutor(
        max_workers=workers, mp_context=multiprocessing.get_context("spawn"), initializer=_begin_worker
    )
    try:
        yield pool
    except BaseException:
        # Ctrl-C or a failure: what the workers do now is of no use to anybody.
        for worker in list((getattr(pool, "_processes", None) or {}).values()):
            worker.terminate()
        raise
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


@contextmanager
def _quiet_interrupts() -> Iterator[None]:
    """Hold Ctrl-C back while a worker may be started, so that the worker inherits a blocked signal.

    Ctrl-C reaches every process of the terminal. Workers would each print a traceback; the
    main program alone has to react, and it does as soon as this block is left.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _begin_worker() -> None:
    """Leave Ctrl-C to the main program, and end when it ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_follow, args=(parent.sentinel,), daemon=True).start()


def _follow(sentinel: int) -> None:
    """End this worker when the process behind ``sentinel`` is gone: nobody would take its results."""
    connection.wait([sentinel])
    os._exit(1)
