"""Several worker processes that share a list of replications, survive a death and obey Ctrl-C."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Future, wait
from contextlib import contextmanager
from typing import TYPE_CHECKING, TypeVar

from linesim.errors import LinesimError
from linesim.runs.blocks import Block, BlockResult, run_block
from linesim.runs.spread import Errand, WorkSpread

if TYPE_CHECKING:
    from concurrent.futures import ProcessPoolExecutor

_R = TypeVar("_R")


class WorkersWontStartError(LinesimError):
    """No worker process survives even its start."""


def usable_cores() -> int:
    """Return how many processors this program may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


class WorkerPool:
    """Spawned workers that stay for the next piece of work: starting them takes a second or two.

    They start when there is something to do, and end with `close`, with the last reference to the
    pool or with the program.
    """

    def __init__(self, workers: int) -> None:
        self.workers = workers
        self._executor: ProcessPoolExecutor | None = None

    def executor(self) -> ProcessPoolExecutor:
        """Return the open pool, or open one."""
        if self._executor is None:
            import multiprocessing
            from concurrent.futures import ProcessPoolExecutor

            self._executor = ProcessPoolExecutor(
                max_workers=self.workers,
                mp_context=multiprocessing.get_context("spawn"),
                initializer=_begin_worker,
            )
        return self._executor

    def close(self, *, at_once: bool = False) -> None:
        """End the workers; the next piece of work starts others.

        Args:
            at_once: Do not let them finish: what they do now is of no use to anybody.
        """
        executor, self._executor = self._executor, None
        if executor is None:
            return
        if at_once:
            for worker in list((getattr(executor, "_processes", None) or {}).values()):
                worker.terminate()
        executor.shutdown(wait=True, cancel_futures=True)


def spread_over_workers(
    spread: WorkSpread, pool: WorkerPool, work: Callable[[Block], BlockResult] = run_block
) -> tuple[Errand, ...]:
    """Run what a spread holds in spawned processes, and hand over each block as it comes.

    A worker that dies takes its block along: the pool is built anew and what is missing is
    sent again, replication by replication. One that was there at two deaths runs alone; if its
    worker dies once more it is given up, and the others go on.

    Args:
        spread: What to run.
        pool: The processes; they stay for the next piece of work.
        work: What a worker does with a block; a function that a new process can import.

    Returns:
        The jobs that were given up, in their order.

    Raises:
        LinesimError: The one that the first failing job raised, after everything before it was handed
            over; so the number of workers never decides which failure is reported.
        WorkersWontStartError: If not even an idle worker process can be kept alive.
    """
    try:
        while spread.pending:
            if _until_done_or_broken(spread, pool.executor(), pool.workers, work):
                pool.close()
    except BaseException:
        pool.close(at_once=True)
        raise
    return spread.outcome()


def _until_done_or_broken(
    spread: WorkSpread, pool: ProcessPoolExecutor, workers: int, work: Callable[[Block], BlockResult]
) -> bool:
    """Run blocks, and return whether the pool broke before all were done."""
    if spread.has_deaths and not spread.has_finished_any:
        _probe(pool)
    flying: dict[Future[BlockResult], tuple[Errand, ...]] = {}
    is_broken = False
    while not is_broken and (spread.pending or flying):
        while spread.pending and not is_broken and spread.may_start(flying.values(), room=workers):
            jobs = spread.next_block(workers)
            try:
                flying[_submitted(pool, work, spread.packed(jobs))] = jobs
            except BrokenExecutor:
                spread.put_back(jobs)
                is_broken = True
        done, _ = wait(flying, return_when=FIRST_COMPLETED)
        is_broken = is_broken or any(isinstance(f.exception(), BrokenExecutor) for f in done)
        for future in wait(flying).done if is_broken else done:
            jobs = flying.pop(future)
            if isinstance(future.exception(), BrokenExecutor):
                spread.bury(jobs)
            else:
                spread.take(jobs, future.result())
    return is_broken


def _probe(pool: ProcessPoolExecutor) -> None:
    """Find out whether a worker can start at all."""
    try:
        _submitted(pool, os.getpid).result()
    except BrokenExecutor:
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
def _quiet_interrupts() -> Iterator[None]:
    """Hold Ctrl-C back while a worker may be started, so that the worker inherits a blocked signal.

    Ctrl-C reaches every process of the terminal. Workers would each print a traceback; the
    main program alone has to react, and it does as soon as this block is left. Blocking the signal
    is for the worker. It does not spare us, since another thread may take the signal, and Python
    would break off in the midst of starting the worker: so what comes is noted and raised again later.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    came: list[int] = []
    handler = signal.signal(signal.SIGINT, lambda number, _frame: came.append(number))
    masks = hasattr(signal, "pthread_sigmask")
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT}) if masks else set()
    try:
        yield
    finally:
        if masks:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)
        signal.signal(signal.SIGINT, handler or signal.SIG_DFL)
        if came:
            signal.raise_signal(signal.SIGINT)


def _begin_worker() -> None:
    """Leave Ctrl-C to the main program, and end when it ends."""
    import multiprocessing

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_follow, args=(parent.sentinel,), daemon=True).start()


def _follow(sentinel: int) -> None:
    """End this worker when the process behind ``sentinel`` is gone: nobody would take its results."""
    from multiprocessing import connection

    connection.wait([sentinel])
    os._exit(1)
