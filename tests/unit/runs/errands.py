"""Work for the worker processes of the tests: no line, only numbers, errors and deaths."""

import os
import signal
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from linesim.errors import LineStuck
from linesim.runs.blocks import Block, BlockResult, run_block
from linesim.runs.replication import Label, Replication
from linesim.runs.spread import Errand, WorkSpread
from linesim.runs.workers import WorkerPool, spread_over_workers

LABELS = (Label("number", "segment", "", "1"), Label("seed", "segment", "", "1"))


def count(block: Block) -> BlockResult:
    """Return the number of each replication and the seed; ``plan`` is text that may ask for trouble.

    ``die N`` kills the worker at replication N whenever it comes; ``once N FILE`` only while FILE does not
    exist; ``stuck N M`` cannot go on at N or M; ``slow`` takes its time; ``mark DIR`` leaves a file for each
    replication, named by it and the worker; ``stay DIR`` does so and then takes a minute.
    """
    word, *rest = block.plan.decode().split() or [""]
    done: list[Replication] = []
    for number in block.numbers:
        if word == "die" and str(number) in rest:
            os.kill(os.getpid(), signal.SIGKILL)
        if word == "once" and str(number) == rest[0] and not Path(rest[1]).exists():
            Path(rest[1]).touch()
            os.kill(os.getpid(), signal.SIGKILL)
        if word == "stuck" and str(number) in rest:
            return BlockResult(LABELS, tuple(done), LineStuck(number, 0, ["nothing moves"]), 0.001)
        if word == "slow":
            time.sleep(0.3)
        if word in {"mark", "stay"}:
            with (Path(rest[0]) / f"{number}-{os.getpid()}").open("x"):
                pass
        if word == "stay":
            time.sleep(60)
        done.append(Replication(number, (float(number), float(block.seed)), ()))
    return BlockResult(LABELS, tuple(done), None, 0.001)


def run_in_workers(
    plans: Sequence[bytes],
    jobs: Sequence[Errand],
    workers: int,
    deliver: Callable[[Errand, Replication], object],
) -> tuple[Errand, ...]:
    """Do `count` for jobs in processes of their own; return those that were given up."""

    def hand_over(done: tuple[Errand, ...], result: BlockResult) -> None:
        assert result.labels == LABELS
        for job, replication in zip(done, result.replications, strict=True):
            deliver(job, replication)

    pool = WorkerPool(workers)
    try:
        return spread_over_workers(WorkSpread(plans, jobs, seed=7, hand_over=hand_over), pool, count)
    finally:
        pool.close()


def deadly(block: Block) -> BlockResult:
    """Run a block of a real plan; replications 3 and 6 kill their worker whenever they come."""
    if {3, 6}.intersection(block.numbers):
        os.kill(os.getpid(), signal.SIGKILL)
    return run_block(block)
