"""Tables as arrays: how the compiled drive gets them, and how Python reads and writes them there."""

from __future__ import annotations

import ctypes
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from operator import attrgetter
from typing import Any

import numpy as np

from linesim.engine.job_records import Entry
from linesim.engine.loop import BY_VARIANT, GROWING, RECORDS, WIDE, dtype_of, is_record
from linesim.engine.queue import order_of, push
from linesim.engine.tables import FAILED, FULL, GROW, PoolsFull, State

_ROOM = 256  #: Least slots of a table that grows, where nobody asks for more.


class Numbers:
    """A table of numbers: an array that grows at its end, read as Python's own numbers."""

    def __init__(self, values: Iterable[Any], kind: Any) -> None:
        array: Any = np.array(list(values), dtype=kind)
        self.array, self._cells, self._n = array, memoryview(array), len(array)

    def __len__(self) -> int:
        return self._n

    def __getitem__(self, i: Any) -> Any:
        return self._cells[i] if isinstance(i, int) else self.array[: self._n][i].tolist()

    def __setitem__(self, i: Any, value: Any) -> None:
        self.array[: self._n][i] = value

    def extend(self, values: Any) -> None:
        """Write values behind the last."""
        rows = values if isinstance(values, np.ndarray) else np.array(list(values), dtype=self.array.dtype)
        first, self._n = self._n, self._n + len(rows)
        if self._n > len(self.array):
            larger: Any = np.zeros(2 * self._n, dtype=self.array.dtype)
            larger[:first] = self.array[:first]
            self.array, self._cells = larger, memoryview(larger)
        self.array[first : self._n] = rows

    def append(self, value: Any) -> None:
        """Write a value behind the last."""
        self.extend([value])


class Records:
    """A table of records: an array that grows at its end; a row reads as the record that it stands for."""

    def __init__(self, rows: Iterable[Any], kind: Any) -> None:
        self._view, layout = _view_of(kind)
        self._width = layout.itemsize // WIDE
        self._fields = attrgetter(*layout.names)
        self._views: dict[int, Any] = {}
        self.array: Any = np.array(list(map(self._fields, rows)), dtype=layout)
        self._n = len(self.array)
        self._show()

    def _show(self) -> None:
        self.wide = memoryview(self.array.view(np.int64))
        self.narrow = memoryview(self.array.view(np.int32))
        self.floats = memoryview(self.array.view(np.float64))

    def __len__(self) -> int:
        return self._n

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
        values = rows if isinstance(rows, np.ndarray) else list(map(self._fields, rows))
        first, self._n = self._n, self._n + len(values)
        if self._n > len(self.array):
            self.make_room(2 * self._n)
        self.array[first : self._n] = values

    def rows(self, n: int) -> list[tuple[Any, ...]]:
        """Return the fields of the first ``n`` rows."""
        rows: list[tuple[Any, ...]] = self.array[:n].tolist()
        return rows

    def append(self, row: Any) -> None:
        """Write a record behind the last."""
        self.extend([row])

    def make_room(self, slots: int) -> None:
        """See that the array has so many slots."""
        if slots > len(self.array):
            larger = np.zeros(slots, dtype=self.array.dtype)
            larger[: len(self.array)] = self.array
            self.array = larger
            self._show()


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

    Until it begins, the tables are lists, as they were built; from then on they are arrays, which compiled
    code and Python read and write in turn.

    Args:
        s: The tables.
        loop: The compiled loop.
        log: Takes the rows of the event log, where somebody reads them.
        room: How many times the usual room the pools begin with.
    """

    def __init__(self, s: State, loop: Callable[[Any, int], int], log: Any = None, *, room: int = 1) -> None:
        self._s, self._loop, self._log = s, loop, log
        self._room = room * _ROOM
        self._has_begun = False
        self._kept: list[Any] = []  #: every array, also those replaced: compiled code may still read them
        self._addresses = np.zeros(len(RECORDS), dtype=np.int64)
        self._pointed: list[Any] = [None] * len(RECORDS)  #: the arrays that lie there
        self._error: BaseException | None = None
        self._call = ctypes.CFUNCTYPE(ctypes.c_int64, ctypes.c_int64, ctypes.c_int64, ctypes.c_int64)(
            self._fill
        )
        s.w[0].callback = ctypes.cast(self._call, ctypes.c_void_p).value or 0

    def set_timer(self, at: int, due: tuple[int, int, int, int, int]) -> None:
        """Set a timer before the first instant."""
        assert not self._has_begun, "only compiled code sets timers once it runs"
        s, w = self._s, self._s.w[0]
        w.n_timers += 1
        s.timers.append(Entry())
        rank, first, second, serial, what = due
        push(s.timers, 0, w.n_timers, at, order_of(rank, first, second), serial, what)

    def run(self, until: int) -> None:
        """Let instants pass up to, and without, the tick ``until``.

        Raises:
            PoolsFull: If a table was full in the middle of an instant.
        """
        s = self._s
        while True:
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
            if status != GROW:
                return
            s.w[0].status = 0
            self._make_room()

    def begin(self) -> None:
        """Turn the tables into arrays, and have everything looked at in the first instant."""
        s = self._s
        s.w[0].begins = 1
        for name, kind in RECORDS:
            if name not in BY_VARIANT:
                table = Records if is_record(kind) else Numbers
                setattr(s, name, table(getattr(s, name), kind))
        self._celled = {"jobs": len(s.jobs), "visits": len(s.visits)}
        s.room.extend([0] * len(GROWING))
        s.outside.draw_ahead()
        self._make_room()
        self._has_begun = True

    def _point(self) -> None:
        """Tell compiled code the arrays that took the place of shorter ones."""
        for place, (name, _) in enumerate(RECORDS):
            array = getattr(self._s, name).array
            if array is not self._pointed[place]:
                self._kept.append(array)
                self._pointed[place] = array
                self._addresses[place] = array.ctypes.data

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
        due.make_room(s.room[GROWING.index("timers")])
        self._give_cells("jobs", w.job_cells)
        self._give_cells("visits", 2 * w.most_tasks)
        self._point()

    def _give_cells(self, name: str, each: int) -> None:
        """Give the new slots of a pool their cells."""
        array: Any = getattr(self._s, name).array
        first = self._celled[name]
        array["cells"][first:] = len(self._s.cells) + each * np.arange(len(array) - first)
        self._s.cells.extend(np.zeros(each * (len(array) - first), dtype=np.int64))
        self._celled[name] = len(array)

    def _fill(self, column: int, attempt: int, row: int) -> int:
        """Draw a block while the loop waits."""
        try:
            number: int = self._s.outside.fill(column, attempt, row)
            if self._has_begun:
                self._point()
            return number
        except BaseException as error:
            self._error = error
            self._s.w[0].status = FAILED
            return 0
