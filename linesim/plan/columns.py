"""Everything that is drawn has a number: a column, with one row a job or a count."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from linesim.plan.tables import AT_ONCE, NONE

if TYPE_CHECKING:
    from linesim.plan.plan import Plan


ORDER = 0  #: The first column: what each job is.


def name_key(kind: str, name: str) -> bytes:
    """Return what keys the streams of ``name``: 64 bytes, whatever the length of the texts."""
    return b"".join(hashlib.sha256(text.encode()).digest() for text in (kind, name))


class DrawnColumn(NamedTuple):
    """One thing that is drawn, for every job or count.

    Attributes:
        key: What keys its streams; columns of one task share it, and so the uniform number.
        shape: Distribution that the number goes through, or NONE where it is wanted as it is.
    """

    key: bytes
    shape: int


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns of a plan; each field is the number of the first of its kind.

    Attributes:
        all: The columns.
        task: Times of the tasks, by task and then as `Tasks.time_shape` has them.
        made, seen: Whether a task leaves a fault, and whether it is found.
        repair: How long a fault takes to be put right.
        bay: Whether a bay has put its job right.
        every, lasts: Up to the next failure, and how long it lasts.
        gap: Up to the next opening of supply and removal.
        away: Whether a person is away for a shift, by operator of the crews of which that may be.
        again: Columns of what may be done more than once on a job: on a later pass, or until it is free of
            a fault that is found at once.
    """

    all: tuple[DrawnColumn, ...]
    task: int
    made: int
    seen: int
    repair: int
    bay: int
    every: int
    lasts: int
    gap: int
    away: int
    again: tuple[int, ...]


def columns_of(plan: Plan) -> Columns:
    """Return the columns of ``plan``."""
    names, tasks, modes = plan.names, plan.tasks, plan.modes
    found = [DrawnColumn(name_key("order", ""), NONE)]

    def add(kind: str, rows: Iterable[tuple[str, int]]) -> int:
        first = len(found)
        found.extend(DrawnColumn(name_key(kind, name), shape) for name, shape in rows)
        return first

    def odds(kind: str, of: tuple[str, ...]) -> int:
        # "chance:" keeps these apart from the streams of times.
        return add("chance:" + kind, ((name, NONE) for name in of))

    operator_crew = [c for c, people in enumerate(plan.crews.people.tolist()) for _ in range(people)]
    times = tasks.time_shape.tolists()
    task = add("task", ((name, shape) for name, row in zip(names.task, times, strict=True) for shape in row))
    made = odds("fault", names.fault)
    redone = (plan.faults.found == AT_ONCE) & (plan.faults.tries > 0)
    again = {*np.flatnonzero(tasks.again).tolist(), *plan.faults.task[redone].tolist()}
    starts = tasks.time_shape.starts.tolist()
    return Columns(
        task=task,
        made=made,
        seen=odds("detect", names.fault),
        repair=add("repair", zip(names.fault, plan.faults.repair.tolist(), strict=True)),
        bay=odds("bay", names.bay),
        every=add("every", zip(names.mode, modes.every.tolist(), strict=True)),
        lasts=add("lasts", zip(names.mode, modes.lasts.tolist(), strict=True)),
        gap=add("gap", (("supply", plan.supply.every), ("removal", plan.removal.every))),
        away=odds(
            "away",
            tuple(
                name for name, c in zip(names.operator, operator_crew, strict=True) if plan.crews.absence[c]
            ),
        ),
        again=(
            *(task + i for t in sorted(again) for i in range(starts[t], starts[t + 1])),
            *(made + f for f in np.flatnonzero(redone).tolist()),
        ),
        all=tuple(found),
    )
