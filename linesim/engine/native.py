"""The tables as numba sees them: a row of addresses, and the twins of what Python does for the rules.

This module imports numba; `linesim.engine.compiled` imports it when the rules are compiled.
"""

# Numba's decorators have no types.
# mypy: disable-error-code="no-untyped-call,untyped-decorator,call-arg,var-annotated"
# mypy: disable-error-code="unreachable,misc,no-any-return,override,type-arg"

from __future__ import annotations

import operator
from types import MappingProxyType
from typing import Any

import numpy as np
from llvmlite import ir
from numba import types
from numba.core.datamodel import models
from numba.core.typing.templates import AbstractTemplate, AttributeTemplate, infer_global, signature
from numba.extending import (
    infer_getattr,
    intrinsic,
    lower_builtin,
    lower_getattr_generic,
    lower_setattr_generic,
    overload,
    register_model,
)

from linesim.engine import lists, queue
from linesim.engine.loop import MOVING, PLACE, RECORDS, TIMERS, as_state, dtype_of, is_record
from linesim.engine.tables import FAILED, FULL, GROW

_WORD, _HALF = ir.IntType(64), ir.IntType(32)
_STORED = MappingProxyType(
    {np.dtype(np.int64): _WORD, np.dtype(np.int32): _HALF, np.dtype(np.float64): ir.DoubleType()}
)


class StateType(types.Type):
    """A row of the addresses of all tables."""

    def __init__(self) -> None:
        """Name the type."""
        super().__init__("linesim.State")


class RowType(types.Type):
    """A row of a table: the address of a record, whose fields read as whole or real numbers of full width."""

    def __init__(self, record: type[Any]) -> None:
        """Name the type of rows like ``record``."""
        self.fields = dict(dtype_of(record).fields or {})
        super().__init__(f"linesim.Row({record.__name__})")


class TableType(types.Type):
    """A table: the address of an array of records or numbers."""

    def __init__(self, name: str) -> None:
        """Name the type of table ``name``."""
        kind = RECORDS[PLACE[name]][1]
        self.place = PLACE[name]
        self.layout = dtype_of(kind)
        self.is_record = is_record(kind)
        self.one = RowType(kind) if self.is_record else _full(self.layout)
        # Tables of one record are one type, so that a rule that takes any of them is compiled once.
        super().__init__(f"linesim.Table({kind.__name__ if self.is_record else name})")


def _full(layout: Any) -> Any:
    """Return the type as which a number of an array is read."""
    return types.float64 if layout.kind == "f" else types.int64


@register_model(StateType)
@register_model(TableType)
@register_model(RowType)
class _Word(models.PrimitiveModel):
    def __init__(self, manager: Any, of: Any) -> None:
        super().__init__(manager, of, _WORD)


_STATE = StateType()
_TABLES = MappingProxyType({name: TableType(name) for name, _ in RECORDS})


@infer_getattr
class _StateTables(AttributeTemplate):
    key = StateType

    def generic_resolve(self, of: Any, name: str) -> Any:
        return _TABLES.get(name)


@lower_getattr_generic(StateType)
def _get_table(context: Any, builder: Any, of: Any, value: Any, name: str) -> Any:
    row = builder.inttoptr(value, _WORD.as_pointer())
    address = builder.load(builder.gep(row, [ir.Constant(_WORD, PLACE[name])]))
    if name not in MOVING:
        address.set_metadata("invariant.load", builder.module.add_metadata([]))
    return address


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


def _load(builder: Any, address: Any, layout: Any) -> Any:
    kind = _STORED[layout]
    value = builder.load(builder.inttoptr(address, kind.as_pointer()))
    return builder.sext(value, _WORD) if kind == _HALF else value


def _store(builder: Any, value: Any, address: Any, layout: Any) -> None:
    kind = _STORED[layout]
    narrow = builder.trunc(value, kind) if kind == _HALF else value
    builder.store(narrow, builder.inttoptr(address, kind.as_pointer()))


def _row(builder: Any, of: Any, address: Any, index: Any) -> Any:
    return builder.add(address, builder.mul(index, ir.Constant(_WORD, of.layout.itemsize)))


@lower_builtin(operator.getitem, TableType, types.int64)
def _get_item(context: Any, builder: Any, sig: Any, args: Any) -> Any:
    of = sig.args[0]
    address = _row(builder, of, *args)
    return address if of.is_record else _load(builder, address, of.layout)


@lower_builtin(operator.setitem, TableType, types.int64, types.Any)
def _set_item(context: Any, builder: Any, sig: Any, args: Any) -> Any:
    of = sig.args[0]
    _store(builder, args[2], _row(builder, of, args[0], args[1]), of.layout)
    return context.get_dummy_value()


@infer_getattr
class _RowFields(AttributeTemplate):
    key = RowType

    def generic_resolve(self, of: Any, name: str) -> Any:
        return _full(of.fields[name][0]) if name in of.fields else None


def _field(builder: Any, of: Any, address: Any, name: str) -> Any:
    layout, offset = of.fields[name]
    return builder.add(address, ir.Constant(_WORD, offset)), layout


@lower_getattr_generic(RowType)
def _get_field(context: Any, builder: Any, of: Any, value: Any, name: str) -> Any:
    return _load(builder, *_field(builder, of, value, name))


@lower_setattr_generic(RowType)
def _set_field(context: Any, builder: Any, sig: Any, args: Any, name: str) -> None:
    address, layout = _field(builder, sig.args[0], args[0], name)
    _store(builder, args[1], address, layout)


@intrinsic
def _to_state(typing: Any, address: Any) -> Any:
    return _STATE(types.int64), lambda context, builder, sig, args: args[0]


@intrinsic
def _call_back(typing: Any, address: Any, column: Any, attempt: Any, row: Any) -> Any:
    def code(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        function = ir.FunctionType(_WORD, [_WORD, _WORD, _WORD])
        return builder.call(builder.inttoptr(args[0], function.as_pointer()), args[1:])

    return types.int64(types.int64, types.int64, types.int64, types.int64), code


@overload(as_state, strict=False)
def _as_state(address: Any) -> Any:
    return lambda address: _to_state(address)


@overload(lists.set_timer, strict=False)
def _set_timer(s: Any, at: Any, rank: Any, first: Any, second: Any, what: Any) -> Any:
    def set_timer(s: Any, at: Any, rank: Any, first: Any, second: Any, what: Any) -> None:
        w = s.w[0]
        lists.make_room(s, TIMERS, w.n_timers)
        w.n_timers += 1
        queue.push(s.timers, 0, w.n_timers, at, queue.order_of(rank, first, second), w.serial, what)

    return set_timer


@overload(lists.make_room, strict=False)
def _make_room(s: Any, table: Any, slot: Any) -> Any:
    def make_room(s: Any, table: Any, slot: Any) -> None:
        if slot >= s.room[table] >> 1:
            s.w[0].status = GROW
            if slot >= s.room[table]:
                s.w[0].status = FULL
                raise MemoryError

    return make_room


@overload(lists.fill, strict=False)
def _fill(s: Any, column: Any, attempt: Any, row: Any) -> Any:
    def fill(s: Any, column: Any, attempt: Any, row: Any) -> int:
        number = _call_back(s.w[0].callback, column, attempt, row)
        if s.w[0].status == FAILED:
            raise RuntimeError
        return number

    return fill
