"""The loop of the compiled drive: instants by a heap of timers, over tables that are arrays of records.

Compiled code gets one row of addresses and reads a record by its table's address, so that Python can put a
larger array in the place of one that is full.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from types import MappingProxyType
from typing import Any

import numpy as np

from linesim.engine import job_records, line_records, queue, tables
from linesim.engine.instant import ends, settle
from linesim.engine.start import ask
from linesim.engine.tables import GOES_ON

#: The tables in the order of their addresses, and the records that they hold.
RECORDS: tuple[tuple[str, Any], ...] = (
    ("w", tables.World), ("sections", line_records.SectionRecord), ("stations", line_records.StationRecord),
    ("elements", line_records.ElementRecord), ("buffers", line_records.BufferRecord),
    ("bays", line_records.BayRecord), ("gates", line_records.GateRecord),
    ("crews", line_records.CrewRecord), ("operators", line_records.Operator),
    ("robots", line_records.RobotRecord), ("tools", line_records.ToolRecord), ("modes", line_records.Mode),
    ("calendars", line_records.CalendarRecord), ("carriers", line_records.CarrierRecord),
    ("jobs", job_records.Job), ("visits", job_records.Visit), ("pieces", job_records.Piece),
    ("items", job_records.Item), ("tasks", job_records.TaskRecord), ("faults", job_records.FaultRecord),
    ("steps", job_records.Step), ("works", job_records.WorkRecord), ("columns", job_records.ColumnRecord),
    ("agenda", job_records.Entry), ("timers", job_records.Entry), ("due", job_records.Entry),
    ("events", job_records.RowRecord), ("hours", line_records.HoursRecord),
    ("accounts", line_records.Account), ("levels", job_records.Level), ("chances", np.float64),
    ("links", np.int32), ("ints", np.int64), ("cells", np.int32), ("ticks", np.int64),
    ("drawn", np.int64), ("room", np.int64),
)  # fmt: skip
PLACE = MappingProxyType({name: i for i, (name, _) in enumerate(RECORDS)})
BY_VARIANT = ("works", "steps", "links", "chances")  #: what all replications of a plan share
MOVING = (*BY_VARIANT, "columns")  #: those that may grow within an instant, when the loop calls back
FORMATS = MappingProxyType({"int": np.int64, "float": np.float64, "Index": np.int32})
WIDE = 8  #: bytes of a wide field; the others have half
GROWING = ("jobs", "visits", "pieces", "items", "events", "levels", "timers")  #: as `room` counts them
TIMERS = GROWING.index("timers")


def is_record(kind: Any) -> bool:
    """Return whether the rows of a table have fields, and are no plain numbers."""
    return is_dataclass(kind)


def dtype_of(kind: Any) -> Any:
    """Return the layout of a record in an array, its wide fields first; or that of a plain number."""
    if not is_record(kind):
        return np.dtype(kind)
    named: dict[str, np.dtype[Any]] = {
        field.name: np.dtype(FORMATS[str(field.type)]) for field in fields(kind)
    }
    wide = [name for name, layout in named.items() if layout.itemsize == WIDE]
    narrow = [name for name in named if name not in wide]
    offsets = {name: WIDE * k for k, name in enumerate(wide)}
    offsets |= {name: WIDE * len(wide) + WIDE // 2 * k for k, name in enumerate(narrow)}
    return np.dtype(
        {
            "names": list(named),
            "formats": list(named.values()),
            "offsets": [offsets[name] for name in named],
            "itemsize": WIDE * (len(wide) + (len(narrow) + 1) // 2),
        }
    )


def loop(address: int, until: int) -> int:
    """Let instants pass up to, and without, the tick ``until``, or do what is asked; return why it ends."""
    s = as_state(address)
    w = s.w[0]
    if w.asked:
        ask(s, w.asked)
        w.asked = 0
        return int(w.status)
    while w.status == GOES_ON:
        n = 0
        if w.begins == 0:
            if w.n_timers == 0 or s.timers[0].at >= until:
                return GOES_ON
            w.now = s.timers[0].at
            while w.n_timers > 0 and s.timers[0].at == w.now:
                one = s.timers[0]
                queue.write(s.due[n], one.at, one.order, one.serial, one.what)
                queue.pop(s.timers, 0, w.n_timers)
                w.n_timers -= 1
                n += 1
        w.begins = 0
        for i in range(n):
            due = s.due[i]
            ends(s, queue.rank_of(due.order), queue.first_of(due.order), due.serial, due.what)
        settle(s)
    status: int = w.status
    return status


def as_state(address: int) -> Any:
    """Return the tables whose addresses lie in a row at ``address``; for compiled code alone."""
    raise NotImplementedError
