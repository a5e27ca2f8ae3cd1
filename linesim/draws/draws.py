"""All draws of one replication, as the engine asks for them."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np

from linesim.draws.orders import JobSequence
from linesim.draws.spacing import SpacingCheck
from linesim.draws.streams import BLOCK, Sheet, Streams, to_ticks
from linesim.plan.columns import name_key
from linesim.plan.orders import Order, Orders
from linesim.plan.plan import Plan
from linesim.plan.tables import IntArray

_KEPT = 2  #: Blocks remembered of each column: the one in use and one for jobs that come late.
_FEW, _MOST = 6, 11  #: Least and most rows of a block, as powers of two.
_MANY = 1000  #: With more tasks than these, blocks are a quarter as long, so that memory stays small.

_Column = tuple[int | str, int, int]  #: (task or name, attempt, shape)


class Draws:
    """The luck of one replication.

    Every random quantity has its own stream, keyed by (seed, replication, kind, name, attempt), and in
    it its own row: the job, or the count of a failure. What is asked, in which order and how often
    changes no number, so a change to the line leaves the jobs and their work as they were. All times
    with which a task may be done (with this option, for that model) come from the same uniform number.

    Blocks of times are made as vectors and kept as lists of Python integers, because the engine asks
    for one at a time: a dictionary look-up and no arithmetic in floats. Memory does not grow with the
    length of the run.

    Args:
        plan: The line; its names key the streams, so an index that moves changes nothing.
        seed: Seed of the run, 0 <= seed < 2**64.
        replication: Number of the replication, counted from 1.
        block: Rows made at a time, a power of two >= 4; changes speed, never a number. None chooses by
            the number of tasks.

    Raises:
        ValueError: If ``seed``, ``replication`` or ``block`` is outside its limits, or a shape of the
            plan has impossible numbers.
    """

    __slots__ = (
        "_cells", "_chances", "_constant", "_gates", "_held", "_laws", "_mask", "_mode_every", "_mode_lasts",
        "_modes", "_plan", "_sequence", "_sheets", "_shift", "_streams", "_tasks",
    )  # fmt: skip

    def __init__(self, plan: Plan, seed: int, replication: int, *, block: int | None = None) -> None:
        if block is None:
            block = BLOCK if len(plan.names.task) <= _MANY else BLOCK // 4
        if block < 4 or block & (block - 1):
            raise ValueError(f"block must be a power of two >= 4, got {block}")
        if replication < 1:
            raise ValueError(f"replication must be >= 1, got {replication}")
        self._streams = Streams(seed, replication, block=block)
        self._shift, self._mask = block.bit_length() - 1, block - 1
        self._plan, self._laws = plan, plan.shapes
        #: Ticks of each shape that never varies, -1 for the others.
        self._constant = [int(to_ticks(law.least_s)) if law.is_flat else -1 for law in self._laws]
        self._tasks, self._modes = plan.names.task, plan.names.mode
        self._mode_every, self._mode_lasts = plan.modes.every.tolist(), plan.modes.lasts.tolist()
        self._gates = {"supply": plan.supply.every, "removal": plan.removal.every}
        self._sequence = _sequence(plan.orders, seed, replication)
        self._sheets: dict[tuple[bytes, int], Sheet] = {}
        self._cells: dict[tuple[int | str, int, int, int], list[int]] = {}
        self._held: dict[_Column, list[int]] = {}
        self._chances: dict[tuple[str, str, int], dict[int, list[float]]] = {}

    def order(self, job: int) -> Order | None:
        """Return what job ``job`` is, counted from 0; None after the last order of a list that ends."""
        return self._sequence[job]

    def spacing_checks(self, n_jobs: int) -> tuple[SpacingCheck, ...]:
        """Return how the first ``n_jobs`` jobs keep each spacing rule of the scenario."""
        return self._sequence.spacing_checks(n_jobs)

    def task_ticks(self, t: int, job: int, attempt: int, shape: int) -> int:
        """Return the ticks of task ``t`` on ``job`` by ``shape``; the first ``attempt`` is 0."""
        ticks = self._constant[shape]
        if ticks >= 0:
            return ticks
        try:
            return self._cells[t, attempt, shape, job >> self._shift][job & self._mask]
        except KeyError:
            return self._times("task", self._tasks[t], (t, attempt, shape), job)

    def repair_ticks(self, name: str, shape: int, job: int, attempt: int) -> int:
        """Return the ticks in which fault ``name`` of ``job`` is put right at its ``attempt``."""
        return self._ticks("repair", name, shape, job, attempt)

    def mode_every(self, m: int, k: int) -> int:
        """Return the ticks, as mode ``m`` counts them, that lie before its failure ``k``, counted from 0.

        Raises:
            ValueError: If the mode counts jobs, so that no time is drawn.
        """
        return self._ticks("every", self._modes[m], self._mode_every[m], k, 0)

    def mode_lasts(self, m: int, k: int) -> int:
        """Return the ticks that failure ``k`` of mode ``m`` lasts, counted from 0."""
        return self._ticks("lasts", self._modes[m], self._mode_lasts[m], k, 0)

    def gate_every(self, kind: str, k: int) -> int:
        """Return the ticks of gap ``k`` at a gate, ``"supply"`` or ``"removal"``, counted from 0.

        Raises:
            ValueError: If the gate has no rate.
        """
        return self._ticks("gap", kind, self._gates[kind], k, 0)

    def chance(self, kind: str, name: str, job: int, attempt: int) -> float:
        """Return a number in [0, 1) that decides a yes or no, such as whether ``job`` has fault ``name``."""
        stream = (kind, name, attempt)
        blocks = self._chances.get(stream)
        if blocks is None:
            blocks = self._chances[stream] = {}
        numbers = blocks.get(job >> self._shift)
        if numbers is None:
            # "chance:" keeps these apart from the streams of times, whatever the caller's words are.
            numbers = self._sheet("chance:" + kind, name, attempt).block(job >> self._shift).tolist()
            if len(blocks) >= _KEPT:
                del blocks[next(iter(blocks))]
            blocks[job >> self._shift] = numbers
        return numbers[job & self._mask]

    def bits(self, column: int, attempt: int) -> int:
        """Return the rows of a block of a column, as a power of two; it changes speed, never a number.

        A block of what every job needs holds about as many rows as jobs come in the run, as far as that is
        not many; of failures and redone work few are drawn.
        """
        columns, run = self._plan.columns, self._plan.run
        if attempt > 0 or columns.bay <= column < columns.gap:
            return _FEW
        takts = self._plan.sections.takt
        jobs = (run.warm_up + run.length) // max(1, int(takts.min(initial=run.shift)))
        most = _MOST if len(self._tasks) <= _MANY else _MOST - 2
        return min(most, max(_FEW, int(jobs).bit_length() - 1))

    def constant(self, shape: int) -> int:
        """Return the ticks of a shape that never varies, -1 for the others."""
        return self._constant[shape]

    def block(self, column: int, attempt: int, b: int, rows: int) -> IntArray:
        """Return block ``b`` of a column: ticks, or what `chance` gives in units of 2**-53."""
        key, shape = self._plan.columns.all[column].key, self._plan.columns.all[column].shape
        law = self._laws[shape] if shape >= 0 else None
        return _drawn(self._streams.seed, self._streams.replication, key, attempt, law, b, rows)

    def _ticks(self, kind: str, name: str, shape: int, row: int, attempt: int) -> int:
        """Return row ``row`` of a stream through a shape."""
        if shape < 0:
            raise ValueError(f"{name}: no shape is given for {kind!r}")
        ticks = self._constant[shape]
        if ticks >= 0:
            return ticks
        column = (f"{kind}:{name}", attempt, shape)
        try:
            return self._cells[*column, row >> self._shift][row & self._mask]
        except KeyError:
            return self._times(kind, name, column, row)

    def _times(self, kind: str, name: str, column: _Column, row: int) -> int:
        """Make the block that holds ``row``, forget the oldest of its column, and return the row's ticks."""
        block = row >> self._shift
        _, attempt, shape = column
        numbers = self._sheet(kind, name, attempt).block(block)
        ticks: list[int] = to_ticks(self._laws[shape].quantile(numbers)).tolist()
        held = self._held.setdefault(column, [])
        if len(held) >= _KEPT:
            del self._cells[*column, held.pop(0)]
        held.append(block)
        self._cells[*column, block] = ticks
        return ticks[row & self._mask]

    def _sheet(self, kind: str, name: str, attempt: int) -> Sheet:
        """Return the sheet of a stream, made when it is first asked for."""
        return self._sheet_of(name_key(kind, name), attempt)

    def _sheet_of(self, key: bytes, attempt: int) -> Sheet:
        sheet = self._sheets.get((key, attempt))
        if sheet is None:
            sheet = self._sheets[key, attempt] = self._streams.sheet_of(key, attempt)
        return sheet


@lru_cache(maxsize=64)
def _sequence(orders: Orders, seed: int, replication: int) -> JobSequence:
    """Return the jobs of a replication: the same for all cases of a study that have one order book."""
    return JobSequence(orders, Streams(seed, replication))


@lru_cache(maxsize=1 << 12)
def _drawn(seed: int, replication: int, key: bytes, attempt: int, law: Any, b: int, rows: int) -> IntArray:
    """Return a block of draws, read-only: the same for all cases of a study with the same shape."""
    numbers = Streams(seed, replication, block=rows).sheet_of(key, attempt).block(b)
    made = (numbers * 2.0**53).astype(np.int64) if law is None else to_ticks(law.quantile(numbers))
    made.flags.writeable = False
    return made
