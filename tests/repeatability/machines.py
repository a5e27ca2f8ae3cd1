"""A scheduler and workers on this machine, started by their ordinary commands, for the tests of clusters."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.commands.calls import environment


@dataclass(frozen=True)
class Machines:
    """A running cluster.

    Attributes:
        address: Where its scheduler listens.
        scheduler: The scheduler.
        workers: Its workers; each has a process group of its own.
    """

    address: str
    scheduler: subprocess.Popen[bytes]
    workers: tuple[subprocess.Popen[bytes], ...]


@contextmanager
def machines(folder: Path, *, workers: int, restart: bool = False) -> Iterator[Machines]:
    """Yield a scheduler with workers on loopback; everything is stopped at the end, by its process id.

    Args:
        folder: Where they write what they have to say.
        workers: How many workers.
        restart: Whether a worker that dies is started again, as it is by default.
    """
    started: list[subprocess.Popen[bytes]] = []

    def start(name: str, *words: str) -> subprocess.Popen[bytes]:
        with (folder / f"{name}.log").open("wb") as log:
            command = [sys.executable, "-m", "dask", *words, "--no-dashboard"]
            run = subprocess.Popen(
                command, env=environment({}), cwd=folder, stdout=log, stderr=log, start_new_session=True
            )
        started.append(run)
        return run

    try:
        start("scheduler", "scheduler", "--host", "127.0.0.1", "--port", "0")
        address = _wait_for(folder / "scheduler.log", "Scheduler at:").split()[-1]
        guard = () if restart else ("--no-nanny",)
        for number in range(workers):
            start(f"worker-{number}", "worker", address, "--host", "127.0.0.1", "--nthreads", "1", *guard)
        for number in range(workers):
            _wait_for(folder / f"worker-{number}.log", "Registered to:")
        yield Machines(address, started[0], tuple(started[1:]))
    finally:
        for run in reversed(started):  # nothing that they hold is of use to anybody
            if run.poll() is None:
                os.killpg(run.pid, signal.SIGKILL)
            run.wait(timeout=10)


def _wait_for(log: Path, words: str) -> str:
    """Return the line of a log that holds ``words``, once it is there."""
    end = time.monotonic() + 60
    while time.monotonic() < end:
        for line in log.read_text(encoding="utf-8").splitlines() if log.exists() else ():
            if words in line:
                return line
        time.sleep(0.05)
    raise AssertionError(f"{log.name} never said {words!r}:\n{log.read_text(encoding='utf-8')}")
