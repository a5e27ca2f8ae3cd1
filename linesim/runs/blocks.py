"""A block: some replications of one plan, the piece of work that travels to a worker."""

from __future__ import annotations

import pickle
import time
from dataclasses import dataclass
from functools import lru_cache
from threading import Lock

from linesim.errors import LinesimError
from linesim.plan.plan import Plan
from linesim.runs.drive import CHECKED_TAKTS, check_drives, usable
from linesim.runs.replication import FIGURES, Label, Recorder, Replication

_UNPACKING = Lock()  #: Threads that begin with one plan share it.


@dataclass(frozen=True, slots=True)
class Block:
    """Replications to run.

    Attributes:
        plan: The plan, pickled once however many blocks it is sent with.
        seed: Seed of the run.
        numbers: Which replications, counted from 1.
        notes: What is noted down of each.
        drive: By which drive they are run, ``simpy`` or ``compiled``; no figure depends on it.
        takts: How much of replication 1 is run by both drives; 0 for nothing.
    """

    plan: bytes
    seed: int
    numbers: tuple[int, ...]
    notes: Recorder = FIGURES
    drive: str = "simpy"
    takts: int = CHECKED_TAKTS[0]


@dataclass(frozen=True, slots=True)
class BlockResult:
    """What came of a block.

    Attributes:
        labels: Names of the figures; empty if no replication was finished.
        replications: The finished ones, in the order of the block.
        error: What stopped the replication after them; None if all are finished.
        seconds: Time the block took [s]; decides the size of later blocks, never a number.
    """

    labels: tuple[Label, ...]
    replications: tuple[Replication, ...]
    error: LinesimError | None
    seconds: float


def run_block(block: Block) -> BlockResult:
    """Run the replications of a block one after the other, up to the first that cannot go on.

    The beginning of replication 1 is run by both drives where the compiled one is used.
    """
    began = time.perf_counter()
    with _UNPACKING:
        plan = _unpacked(block.plan)
    labels: tuple[Label, ...] = ()
    done: list[Replication] = []
    error: LinesimError | None = None
    drive = usable(block.drive)
    for number in block.numbers:
        try:
            if drive != "simpy" and number == 1 and block.takts:
                check_drives(plan, block.seed, number, takts=block.takts)
            labels, replication = block.notes.run(plan, block.seed, number, drive)
        except LinesimError as problem:
            error = problem
            break
        done.append(replication)
    return BlockResult(labels, tuple(done), error, time.perf_counter() - began)


def told_of(error: LinesimError, seed: int, number: int) -> LinesimError:
    """Return ``error`` with a note that says in which replication it came up.

    Added after its way from a worker, on which notes are lost.
    """
    error.add_note(f"in replication {number} of seed {seed}")
    return error


@lru_cache(maxsize=4)
def _unpacked(plan: bytes) -> Plan:
    """Return the plan of a block; blocks of one plan that follow each other unpack it once."""
    found = pickle.loads(plan)
    assert isinstance(found, Plan)
    return found
