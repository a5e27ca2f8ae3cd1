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

from linesim.engine import lists, queue
from linesim.engine.loop import BY_VARIANT, PLACE, RECORDS, TIMERS, as_state, dtype_of
from linesim.engine.tables import FAILED, FULL, GROW

_WORD = ir.IntType(64)
#: Tables that may grow within an instant, when the loop calls back.
_MOVING = frozenset({*BY_VARIANT, "columns", "drawn"})


class StateType(types.Type):
    """A row of the addresses of all tables."""

    def __init__(self) -> None:
        """Name the type."""
        super().__init__("linesim.State")


class TableType(types.Type):
    """A table: the address of an array of records or numbers."""

    def __init__(self, name: str) -> None:
        """Name the type of table ``name``."""
        record = RECORDS[PLACE[name]][1]
        self.place = PLACE[name]
        self.size = dtype_of(record).itemsize
        self.one = {int: types.int64, float: types.float64}.get(record) or from_dtype(dtype_of(record))
        self.is_record = record not in (int, float)
        # Tables of one record are one type, so that a rule that takes any of them is compiled once.
        super().__init__(f"linesim.Table({record.__name__ if self.is_record else name})")


@register_model(StateType)
@register_model(TableType)
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
    if name not in _MOVING:
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


def _at(builder: Any, of: Any, address: Any, index: Any, kind: Any) -> Any:
    offset = builder.mul(index, ir.Constant(_WORD, of.size))
    return builder.inttoptr(builder.add(address, offset), kind)


@lower_builtin(operator.getitem, TableType, types.int64)
def _get_item(context: Any, builder: Any, sig: Any, args: Any) -> Any:
    kind = context.get_value_type(sig.return_type)
    if sig.args[0].is_record:
        return _at(builder, sig.args[0], *args, kind)
    return builder.load(_at(builder, sig.args[0], *args, kind.as_pointer()))


@lower_builtin(operator.setitem, TableType, types.int64, types.Any)
def _set_item(context: Any, builder: Any, sig: Any, args: Any) -> Any:
    kind = context.get_value_type(sig.args[2])
    builder.store(args[2], _at(builder, sig.args[0], args[0], args[1], kind.as_pointer()))
    return context.get_dummy_value()


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
