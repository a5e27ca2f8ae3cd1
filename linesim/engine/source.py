"""What the tables of a line ask of Python: blocks of draws, the work of a variant, and room."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields
from itertools import repeat
from typing import Any

import numpy as np

from linesim.draws.draws import Draws
from linesim.engine.job_records import Column, Item, Job, Level, Piece, Row, Step, Visit, Work
from linesim.engine.lists import EVENTS, ITEMS, JOBS, LEVELS, PIECES, VISITS
from linesim.engine.loop import dtype_of
from linesim.engine.tables import State
from linesim.plan.columns import ORDER
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE
from linesim.plan.variants import holds
from linesim.ticks import TICKS_PER_SECOND

_ORDER_BITS = 4  #: Orders are looked at sixteen at a time, because each new variant costs.


class Outside:
    """What Python does for the rules while it runs them: timers by a clock, room in lists, draws."""

    def __init__(self, s: State, plan: Plan, draws: Draws) -> None:
        self.s = s
        self.plan = plan
        self.draws = draws
        self.of_task = plan.columns.of_task
        self.numbers: dict[tuple[int, int], int] = {}
        self.mean = [shape.mean_s * TICKS_PER_SECOND for shape in plan.shapes]
        self.set_timer: Any = None  #: filled by the drive
        s.columns = [
            Column(draws.constant(column.shape) if column.shape != NONE else -1, draws.bits(c, 0))
            for c, column in enumerate(plan.columns.all)
        ]
        s.columns[ORDER].bits = _ORDER_BITS

    # Room

    def make_room(self, table: int, slot: int) -> None:
        """See that a table has ``slot``."""
        s = self.s
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
            s.events.append(Row())
        elif table == LEVELS and slot == len(s.levels):
            s.levels.append(Level())

    # Draws

    def fill(self, column: int, attempt: int, row: int) -> int:
        """Make the block of ``column`` that holds ``row`` of ``attempt``; return what is drawn there."""
        s = self.s
        c = s.columns[column]
        for later in range(1, attempt + 1):
            if c.later == NONE:
                c.later = len(s.columns)
                s.columns.append(Column(c.constant, self.draws.bits(column, later)))
            c = s.columns[c.later]
        block = row >> c.bits
        place = row - (block << c.bits)
        if c.constant >= 0:
            return c.constant
        if block not in (c.block, c.other_block):
            numbers = self._block(column, attempt, block, 1 << c.bits)
            if c.block == -1:
                c.at = len(s.drawn)
                s.drawn.extend(numbers)
            else:
                at, c.other_block, c.other_at = c.other_at, c.block, c.at
                if at == 0:
                    c.at = len(s.drawn)
                    s.drawn.extend(numbers)
                else:
                    c.at = at
                    s.drawn[at : at + len(numbers)] = numbers
            c.block = block
        return s.drawn[(c.at if block == c.block else c.other_at) + place]

    def _block(self, column: int, attempt: int, block: int, rows: int) -> Any:
        if column == ORDER:
            return [self._variant_of(job) for job in range(block * rows, (block + 1) * rows)]
        ticks = self.draws.block(column, attempt, block, rows)
        return ticks.tolist() if isinstance(self.s.drawn, list) else ticks

    # Variants

    def _variant_of(self, job: int) -> int:
        order = self.draws.order(job)
        if order is None:
            return NONE
        key = order.model, order.options
        number = self.numbers.get(key)
        if number is None:
            number = self.numbers[key] = len(self.numbers)
            self._add_variant(order.model, order.options)
        return number

    def _add_variant(self, model: int, options: int) -> None:
        """Write down the work of a variant behind that of the others."""
        s, kept = self.s, self.plan.variants.written
        written = kept.get((model, options))
        if written is None:
            written = kept[model, options] = self._written(model, options)
        ints, works, steps, chances = written
        first = len(s.ints)
        s.ints.extend(ints)
        _extend(s.works, Work, works, ("tasks",), first)
        _extend(s.steps, Step, steps, ("outer", "then", "before"), first)
        s.chances.extend(chances)

    def _written(self, model: int, options: int) -> tuple[list[int], Any, Any, list[float]]:
        """Return the rows of a variant: indices, and records whose places count from the first of these."""
        variant, ints = self.plan.variants.get(model, options), list[int]()

        def add(values: Iterable[int]) -> tuple[int, int]:
            first = len(ints)
            ints.extend(values)
            return first, len(ints) - first

        works: list[tuple[Any, ...]] = []
        steps: list[tuple[Any, ...]] = [(0,) * len(fields(Step))] * len(self.of_task)
        for work in variant.work:
            works.append((*add(work.tasks), int(work.has_outer_pred)))
            for i, t in enumerate(work.tasks):
                shape = work.shapes[i]
                outer, then = add(work.pred[i]), add(work.tasks[f] for f in work.then[i])
                steps[t] = (
                    self.of_task[t][shape], self.mean[shape], work.n_pred[i], *outer, *then,
                    int(work.elsewhere[i]), *add(variant.before[t]),
                )  # fmt: skip
        chances = [
            next(odds for m, o, odds in row if holds(m, o, model, options))
            for row in self.plan.faults.chances
        ]
        return ints, np.array(works, dtype=dtype_of(Work)), np.array(steps, dtype=dtype_of(Step)), chances

    def add(self, values: Any) -> tuple[int, int]:
        """Write a row of indices behind the others; return its first place and its length."""
        ints = self.s.ints
        first = len(ints)
        ints.extend(values)
        return first, len(ints) - first


def _extend(table: Any, kind: Any, rows: Any, places: tuple[str, ...], first: int) -> None:
    """Write rows behind the last of a table; their places count from ``first``."""
    rows = rows.copy()
    for place in places:
        rows[place] += first
    table.extend([kind(*row) for row in rows.tolist()] if isinstance(table, list) else rows)
