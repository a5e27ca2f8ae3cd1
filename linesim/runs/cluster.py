"""Work shared among machines by dask.distributed, whose scheduler and workers somebody has started."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError
from contextlib import contextmanager
from functools import lru_cache
from importlib import import_module
from types import ModuleType
from typing import Any

from linesim.errors import LinesimError
from linesim.runs.blocks import Block, BlockResult, run_block
from linesim.runs.program import program_digest
from linesim.runs.spread import MOST_DEATHS, Errand, WorkSpread

ANSWER_SECONDS = 10  #: So long a scheduler may take to answer.
WORKER_SECONDS = 60  #: So long there may be no worker at all.
LOOK_SECONDS = 2  #: Pause between two looks at which workers there are.
BLOCKS_AHEAD = 2  #: Blocks on their way for each place to work, so that none waits for the network.

Notice = Callable[[str], None]
Work = Callable[[Block], BlockResult]


class ClusterError(LinesimError):
    """The cluster cannot be used, or is gone."""


class ClusterMissingError(ClusterError):
    """The library that talks to a cluster is not installed."""

    status = 2  #: Exit status: the input was wrong.


class OtherProgramError(ClusterError):
    """A worker runs another linesim, or other libraries, than the program that asks it."""


def spread_over_cluster(
    spread: WorkSpread, address: str, *, notice: Notice | None = None, work: Work = run_block
) -> tuple[Errand, ...]:
    """Run what a spread holds on the workers of a scheduler.

    Only figures travel back. A worker that dies costs no figure: what it had goes to another one, and a
    replication that goes on killing its workers runs alone at the end of its chances and is given up.

    Args:
        spread: What to run.
        address: Where the scheduler listens, such as ``tcp://10.0.0.5:8786``.
        notice: Told when there is no worker for a while.
        work: What a worker does with a block; a function that it can import.

    Returns:
        The jobs that were given up, in their order.

    Raises:
        ClusterError: If there is no scheduler, no worker for `WORKER_SECONDS`, or a worker with another
            program; what was finished until then has been handed over.
        LinesimError: The one that the first failing job raised.
    """
    library = _library()
    with _connected(library, address) as client, client.as_current():
        _Shared(spread, library, client, address, notice, work).run()
    return spread.outcome()


def places_of(address: str) -> int:
    """Return how many blocks the workers of a scheduler can run at a time.

    Raises:
        ClusterError: If there is no scheduler.
    """
    with _connected(_library(), address) as client:
        return sum(client.nthreads().values())


class _Shared:
    """One `spread_over_cluster` on its way."""

    def __init__(
        self,
        spread: WorkSpread,
        library: ModuleType,
        client: Any,
        address: str,
        notice: Notice | None,
        work: Work,
    ) -> None:
        self.spread, self.library, self.client, self.address = spread, library, client, address
        self.notice, self.work = notice, work
        self.program = program_digest()
        self.flying: dict[Any, tuple[Errand, ...]] = {}
        self.alone_since: float | None = None

    def run(self) -> None:
        while self.spread.pending or self.flying:
            places = self._places()
            while self.spread.pending and self.spread.may_start(
                self.flying.values(), room=max(1, BLOCKS_AHEAD * places)
            ):
                self._send(max(1, places))
            try:
                done = self.library.wait(
                    list(self.flying), timeout=LOOK_SECONDS, return_when="FIRST_COMPLETED"
                ).done
            except TimeoutError:
                continue
            except CancelledError as error:
                raise _gone(self.address) from error
            for future in done:
                self._receive(future, self.flying.pop(future))

    def _places(self) -> int:
        """Return how many blocks can run at a time; give up if that has been none for long."""
        places = self._ask_for_places()
        if places:
            self.alone_since = None
            return places
        now = time.monotonic()
        if self.alone_since is None:
            self.alone_since = now
            if self.notice is not None:
                self.notice(f"no worker at {self.address}; waiting for one")
        elif now - self.alone_since > WORKER_SECONDS:
            raise ClusterError(
                f"no worker at {self.address} for {WORKER_SECONDS} s; start some: dask worker {self.address}"
            )
        return 0

    def _ask_for_places(self) -> int:
        try:
            return sum(self.client.nthreads().values())
        except (OSError, ValueError, TimeoutError) as error:
            raise _gone(self.address) from error

    def _send(self, places: int) -> None:
        jobs = self.spread.next_block(places)
        block = self.spread.packed(jobs)
        self.flying[self.client.submit(run_checked, block, self.program, self.work, pure=False)] = jobs

    def _receive(self, future: Any, jobs: tuple[Errand, ...]) -> None:
        try:
            result = future.result()
        except CancelledError as error:
            raise _gone(self.address) from error
        except self.library.KilledWorker:
            # The scheduler has tried it on several workers by now. One that travelled with others may be
            # innocent; one that travelled alone has its last chance with nobody else at work.
            self.spread.bury(jobs, deaths=1 if len(jobs) > 1 else MOST_DEATHS - 1)
        except ImportError as error:
            raise ClusterError(
                f"a worker at {self.address} cannot load linesim ({error}); install the same version of "
                "linesim[cluster] on every machine"
            ) from error
        else:
            self.spread.take(jobs, result)


def run_checked(block: Block, program: str, work: Work) -> BlockResult:
    """Run a block on a worker, after a look that it would give the same figures as everybody else.

    Raises:
        OtherProgramError: If it runs another version of linesim, Python or a library that can move a digit.
    """
    if _own_program() != program:
        from linesim.runs.provenance import versions

        mine = ", ".join(f"{name} {version}" for name, version in versions().items())
        raise OtherProgramError(
            f"a worker runs another program ({mine}) and could give other figures; install the same versions "
            "on every machine and restart its workers"
        )
    return work(block)


@lru_cache(maxsize=1)
def _own_program() -> str:
    return program_digest()


def _library() -> ModuleType:
    """Return dask.distributed, which carries no types."""
    try:
        return import_module("distributed")
    except ImportError as error:
        raise ClusterMissingError(
            "--cluster needs dask.distributed, which is not installed; install the extra: "
            "pip install 'linesim[cluster]'"
        ) from error


@contextmanager
def _connected(library: ModuleType, address: str) -> Iterator[Any]:
    try:
        client = library.Client(address, timeout=ANSWER_SECONDS, set_as_default=False)
    except (OSError, ValueError, TimeoutError, TypeError) as error:
        raise ClusterError(
            f"no scheduler answers at {address} ({error}); start one with: dask scheduler"
        ) from error
    try:
        yield client
    finally:
        client.close(timeout=ANSWER_SECONDS)


def _gone(address: str) -> ClusterError:
    return ClusterError(f"the scheduler at {address} is gone; give the same command again once it is back")
