"""All draws of one replication, as the engine asks for them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from threading import Lock
from typing import Any, NamedTuple

from linesim.draws.orders import JobSequence
from linesim.draws.spacing import SpacingCheck
from linesim.draws.streams import StreamBits, Streams, joined_key, to_ticks, uniform
from linesim.plan.columns import ORDER
from linesim.plan.orders import PlannedOrder, PlannedOrders
from linesim.plan.plan import Plan
from linesim.plan.tables import IntArray

_FEW, _MOST = 6, 11  #: Least and most rows of a block, as powers of two.
_MANY = 1000  #: With more tasks than these, blocks are a quarter as long, so that memory stays small.
_TOGETHER = 256  #: Columns of which blocks are made together.
_AT_ONCE = 1 << 16  #: Numbers made at once: so many stay in a processor's cache.
_KEPT = 1 << 23  #: Numbers that stay in memory for other cases of a study, 64 MB.


class Draws:
    """The luck of one replication.

    Every random quantity has its own stream, keyed by (seed, replication, kind, name, attempt), and in
    it its own row: the job, or the count of a failure. What is asked, in which order and how often
    changes no number, so a change to the line leaves the jobs and their work as they were. All times
    with which a task may be done (with this option, for that model) come from the same uniform number.

    Times are made as vectors, many columns at a time. Memory does not grow with the length of the run.

    Args:
        plan: The line; its names key the streams, so an index that moves changes nothing.
        seed: Seed of the run, 0 <= seed < 2**64.
        replication: Number of the replication, counted from 1.

    Raises:
        ValueError: If ``seed`` or ``replication`` is outside its limits, or a shape of the plan has
            impossible numbers.
    """

    __slots__ = ("_of", "_replication", "_seed", "_sequence")

    def __init__(self, plan: Plan, seed: int, replication: int) -> None:
        if replication < 1:
            raise ValueError(f"replication must be >= 1, got {replication}")
        self._seed, self._replication = seed, replication
        self._of = _Drawing.of(plan)
        self._sequence = _sequence(plan.orders, seed, replication)

    def order(self, job: int) -> PlannedOrder | None:
        """Return what job ``job`` is, counted from 0; None after the last order of a list that ends."""
        return self._sequence[job]

    def orders(self, first: int, n: int) -> list[PlannedOrder | None]:
        """Return what ``n`` jobs from job ``first`` on are, see `order`."""
        return self._sequence.orders(first, n)

    def spacing_checks(self, n_jobs: int) -> tuple[SpacingCheck, ...]:
        """Return how the first ``n_jobs`` jobs keep each spacing rule of the scenario."""
        return self._sequence.spacing_checks(n_jobs)

    def constant(self, shape: int) -> int:
        """Return the ticks of a shape that never varies, -1 for the others."""
        return self._of.constant[shape]

    def bits(self, column: int) -> int:
        """Return the rows of a block of a column, as a power of two; it changes speed, never a number."""
        return self._of.bits(column)

    def block(self, column: int, attempt: int, b: int, rows: int) -> IntArray:
        """Return block ``b`` of a column: ticks, or chances in units of 2**-53.

        The same block of columns that are soon asked for too is made with it: together they cost a fifth.
        """
        kept = _kept_blocks().find(self._drawn_block(column, attempt, b, rows))
        if kept is not None:
            return kept
        beside = self.beside(column, attempt, rows)
        return self.blocks(beside, attempt, b, rows)[beside.index(column)]

    def beside(self, column: int, attempt: int, rows: int) -> list[int]:
        """Return the columns whose blocks are made with that of ``column``, itself among them."""
        return self._of.beside(column, attempt, rows)

    def blocks(self, columns: Sequence[int], attempt: int, b: int, rows: int) -> list[IntArray]:
        """Return block ``b`` of each of some columns, made together."""
        return _kept_blocks().get([self._drawn_block(column, attempt, b, rows) for column in columns])

    def _drawn_block(self, column: int, attempt: int, b: int, rows: int) -> DrawnBlock:
        return DrawnBlock(self._seed, self._replication, attempt, b, rows, *self._of.streams[column])


class _Drawing:
    """How the quantities of a plan are drawn, whatever the luck."""

    def __init__(self, plan: Plan) -> None:
        self._columns = columns = plan.columns
        #: Key and shape of each column.
        self.streams = [(one.key, plan.shapes[one.shape] if one.shape >= 0 else None) for one in columns.all]
        #: Ticks of each shape that never varies, -1 for the others.
        self.constant = [int(to_ticks(law.least_s)) if law.is_flat else -1 for law in plan.shapes]
        run = plan.run
        jobs = (run.warm_up + run.length) // max(1, int(plan.sections.takt.min(initial=run.shift)))
        most = _MOST if len(plan.names.task) <= _MANY else _MOST - 2
        self._bits = min(most, max(_FEW, int(jobs).bit_length() - 1))
        self._together: dict[tuple[int, int], list[int]] = {}

    @classmethod
    def of(cls, plan: Plan) -> _Drawing:
        """Return how a plan is drawn, worked out when it is first asked for."""
        found: _Drawing = plan.worked_out.once(cls, lambda: cls(plan))
        return found

    def bits(self, column: int) -> int:
        """Return the rows of a block of a column, as a power of two.

        A block of what jobs need holds about as many rows as jobs come in the run, as far as that is not
        many; of failures few are drawn.
        """
        return _FEW if self._columns.bay <= column < self._columns.gap else self._bits

    def beside(self, column: int, attempt: int, rows: int) -> list[int]:
        """Return the columns whose blocks are made with that of ``column``, itself among them.

        Of first attempts those of the columns around it, of second ones those of all that is done again.
        """
        key = (column // _TOGETHER if attempt == 0 else -1), rows
        found = self._together.get(key)
        if found is None:
            first = column - column % _TOGETHER
            near = range(first, min(first + _TOGETHER, len(self.streams)))
            found = self._together[key] = [
                c for c in (near if attempt == 0 else self._columns.again) if self._is_drawn(c, rows)
            ]
        return found if column in found and attempt <= 1 else [column]

    def _is_drawn(self, column: int, rows: int) -> bool:
        """Return whether a column is drawn at all, and in blocks of so many rows."""
        shape = self._columns.all[column].shape
        is_fixed = shape >= 0 and self.constant[shape] >= 0
        return column != ORDER and not is_fixed and rows == 1 << self.bits(column)


class DrawnBlock(NamedTuple):
    """Some rows of a stream, pushed through a shape; without one they are chances."""

    seed: int
    replication: int
    attempt: int
    b: int
    rows: int
    key: bytes
    law: Any


class _KeptBlocks:
    """Blocks that were drawn before: all cases of a study with the same shape have the same."""

    def __init__(self) -> None:
        self._blocks: dict[DrawnBlock, IntArray] = {}
        self._size = 0
        self._lock = Lock()

    def find(self, wanted: DrawnBlock) -> IntArray | None:
        """Return a block that was drawn before, or None."""
        return self._blocks.get(wanted)

    def get(self, wanted: Sequence[DrawnBlock]) -> list[IntArray]:
        """Return blocks of one length, read-only, and draw those that are not there."""
        found = [self._blocks.get(block) for block in wanted]
        missing = [place for place, numbers in enumerate(found) if numbers is None]
        if missing:
            for place, numbers in zip(missing, drawn([wanted[place] for place in missing]), strict=True):
                found[place] = numbers
            with self._lock:
                self._keep([(wanted[place], found[place]) for place in missing])  # type: ignore[misc]
        return found  # type: ignore[return-value]

    def _keep(self, fresh: Sequence[tuple[DrawnBlock, IntArray]]) -> None:
        for block, numbers in fresh:
            if self._blocks.setdefault(block, numbers) is numbers:
                self._size += len(numbers)
        while self._size > _KEPT:
            self._size -= len(self._blocks.pop(next(iter(self._blocks))))


@lru_cache(maxsize=1)
def _kept_blocks() -> _KeptBlocks:
    return _KeptBlocks()


@lru_cache(maxsize=64)
def _sequence(orders: PlannedOrders, seed: int, replication: int) -> JobSequence:
    """Return the jobs of a replication: the same for all cases of a study that have one order book."""
    return JobSequence(orders, Streams(seed, replication))


def drawn(blocks: Sequence[DrawnBlock]) -> list[IntArray]:
    """Draw blocks of the same number and length, read-only; times of one kind of shape many at once."""
    rows = blocks[0].rows
    source = StreamBits(blocks[0].b * rows, rows)
    kinds: dict[Any, list[int]] = {}
    for place, block in enumerate(blocks):
        kinds.setdefault(None if block.law is None else type(block.law), []).append(place)
    made: dict[int, IntArray] = {}
    step = max(1, _AT_ONCE // rows)
    for kind, all_places in kinds.items():
        for n in range(0, len(all_places), step):
            places = all_places[n : n + step]
            some = [blocks[place] for place in places]
            keys = [joined_key(block.seed, block.replication, block.key, block.attempt) for block in some]
            numbers = source.of(keys)
            if kind is not None:
                numbers = to_ticks(kind.quantiles([block.law for block in some], uniform(numbers)))
            numbers.flags.writeable = False
            made.update(zip(places, numbers, strict=True))
    return [made[place] for place in range(len(blocks))]
