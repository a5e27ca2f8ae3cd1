"""The event log: one row per thing that happened, for whoever wants to look inside."""

from __future__ import annotations

from typing import NamedTuple

from linesim.plan.tables import NONE


class Event(NamedTuple):
    """One thing that happened. Indices are the plan's; NONE where a column says nothing.

    Attributes:
        time: Tick.
        what: ``line-on`` · ``enter`` · ``leave`` · ``line-off`` · ``scrap`` · ``task start`` · ``task end`` ·
            ``task pause`` · ``task resume`` · ``redo`` · ``walk`` · ``call`` · ``help`` · ``stop`` · ``restart`` ·
            ``mark`` · ``fail`` · ``repaired`` · ``fault`` · ``found`` · ``open work`` · ``bay in`` · ``bay out`` ·
            ``buffer in`` · ``buffer out`` · ``off`` · ``on``.
        job: Job number.
        section, station, task: Where, and at which work.
        where: Buffer, bay, robot, mode or fault that ``what`` speaks of.
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
