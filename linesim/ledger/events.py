"""The event log: one row per thing that happened, for whoever wants to look inside."""

from __future__ import annotations

from typing import NamedTuple

from linesim.plan.tables import NONE

#: Everything that a row can say, roughly in the order of a job's life.
WHAT = (
    "line-on", "merge", "enter", "leave", "mark", "buffer in", "buffer out", "line-off", "scrap",
    "walk", "task start", "task pause", "task resume", "task left", "task end", "redo", "open work",
    "put right",
    "fault", "found", "bay in", "bay out", "call", "help", "fail", "repaired", "stop", "restart",
    "on", "off", "station is", "operator is",
)  # fmt: skip
(
    E_LINE_ON, E_MERGE, E_ENTER, E_LEAVE, E_MARK, E_BUFFER_IN, E_BUFFER_OUT, E_LINE_OFF, E_SCRAP,
    E_WALK, E_TASK_START, E_TASK_PAUSE, E_TASK_RESUME, E_TASK_LEFT, E_TASK_END, E_REDO, E_OPEN_WORK,
    E_PUT_RIGHT,
    E_FAULT, E_FOUND, E_BAY_IN, E_BAY_OUT, E_CALL, E_HELP, E_FAIL, E_REPAIRED, E_STOP, E_RESTART,
    E_ON, E_OFF, E_STATION_IS, E_OPERATOR_IS,
) = range(32)  # fmt: skip


class Event(NamedTuple):
    """One thing that happened. Indices are the plan's; NONE where a column says nothing.

    Attributes:
        time: Tick.
        what: One of `WHAT`.
        job: Job number, counted from 0; units of a feeder have the number of their job.
        section, station, task: Where, and at which work.
        where: What else ``what`` speaks of: a buffer (``buffer in``, ``buffer out``), bay (``bay in``, ``bay
            out``), failure mode (``fail``, ``repaired``), fault (``fault``, ``found``, and ``walk`` and
            ``task …`` that put one right), calendar (``on``, ``off``), feeder (``line-on``, ``merge``,
            ``scrap``), or a state (``station is``, ``operator is``).
        who: Operators, by number.
        cause: Index of a stop's cause.
    """

    time: int
    what: str
    job: int = NONE
    section: int = NONE
    station: int = NONE
    task: int = NONE
    where: int = NONE
    who: tuple[int, ...] = ()
    cause: int = NONE
