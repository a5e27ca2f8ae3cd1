"""What the tables of a line ask of Python: blocks of draws, the work of a variant, and room."""

from __future__ import annotations

from itertools import repeat
from typing import Any, NamedTuple

from linesim.draws.draws import Draws
from linesim.engine.job_records import Column, Item, Job, Level, Piece, Row, Step, Visit, Work
from linesim.engine.lists import EVENTS, ITEMS, JOBS, LEVELS, PIECES, VISITS
from linesim.engine.tables import State
from linesim.engine.variants import Variants, holds
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE
from linesim.ticks import TICKS_PER_SECOND

_ORDER_BITS = 4  #: Orders are looked at sixteen at a time, because each new variant costs.


class Stream(NamedTuple):
    """What a column of draws is of."""

    kind: str
    name: str
    shape: int  #: NONE for chances and orders


class Streams:
    """The columns of a plan, numbered: orders first, then by kind and thing."""

    def __init__(self, plan: Plan) -> None:
        names, tasks, faults, modes = plan.names, plan.tasks, plan.faults, plan.modes
        self.all = [Stream("order", "", NONE)]
        self.task = self._add(
            Stream("task", names.task[t], shape)
            for t in range(len(names.task))
            for shape in tasks.time_shape[t].tolist()
        )
        self.made = self._add(Stream("fault", name, NONE) for name in names.fault)
        self.seen = self._add(Stream("detect", name, NONE) for name in names.fault)
        repairs = zip(names.fault, faults.repair.tolist(), strict=True)
        self.repair = self._add(Stream("repair", name, shape) for name, shape in repairs)
        self.bay = self._add(Stream("bay", name, NONE) for name in names.bay)
        every = zip(names.mode, modes.every.tolist(), strict=True)
        self.every = self._add(Stream("every", name, shape) for name, shape in every)
        lasts = zip(names.mode, modes.lasts.tolist(), strict=True)
        self.lasts = self._add(Stream("lasts", name, shape) for name, shape in lasts)
        gaps = (("supply", plan.supply.every), ("removal", plan.removal.every))
        self.gap = self._add(Stream("gap", name, shape) for name, shape in gaps)
        starts = tasks.time_shape.starts.tolist()
        rows = [tasks.time_shape[t].tolist() for t in range(len(names.task))]
        self.of_task = [
            {shape: self.task + starts[t] + i for i, shape in enumerate(row)} for t, row in enumerate(rows)
        ]

    def _add(self, streams: Any) -> int:
        first = len(self.all)
        self.all += streams
        return first


class Outside:
    """What Python does for the rules while it runs them: timers by a clock, room in lists, draws."""

    def __init__(self, s: State, plan: Plan, draws: Draws, streams: Streams) -> None:
        self.s = s
        self.plan = plan
        self.draws = draws
        self.streams = streams.all
        self.of_task = streams.of_task
        rows: list[list[int]] = [[] for _ in plan.names.station]
        for t, k in enumerate(plan.tasks.station.tolist()):
            rows[k].append(t)
        self.variants = Variants(plan, rows)
        self.numbers: dict[tuple[int, int], int] = {}
        self.mean = [shape.mean_s * TICKS_PER_SECOND for shape in plan.shapes]
        self.set_timer: Any = None  #: filled by the drive
        s.columns = [self._column(c) for c in range(len(self.streams))]

    def _column(self, c: int) -> Column:
        kind, _, shape = self.streams[c]
        bits = _ORDER_BITS if kind == "order" else self.draws.block_bits
        return Column(self.draws.constant(shape) if shape != NONE else -1, bits)

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
        kind, name, shape = self.streams[column]
        if kind == "order":
            first = block << _ORDER_BITS
            return [self._variant_of(job) for job in range(first, first + (1 << _ORDER_BITS))]
        if shape == NONE:
            return self.draws.odds(kind, name, attempt, block)
        return self.draws.times(kind, name, attempt, shape, block)

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
        s, variant = self.s, self.variants.get(model, options)
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
                step.elsewhere = int(bool(work.then_elsewhere[i]))
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
