"""What the tables of a line ask of Python: blocks of draws, the work of a variant, and room."""

from __future__ import annotations

from itertools import repeat
from typing import Any

from linesim.draws.draws import Draws
from linesim.engine.job_records import Column, Item, Job, Level, Piece, Row, Step, Visit, Work
from linesim.engine.lists import EVENTS, ITEMS, JOBS, LEVELS, PIECES, VISITS
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
            Column(draws.constant(column.shape) if column.shape != NONE else -1, draws.block_bits)
            for column in plan.columns.all
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
        for _ in range(attempt):
            if c.later == NONE:
                c.later = len(s.columns)
                s.columns.append(Column(c.constant, c.bits))
            c = s.columns[c.later]
        block = row >> c.bits
        place = row - (block << c.bits)
        if c.constant >= 0:
            return c.constant
        if block not in (c.block, c.other_block):
            numbers = self._block(column, attempt, block)
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

    def _block(self, column: int, attempt: int, block: int) -> list[int]:
        if column == ORDER:
            first = block << _ORDER_BITS
            return [self._variant_of(job) for job in range(first, first + (1 << _ORDER_BITS))]
        ticks: list[int] = self.draws.block(column, attempt, block).tolist()
        return ticks

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
        s, variant = self.s, self.plan.variants.get(model, options)
        steps = [Step() for _ in self.of_task]
        for work in variant.work:
            first, n = self.add(work.tasks)
            s.works.append(Work(first, n, int(work.has_outer_pred)))
            for i, t in enumerate(work.tasks):
                step = steps[t]
                step.column = self.of_task[t][work.shapes[i]]
                step.mean = self.mean[work.shapes[i]]
                step.n_pred = work.n_pred[i]
                step.outer, step.n_outer = self.add(work.pred[i])
                step.then, step.n_then = self.add(work.tasks[f] for f in work.then[i])
                step.elsewhere = int(work.elsewhere[i])
                step.before, step.n_before = self.add(variant.before[t])
        s.steps.extend(steps)
        for chances in self.plan.faults.chances:
            s.chances.append(next(odds for m, o, odds in chances if holds(m, o, model, options)))

    def add(self, values: Any) -> tuple[int, int]:
        """Write a row of indices behind the others; return its first place and its length."""
        ints = self.s.ints
        first = len(ints)
        ints.extend(values)
        return first, len(ints) - first
