"""Tables as arrays: how the compiled drive gets them, and how Python gets them back."""

from __future__ import annotations

import ctypes
from typing import Any

import numpy as np

from linesim.engine.compiled import GROWING, PLACE, RECORDS, compiled_loop, dtype_of
from linesim.engine.job_records import Column, Entry
from linesim.engine.queue import push
from linesim.engine.source import Outside
from linesim.engine.tables import FAILED, GROW, State

_FIXED = frozenset({"tasks", "steps", "works", "columns", "chances", "drawn", "room"})  #: not read back
_ROOM = 64  #: Least slots of a table that grows.


class CompiledClock:
    """Time in whole ticks under the compiled loop, with the same faces as the SimPy clock."""

    def __init__(self, s: State, hand_over: Any) -> None:
        self._s = s
        self._hand_over = hand_over
        self._outside: Outside = s.outside
        self._loop = compiled_loop()
        self._arrays: dict[str, Any] = {}
        self._kept: list[Any] = []  #: arrays that were replaced; compiled code may still read them
        self._addresses = np.zeros(len(RECORDS), dtype=np.int64)
        self._error: BaseException | None = None
        self._call = ctypes.CFUNCTYPE(ctypes.c_int64, ctypes.c_int64, ctypes.c_int64, ctypes.c_int64)(
            self._fill
        )
        self._synced: dict[str, int] = {}
        self._celled: dict[str, int] = {}  #: slots of a pool that have their cells
        w = s.w[0]
        w.callback = ctypes.cast(self._call, ctypes.c_void_p).value or 0

    def set_timer(self, at: int, due: tuple[int, int, int, int, int]) -> None:
        """Set a timer while Python has the tables."""
        s, w = self._s, self._s.w[0]
        w.n_timers += 1
        s.timers.append(Entry())
        push(s.timers, 0, w.n_timers, at, *due)

    def run(self, until: int) -> None:
        """Let instants pass up to, and without, the tick ``until``."""
        s = self._s
        self._write()
        try:
            while True:
                status = self._loop(self._addresses, until)
                if s.w[0].watch:
                    self._drain()
                if status != GROW:
                    break
                self._grow()
        except RuntimeError:
            if self._error is not None:
                raise self._error from None
            raise
        self._read()

    # Rows

    def _rows(self, name: str, first: int) -> list[Any]:
        record = RECORDS[PLACE[name]][1]
        table = getattr(self._s, name)
        if record in (int, float):
            numbers: list[Any] = table[first:]
            return numbers
        names = record.__slots__
        return [tuple([getattr(row, field) for field in names]) for row in table[first:]]

    def _put(self, name: str, first: int, rows: list[Any]) -> None:
        """Write rows into an array, a larger one if it is too short."""
        array = self._arrays.get(name)
        n = first + len(rows)
        if array is None or n > len(array):
            larger = np.zeros(max(2 * n, _ROOM), dtype=dtype_of(RECORDS[PLACE[name]][1]))
            if array is not None:
                larger[: len(array)] = array
                self._kept.append(array)
            array = self._arrays[name] = larger
            self._addresses[PLACE[name]] = larger.ctypes.data
        if rows:
            array[first:n] = rows

    def _write(self) -> None:
        """Write the tables as arrays."""
        s, w = self._s, self._s.w[0]
        s.timers[:] = s.timers[: w.n_timers]
        for name, _ in RECORDS:
            if name == "w" or (name in _FIXED and name in self._arrays):
                continue
            self._put(name, 0, self._rows(name, 0))
        for name in ("columns", "steps", "works", "chances", "ints", "drawn"):
            self._synced[name] = len(getattr(s, name))
        self._size_pools()
        self._put("w", 0, self._rows("w", 0))

    def _size_pools(self) -> None:
        """See that every table that grows has room, and say how much."""
        s = self._s
        for name in GROWING:
            array = self._arrays[name]
            used = int(self._used(name))
            if len(array) < 2 * used + 2 * _ROOM:
                self._put(name, 4 * used + 16 * _ROOM, [])
        jobs, visits = self._arrays["jobs"], self._arrays["visits"]
        each, per_visit = s.w[0].job_cells, 2 * s.w[0].most_tasks
        self._cells("jobs", jobs, each, self._used("jobs"))
        self._cells("visits", visits, per_visit, self._used("visits"))
        self._put("due", len(self._arrays["timers"]), [])
        self._put("room", 0, [len(self._arrays[name]) for name in GROWING])

    def _used(self, name: str) -> int:
        w = self._s.w[0]
        used = {"jobs": w.used_jobs, "visits": w.used_visits, "pieces": w.used_pieces, "items": w.used_items,
                "events": w.n_events, "levels": w.n_steps, "timers": w.n_timers}  # fmt: skip
        return used[name]

    def _cells(self, name: str, array: Any, each: int, used: int) -> None:
        """Give the slots of a pool that were never used their cells."""
        cells = self._s.cells
        first = len(cells)
        begun = max(used, self._celled.get(name, 0))
        self._celled[name] = len(array)
        n = len(array) - begun
        if n <= 0:
            return
        array["cells"][begun:] = first + each * np.arange(n)
        cells.extend([0] * (each * n))
        self._put("cells", first, [0] * (each * n))

    def _grow(self) -> None:
        """Make room where it gets short, between two instants."""
        self._read()
        self._s.w[0].status = 0
        self._write()

    def _read(self) -> None:
        """Read the arrays back into the tables."""
        self._read_table("w")
        for name, _ in RECORDS:
            if name not in _FIXED and name not in ("w", "due", "events"):
                self._read_table(name)

    def _read_table(self, name: str) -> None:
        s, array, record = self._s, self._arrays[name], RECORDS[PLACE[name]][1]
        table = getattr(s, name)
        n = self._used(name) if name in GROWING else len(table)
        if record in (int, float):
            table[:] = array[:n].tolist()
            return
        del table[n:]
        table += [record() for _ in range(n - len(table))]
        names = record.__slots__
        for row, values in zip(table, array[:n].tolist(), strict=True):
            for field, value in zip(names, values, strict=True):
                setattr(row, field, value)

    def _drain(self) -> None:
        """Hand over the events that were written."""
        s = self._s
        n = int(self._arrays["w"]["n_events"][0])
        s.w[0].n_events = n
        self._read_table("events")
        self._hand_over(s)
        self._arrays["w"]["n_events"][0] = 0

    # Draws

    def _fill(self, column: int, attempt: int, row: int) -> int:
        """Draw a block while the loop waits, and write it into the arrays."""
        s = self._s
        try:
            number = self._outside.fill(column, attempt, row)
            for name in ("columns", "steps", "works", "chances", "ints"):
                first = self._synced[name]
                if len(getattr(s, name)) > first:
                    self._put(name, first, self._rows(name, first))
                    self._synced[name] = len(getattr(s, name))
            names, array = Column.__slots__, self._arrays["columns"]
            c = column
            while True:
                one = s.columns[c]
                array[c] = tuple([getattr(one, field) for field in names])
                if one.later == -1:
                    break
                c = one.later
            c = column
            for _ in range(attempt):
                c = s.columns[c].later
            one = s.columns[c]
            if one.constant < 0:
                size = 1 << one.bits
                at = one.at if row >> one.bits == one.block else one.other_at
                self._put("drawn", at, s.drawn[at : at + size])
            return number
        except BaseException as error:
            self._error = error
            self._arrays["w"]["status"][0] = FAILED
            return 0
