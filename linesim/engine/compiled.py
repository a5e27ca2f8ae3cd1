"""The compiled drive: the same rules over the same tables, with a heap of timers, all in one compiled loop.

The tables are arrays of records. Compiled code gets one row of addresses and reads a record by its table's
address, so that Python can put a larger array in the place of one that is full. Numba is loaded here alone,
and only when this drive is asked for.
"""

# Numba's decorators have no types.
# mypy: disable-error-code="no-untyped-call,untyped-decorator,call-arg,var-annotated"
# mypy: disable-error-code="unreachable,misc,no-any-return,override"

from __future__ import annotations

import operator
import pkgutil
from collections.abc import Callable
from dataclasses import fields
from functools import cache
from importlib import import_module
from types import MappingProxyType
from typing import Any

import numpy as np

import linesim.engine as engine
from linesim.engine import job_records, line_records, lists, machine_code, queue, tables
from linesim.engine.instant import ends, settle
from linesim.engine.tables import FAILED, GOES_ON, GROW

#: The tables in the order of their addresses, and the records that they hold.
RECORDS: tuple[tuple[str, type[Any]], ...] = (
    ("w", tables.World), ("sections", line_records.Section), ("stations", line_records.Station),
    ("elements", line_records.Element), ("buffers", line_records.Buffer), ("bays", line_records.Bay),
    ("gates", line_records.Gate), ("crews", line_records.Crew), ("operators", line_records.Operator),
    ("robots", line_records.Robot), ("tools", line_records.Tool), ("modes", line_records.Mode),
    ("calendars", line_records.Calendar), ("carriers", line_records.Carrier), ("jobs", job_records.Job),
    ("visits", job_records.Visit), ("pieces", job_records.Piece), ("items", job_records.Item),
    ("tasks", job_records.Task), ("faults", job_records.Fault), ("steps", job_records.Step),
    ("works", job_records.Work), ("columns", job_records.Column), ("agenda", job_records.Entry),
    ("timers", job_records.Entry), ("due", job_records.Entry), ("events", job_records.Row),
    ("hours", line_records.Hours), ("accounts", line_records.Account),
    ("levels", job_records.Level), ("chances", float), ("ints", int), ("cells", int), ("ticks", int),
    ("drawn", int), ("room", int),
)  # fmt: skip
PLACE = MappingProxyType({name: i for i, (name, _) in enumerate(RECORDS)})
GROWING = ("jobs", "visits", "pieces", "items", "events", "levels", "timers")  #: as `room` counts them
TIMERS = GROWING.index("timers")


def dtype_of(record: type[Any]) -> np.dtype[Any]:
    """Return the layout of a record in an array."""
    if record in (int, float):
        return np.dtype(np.int64 if record is int else np.float64)
    return np.dtype([(f.name, np.float64 if f.type == "float" else np.int64) for f in fields(record)])


def loop(addresses: Any, until: int) -> int:
    """Let instants pass up to, and without, the tick ``until``; return why it came back."""
    s = as_state(addresses)
    w = s.w[0]
    while w.status == GOES_ON:
        if w.n_timers == 0 or s.timers[0].at >= until:
            return GOES_ON
        now = s.timers[0].at
        w.now = now
        n = 0
        while w.n_timers > 0 and s.timers[0].at == now:
            one, due = s.timers[0], s.due[n]
            due.rank = one.rank
            due.first = one.first
            due.serial = one.serial
            due.what = one.what
            queue.pop(s.timers, 0, w.n_timers)
            w.n_timers -= 1
            n += 1
        for i in range(n):
            due = s.due[i]
            ends(s, due.rank, due.first, due.serial, due.what)
        settle(s)
    return w.status


def as_state(addresses: Any) -> Any:
    """Return the tables at ``addresses``; for compiled code alone."""
    raise NotImplementedError


