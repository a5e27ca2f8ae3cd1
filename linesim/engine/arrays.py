"""Tables as arrays: how the compiled drive gets them, and how Python reads and writes them there."""

from __future__ import annotations

import ctypes
from collections.abc import Callable, Iterable, Iterator
from copy import copy
from functools import cache
from operator import attrgetter
from typing import Any, Self

import numpy as np

from linesim.engine.loop import (
    BY_VARIANT,
    GROWING,
    MOVING,
    PLACE,
    RECORDS,
    TIMERS,
    WIDE,
    dtype_of,
    is_record,
)
from linesim.engine.tables import FAILED, FULL, GROW, PoolsFull, State

_ROOM = 256  #: Least slots of a table that grows, where nobody asks for more.


class _Table:
    """An array that grows at its end."""

    array: Any
    _n: int

    def __len__(self) -> int:
        return self._n

    def _show(self) -> None:
        """Look at the array that is there now."""

    def copied(self) -> Self:
        """Return a table of the same rows."""
        other = copy(self)
        other.array = self.array.copy()
        other._show()
        return other

    def make_room(self, slots: int) -> None:
        """See that the array has so many slots."""
        if slots > len(self.array):
            larger = np.zeros(slots, dtype=self.array.dtype)
            larger[: len(self.array)] = self.array
            self.array = larger
            self._show()

    def _write(self, rows: Any) -> None:
        first, self._n = self._n, self._n + len(rows)
        if self._n > len(self.array):
            self.make_room(2 * self._n)
        self.array[first : self._n] = rows


class Numbers(_Table):
    """A table of numbers, read as Python's own."""

    def __init__(self, values: Iterable[Any], kind: Any) -> None:
        self.array = np.array(list(values), dtype=kind)
        self._n = len(self.array)
        self._show()

    def _show(self) -> None:
        self._cells = memoryview(self.array)

    def __getitem__(self, i: Any) -> Any:
        return self._cells[i] if isinstance(i, int) else self.array[: self._n][i].tolist()

    def __setitem__(self, i: Any, value: Any) -> None:
        self.array[: self._n][i] = value

    def extend(self, values: Iterable[Any]) -> None:
        """Write values behind the last."""
        self._write(list(values))

    def lengthen(self, n: int) -> None:
        """Put so many zeros behind the last; memory is taken up as they are written over."""
        self._n += n
        self.make_room(self._n)


class Records(_Table):
    """A table of records: a row reads as the record that it stands for."""

    def __init__(self, rows: Iterable[Any], kind: Any) -> None:
        self._view, layout = _view_of(kind)
        self._width = layout.itemsize // WIDE
        self._fields = attrgetter(*layout.names)
        self.array = np.array(list(map(self._fields, rows)), dtype=layout)
        self._n = len(self.array)
        self._show()

    def _show(self) -> None:
        self._views: dict[int, Any] = {}
        self.wide = memoryview(self.array.view(np.int64))
        self.narrow = memoryview(self.array.view(np.int32))
        self.floats = memoryview(self.array.view(np.float64))

    def __getitem__(self, i: Any) -> Any:
        if isinstance(i, slice):
            return [self[k] for k in range(*i.indices(self._n))]
        view = self._views.get(i)
        if view is None:
            view = self._views[i] = self._view(self, i * self._width)
        return view

    def __iter__(self) -> Iterator[Any]:
        return (self[i] for i in range(self._n))

    def extend(self, rows: Iterable[Any]) -> None:
        """Write records behind the last."""
        self._write(list(map(self._fields, rows)))

    def append(self, row: Any) -> None:
        """Write a record behind the last."""
        self.extend([row])

    def rows(self, n: int) -> list[tuple[Any, ...]]:
        """Return the fields of the first ``n`` rows."""
        rows: list[tuple[Any, ...]] = self.array[:n].tolist()
        return rows


class Memory:
    """The numbers of the whole memory, counted from address 0: blocks of draws are read where they lie."""

    def __getitem__(self, i: int) -> int:
        return ctypes.c_int64.from_address(i * ctypes.sizeof(ctypes.c_int64)).value


#: The tables that are arrays of each replication's own.
_OWN = tuple((name, kind) for name, kind in RECORDS if name not in {*BY_VARIANT, "drawn"})


def as_arrays(s: State) -> State:
    """Return the tables of a line that has not begun as arrays, to be copied for each replication."""
    made = State()
    for name, kind in _OWN:
        table = Records if is_record(kind) else Numbers
        setattr(made, name, table(getattr(s, name), kind))
    made.room.extend([0] * len(GROWING))
    return made


def copied(s: State) -> State:
    """Return tables of one's own."""
    made = State()
    made.drawn = Memory()  # type: ignore[assignment]
    for name, _ in _OWN:
        setattr(made, name, getattr(s, name).copied())
    return made


