"""What the tables of a line ask of Python: blocks of draws, the work of a variant, and room."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields
from functools import cache
from itertools import chain, repeat
from threading import Lock
from typing import Any

import numpy as np

from linesim.draws.draws import Draws
from linesim.engine.arrays import Numbers, Records
from linesim.engine.job_records import (
    ColumnRecord,
    Item,
    Job,
    Level,
    Piece,
    RowRecord,
    Step,
    Visit,
    WorkRecord,
)
from linesim.engine.lists import EVENTS, ITEMS, JOBS, LEVELS, PIECES, VISITS
from linesim.engine.loop import BY_VARIANT
from linesim.engine.tables import State
from linesim.plan.columns import ORDER
from linesim.plan.orders import PlannedOrder
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE, IntArray, Ragged, int_array
from linesim.plan.variants import StationWork, holds
from linesim.ticks import TICKS_PER_SECOND

_BOOKS = 8  #: Books that stay in memory for other cases of a study.


class Book:
    """The work of the variants of a plan, in tables that all its replications read; each is written once.

    Args:
        plan: The line.
        for_arrays: Whether the tables are arrays.
    """

    def __init__(self, plan: Plan, for_arrays: bool) -> None:
        self._plan = plan
        self.works, self.steps, self.links, self.chances = (
            (Records((), WorkRecord), Records((), Step), Numbers((), np.int32), Numbers((), np.float64))
            if for_arrays
            else ([], [], [], [])
        )  # type: tuple[Any, Any, Any, Any]
        self._mean = [shape.mean_s * TICKS_PER_SECOND for shape in plan.shapes]
        self._numbers: dict[PlannedOrder, int] = {}
        self._written: dict[StationWork, WorkRecord] = {}
        self._lock = Lock()

    def number(self, order: PlannedOrder) -> int:
        """Return the number of a variant, whose work then stands in the tables."""
        number = self._numbers.get(order)
        if number is None:
            with self._lock:
                number = self._numbers.get(order)
                if number is None:
                    self._add(*order)
                    number = self._numbers[order] = len(self._numbers)
        return number

    def _add(self, model: int, options: int) -> None:
        """Write the work of a variant behind that of the others, as its stations have it or had it before."""
        work = self._plan.variants.get(model, options).work
        self.works.extend([self._row(k, found) for k, found in enumerate(work)])
        self.chances.extend(
            next(odds for m, o, odds in row if holds(m, o, model, options))
            for row in self._plan.faults.chances
        )

    def _row(self, k: int, work: StationWork) -> WorkRecord:
        """Return the row of the work at a station; its steps stand in their table once."""
        found = self._written.get(work)
        if found is None:
            found = self._written[work] = self._write(k, work)
        return found

    def _write(self, k: int, work: StationWork) -> WorkRecord:
        def add(values: Iterable[int]) -> tuple[int, int]:
            first = len(self.links)
            self.links.extend(values)
            return first, len(self.links) - first

        columns, starts = self._plan.columns.task, self._plan.tasks.time_shape.starts
        here = self._plan.variants.station_tasks[k]
        steps = {t: Step() for t in here}
        for i, t in enumerate(work.tasks):
            steps[t] = Step(
                columns + int(starts[t]) + work.times[i], self._mean[work.shapes[i]], work.n_pred[i],
                *add(work.pred[i]), *add(work.tasks[f] for f in work.then[i]), int(work.elsewhere[i]),
                *add(work.before[i]),
            )  # fmt: skip
        first = len(self.steps)
        self.steps.extend(steps.values())
        return WorkRecord(*add(work.tasks), int(work.has_outer_pred), first - min(here, default=0))


def book_of(plan: Plan, for_arrays: bool) -> Book:
    """Return the book of a plan, made when it is first asked for.

    Cases of a study that have the same tasks share one: a crew or a buffer changes nothing in it.
    """
    found: Book = plan.worked_out.once((Book, for_arrays), lambda: _kept_books().get(plan, for_arrays))
    return found


class _KeptBooks:
    """The last books, by all that they are made of."""

    def __init__(self) -> None:
        self._books: dict[tuple[Any, ...], Book] = {}
        self._lock = Lock()

    def get(self, plan: Plan, for_arrays: bool) -> Book:
        """Return the book of a plan, or that of another one in which it is the same."""
        tables = [getattr(plan.tasks, one.name) for one in fields(plan.tasks)]
        arrays = chain.from_iterable(
            (table.starts, table.values) if isinstance(table, Ragged) else (table,) for table in tables
        )
        made_of = (
            for_arrays, len(plan.names.station), len(plan.orders.model_names), plan.columns.task,
            plan.faults.chances, tuple(shape.mean_s for shape in plan.shapes),
            tuple(array.tobytes() for array in arrays),
        )  # fmt: skip
        with self._lock:
            if made_of not in self._books:
                if len(self._books) >= _BOOKS:
                    del self._books[next(iter(self._books))]
                self._books[made_of] = Book(plan, for_arrays)
            return self._books[made_of]


@cache
def _kept_books() -> _KeptBooks:
    return _KeptBooks()


class Outside:
    """What Python does for the rules while it runs them: timers by a clock, room in lists, draws."""

    def __init__(self, s: State, plan: Plan, draws: Draws, for_arrays: bool) -> None:
        self.s = s
        self.draws = draws
        self.book = book_of(plan, for_arrays)
        self.set_timer: Any = None  #: filled by the drive
        for name in BY_VARIANT:
            setattr(s, name, getattr(self.book, name))
        self._for_arrays = for_arrays
        #: The blocks in use of each column, where tables are arrays: compiled code reads them where they lie.
        self._blocks: dict[int, tuple[IntArray, ...]] = {}

    # Room

    def make_room(self, table: int, slot: int) -> None:
        """See that a table has ``slot``; arrays have more than are in use."""
        s = self.s
        if self._for_arrays:
            return
        if table == PIECES:
            s.pieces.append(Piece())
        elif table == ITEMS:
            s.items.append(Item())
        elif table == VISITS:
            s.visits.append(Visit(cells=len(s.cells)))
            s.cells.extend(repeat(0, 2 * s.w[0].most_tasks))
        elif table == JOBS:
            s.jobs.append(Job(cells=len(s.cells)))
            s.cells.extend(repeat(0, s.w[0].job_cells))
        elif table == EVENTS and slot == len(s.events):
            s.events.append(RowRecord())
        elif table == LEVELS and slot == len(s.levels):
            s.levels.append(Level())

    # Draws

    def fill(self, column: int, attempt: int, row: int) -> int:
        """Make the block of ``column`` that holds ``row`` of ``attempt``; return what is drawn there."""
        s, i = self.s, self._record(column, attempt)
        c = s.columns[i]
        if c.constant >= 0:
            return c.constant
        block = row >> c.bits
        numbers = self._block(column, attempt, block, 1 << c.bits)
        if self._for_arrays:
            self._lay([i], block, [numbers])
            if column != ORDER:
                self._lay_beside(column, attempt, block, 1 << c.bits)
        else:
            at, c.other_block, c.other_at = c.other_at, c.block, c.at
            if at == 0:
                at = len(s.drawn)
                s.drawn.extend(numbers.tolist())
            else:
                s.drawn[at : at + len(numbers)] = numbers.tolist()
            c.block, c.at = block, at
        return int(numbers[row - (block << c.bits)])

    def _record(self, column: int, attempt: int) -> int:
        """Return the row of an attempt of ``column`` among the columns, made where it is missing."""
        columns, i = self.s.columns, column
        for _ in range(attempt):
            c = columns[i]
            if c.later == NONE:
                c.later = len(columns)
                columns.append(ColumnRecord(c.constant, c.bits))
            i = columns[i].later
        return i

    def _block(self, column: int, attempt: int, block: int, rows: int) -> IntArray:
        if column != ORDER:
            return self.draws.block(column, attempt, block, rows)
        number = self.book.number
        orders = self.draws.orders(block * rows, rows)
        return int_array(NONE if order is None else number(order) for order in orders)

    # Draws, where the tables are arrays

    def draw_ahead(self) -> None:
        """Draw the first block of everything at once: it costs a fifth so."""
        table, n = self.s.columns.array, len(self.s.columns)  # type: ignore[attr-defined]
        is_open = table["constant"][:n] < 0
        is_open[ORDER] = False
        for bits in np.unique(table["bits"][:n][is_open]).tolist():
            places = np.flatnonzero(is_open & (table["bits"][:n] == bits)).tolist()
            self._lay(places, 0, self.draws.blocks(places, 0, 0, 1 << bits))

    def _lay_beside(self, column: int, attempt: int, block: int, rows: int) -> None:
        """Have the same block ready of the columns made with that of ``column``, where it is the next."""
        records = {self._record(c, attempt): c for c in self.draws.beside(column, attempt, rows)}
        at = self.s.columns.array["block"]  # type: ignore[attr-defined]
        places = [i for i in records if at[i] == block - 1]
        self._lay(places, block, self.draws.blocks([records[i] for i in places], attempt, block, rows))

    def _lay(self, columns: list[int], block: int, blocks: list[IntArray]) -> None:
        """Say where a block of each of some columns lies, for compiled code to read it there."""
        table = self.s.columns.array  # type: ignore[attr-defined]
        for field in ("block", "at"):
            table[f"other_{field}"][columns] = table[field][columns]
        table["block"][columns] = block
        table["at"][columns] = [numbers.ctypes.data // numbers.itemsize for numbers in blocks]
        for i, numbers in zip(columns, blocks, strict=True):
            self._blocks[i] = numbers, *self._blocks.get(i, ())[:1]