@cache
def compiled_loop() -> Callable[[Any, int], int]:
    """Return `loop`, compiled."""
    from llvmlite import ir
    from numba import from_dtype, types
    from numba.core.datamodel import models
    from numba.core.typing.templates import AbstractTemplate, AttributeTemplate, infer_global, signature
    from numba.extending import (
        infer_getattr,
        intrinsic,
        lower_builtin,
        lower_getattr_generic,
        overload,
        register_model,
    )

    class StateType(types.Type):
        def __init__(self) -> None:
            super().__init__("linesim.State")

    class TableType(types.Type):
        def __init__(self, name: str) -> None:
            record = RECORDS[PLACE[name]][1]
            self.place = PLACE[name]
            self.size = dtype_of(record).itemsize
            self.one = {int: types.int64, float: types.float64}.get(record) or from_dtype(dtype_of(record))
            self.is_record = record not in (int, float)
            super().__init__(f"linesim.Table({RECORDS[self.place][1].__name__ if self.is_record else name})")

    word = ir.IntType(64)
    for kind in (StateType, TableType):

        @register_model(kind)
        class _Word(models.PrimitiveModel):
            def __init__(self, manager: Any, of: Any) -> None:
                super().__init__(manager, of, word)

    state_type = StateType()
    table_types = {name: TableType(name) for name, _ in RECORDS}

    @infer_getattr
    class _StateTables(AttributeTemplate):
        key = StateType

        def generic_resolve(self, of: Any, name: str) -> Any:
            return table_types.get(name)

    @lower_getattr_generic(StateType)
    def get_table(context: Any, builder: Any, of: Any, value: Any, name: str) -> Any:
        row = builder.inttoptr(value, word.as_pointer())
        return builder.load(builder.gep(row, [ir.Constant(word, PLACE[name])]))

    @infer_global(operator.getitem)
    class _GetItem(AbstractTemplate):
        def generic(self, args: Any, kws: Any) -> Any:
            if isinstance(args[0], TableType):
                return signature(args[0].one, args[0], types.int64)
            return None

    @infer_global(operator.setitem)
    class _SetItem(AbstractTemplate):
        def generic(self, args: Any, kws: Any) -> Any:
            if isinstance(args[0], TableType):
                return signature(types.none, args[0], types.int64, args[0].one)
            return None

    def at(builder: Any, of: Any, address: Any, index: Any, kind: Any) -> Any:
        offset = builder.mul(index, ir.Constant(word, of.size))
        return builder.inttoptr(builder.add(address, offset), kind)

    @lower_builtin(operator.getitem, TableType, types.int64)
    def get_item(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        kind = context.get_value_type(sig.return_type)
        if sig.args[0].is_record:
            return at(builder, sig.args[0], *args, kind)
        return builder.load(at(builder, sig.args[0], *args, kind.as_pointer()))

    @lower_builtin(operator.setitem, TableType, types.int64, types.Any)
    def set_item(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        kind = context.get_value_type(sig.args[2])
        builder.store(args[2], at(builder, sig.args[0], args[0], args[1], kind.as_pointer()))
        return context.get_dummy_value()

    @intrinsic
    def to_state(typing: Any, addresses: Any) -> Any:
        def code(context: Any, builder: Any, sig: Any, args: Any) -> Any:
            row = context.make_array(sig.args[0])(context, builder, args[0])
            return builder.ptrtoint(row.data, word)

        return state_type(addresses), code

    @intrinsic
    def call_back(typing: Any, address: Any, column: Any, attempt: Any, row: Any) -> Any:
        def code(context: Any, builder: Any, sig: Any, args: Any) -> Any:
            function = ir.FunctionType(word, [word, word, word])
            return builder.call(builder.inttoptr(args[0], function.as_pointer()), args[1:])

        return types.int64(types.int64, types.int64, types.int64, types.int64), code

    @overload(as_state, strict=False)
    def _as_state(addresses: Any) -> Any:
        return lambda addresses: to_state(addresses)

    @overload(lists.set_timer, strict=False)
    def _set_timer(s: Any, at: Any, rank: Any, first: Any, second: Any, what: Any) -> Any:
        def set_timer(s: Any, at: Any, rank: Any, first: Any, second: Any, what: Any) -> None:
            w = s.w[0]
            lists.make_room(s, TIMERS, w.n_timers)
            w.n_timers += 1
            queue.push(s.timers, 0, w.n_timers, at, rank, first, second, w.serial, what)

        return set_timer

    @overload(lists.make_room, strict=False)
    def _make_room(s: Any, table: Any, slot: Any) -> Any:
        def make_room(s: Any, table: Any, slot: Any) -> None:
            if slot >= s.room[table] >> 1:
                s.w[0].status = GROW
                if slot >= s.room[table]:
                    raise MemoryError

        return make_room

    @overload(lists.fill, strict=False)
    def _fill(s: Any, column: Any, attempt: Any, row: Any) -> Any:
        def fill(s: Any, column: Any, attempt: Any, row: Any) -> int:
            number = call_back(s.w[0].callback, column, attempt, row)
            if s.w[0].status == FAILED:
                raise RuntimeError
            return number

        return fill

    modules = [
        import_module(f"linesim.engine.{module.name}") for module in pkgutil.iter_modules(engine.__path__)
    ]
    folder = machine_code.code_folder()
    compiled = machine_code.compiled(loop, modules, folder)
    machine_code.forget_old(folder)
    return compiled