@cache
def _view_of(kind: Any) -> tuple[type[Any], Any]:
    """Return the class of a row, as ``kind`` to read and write, in the array of its table; and its layout."""

    def field(offset: int, kind: np.dtype[Any]) -> property:
        k = offset // kind.itemsize
        if kind == np.float64:
            return property(
                lambda row: row._table.floats[row._at + k],
                lambda row, value: row._table.floats.__setitem__(row._at + k, value),
            )
        if kind == np.int64:
            return property(
                lambda row: row._table.wide[row._at + k],
                lambda row, value: row._table.wide.__setitem__(row._at + k, value),
            )
        return property(
            lambda row: row._table.narrow[2 * row._at + k],
            lambda row, value: row._table.narrow.__setitem__(2 * row._at + k, value),
        )

    def begin(row: Any, table: Records, at: int) -> None:
        row._table, row._at = table, at

    layout: Any = dtype_of(kind)
    names = {name: field(at, one) for name, (one, at, *_) in layout.fields.items()}
    view = type(kind.__name__, (), {"__slots__": ("_at", "_table"), "__init__": begin, **names})
    return view, layout


class CompiledClock:
    """Time in whole ticks under the compiled loop, with the same faces as the SimPy clock.

    Args:
        s: The tables, as arrays, which compiled code and Python read and write in turn.
        loop: The compiled loop.
        log: Takes the rows of the event log, where somebody reads them.
        room: How many times the usual room the pools begin with.
    """

    def __init__(self, s: State, loop: Callable[[Any, int], int], log: Any = None, *, room: int = 1) -> None:
        self._s, self._loop, self._log = s, loop, log
        self._room = room * max(_ROOM, 4 * len(s.stations))
        self._kept: list[Any] = []  #: every array, also those replaced: compiled code may still read them
        self._addresses = np.zeros(len(RECORDS), dtype=np.int64)
        self._pointed: dict[str, Any] = {}  #: the arrays that lie there
        self._celled = {"jobs": 0, "visits": 0}
        self._error: BaseException | None = None
        self._call = ctypes.CFUNCTYPE(ctypes.c_int64, ctypes.c_int64, ctypes.c_int64, ctypes.c_int64)(
            self._fill
        )
        s.w[0].callback = ctypes.cast(self._call, ctypes.c_void_p).value or 0
        s.outside.draw_ahead()
        self._make_room()

    def ask(self, what: int) -> None:
        """Have compiled code do something in place of letting instants pass.

        Raises:
            PoolsFull: If a table was full in the middle of it.
        """
        self._s.w[0].asked = what
        self._enter(0)

    def begin(self) -> None:
        """Have everything looked at in the first instant."""
        self._s.w[0].begins = 1

    def run(self, until: int) -> None:
        """Let instants pass up to, and without, the tick ``until``.

        Raises:
            PoolsFull: If a table was full in the middle of an instant.
        """
        while self._enter(until) == GROW:
            pass

    def _enter(self, until: int) -> int:
        """Enter the loop; return why it came back, with more room if that was why."""
        s = self._s
        try:
            status = self._loop(self._addresses.ctypes.data, until)
        except RuntimeError:
            if self._error is not None:
                raise self._error from None
            if s.w[0].status == FULL:
                raise PoolsFull from None
            raise
        if self._log is not None:
            self._log.take(s)
        if status == GROW:
            s.w[0].status = 0
            self._make_room()
        return status

    def _point(self, names: Iterable[str]) -> None:
        """Tell compiled code the arrays of tables that took the place of shorter ones."""
        for name in names:
            array = getattr(self._s, name).array
            if array is not self._pointed.get(name):
                self._kept.append(array)
                self._pointed[name] = array
                self._addresses[PLACE[name]] = array.ctypes.data

    def _make_room(self) -> None:
        """See that every table that grows has room, and say how much."""
        s, w = self._s, self._s.w[0]
        used = {"jobs": w.used_jobs, "visits": w.used_visits, "pieces": w.used_pieces, "items": w.used_items,
                "events": w.n_events, "levels": w.n_steps, "timers": w.n_timers}  # fmt: skip
        for place, name in enumerate(GROWING):
            table: Any = getattr(s, name)
            table.make_room(self._room)
            if 2 * used[name] >= len(table.array):
                table.make_room(4 * used[name])
            s.room[place] = len(table.array)
        due: Any = s.due
        due.make_room(s.room[TIMERS])
        self._give_cells({"jobs": w.job_cells, "visits": 2 * w.most_tasks})
        self._point([*BY_VARIANT, *(name for name, _ in _OWN)])

    def _give_cells(self, sizes: dict[str, int]) -> None:
        """Give the new slots of pools their cells."""
        cells: Any = self._s.cells
        end = len(cells)
        for name, each in sizes.items():
            array, first = getattr(self._s, name).array, self._celled[name]
            array["cells"][first:] = end + each * np.arange(len(array) - first)
            end += each * (len(array) - first)
            self._celled[name] = len(array)
        cells.lengthen(end - len(cells))

    def _fill(self, column: int, attempt: int, row: int) -> int:
        """Draw a block while the loop waits."""
        try:
            number: int = self._s.outside.fill(column, attempt, row)
            self._point(MOVING)
            return number
        except BaseException as error:
            self._error = error
            self._s.w[0].status = FAILED
            return 0
