"""Three ordinary lines with a robot that fails, each with a change, and pools of their replications."""

from __future__ import annotations

import tomllib
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from linesim.plan.build import build
from linesim.runs.replication import Label, run_replication
from linesim.scenario import from_dict
from tests.lines import Tables

#: A moving line, one whose robot feeds it over a buffer, and one whose robot fails rarely and long.
_TEXTS = {
    "moving line, robot fails every 5 h": """
        title = "moving line"
        takt = "10 min"
        flow = ["trim"]
        target.jobs_per_shift = 45
        section.trim = { pacing = "moving", stations = ["T1", "T2", "T3"] }
        [robot.R.failure.jam]
        every = { shape = "exponential", mean = "5 h" }
        lasts = { shape = "lognormal", mean = "30 min", cv = 0.8 }
        [crew.trim]
        people = 2
        covers = ["T1", "T3"]
        [station]
        T1.task.fit = { time = { mean = "475 s", cv = 0.1 } }
        T2.task.glue = { robot = "R", time = "500 s" }
        T3.task.bolt = { time = { mean = "462 s", cv = 0.15 } }
    """,
    "buffered line, robot fails every 4 h": """
        title = "buffered line"
        takt = "10 min"
        flow = ["press", "bank", "trim"]
        target.jobs_per_shift = 45
        buffer.bank.capacity = 2
        section.press = { pacing = "free", stations = ["P1", "P2"] }
        section.trim = { pacing = "indexed", stations = ["T1", "T2"] }
        [robot.R.failure.jam]
        every = { shape = "exponential", mean = "4 h" }
        lasts = { shape = "lognormal", mean = "25 min", cv = 0.5 }
        [crew.trim]
        people = 2
        covers = ["T1", "T2"]
        [station]
        P1.task.load = { people = 0, time = { mean = "450 s", cv = 0.2 } }
        P2.task.press = { robot = "R", time = "537 s" }
        T1.task.fit = { time = { mean = "475 s", cv = 0.1 } }
        T2.task.bolt = { time = { mean = "462 s", cv = 0.1 } }
    """,
    "free line, robot fails every 12 h": """
        title = "free line"
        takt = "10 min"
        flow = ["cell"]
        target.jobs_per_shift = 45
        section.cell = { pacing = "free", stations = ["C1", "C2", "C3"] }
        [robot.R.failure.gearbox]
        every = { shape = "exponential", mean = "12 h" }
        lasts = { shape = "lognormal", mean = "60 min", cv = 0.6 }
        [crew.cell]
        people = 2
        covers = ["C1", "C3"]
        [station]
        C1.task.load = { time = { mean = "550 s", cv = 0.2 } }
        C2.task.weld = { robot = "R", time = "562 s" }
        C3.task.check = { time = { mean = "500 s", cv = 0.2 } }
    """,
}
_CHANGES = {
    "moving line, robot fails every 5 h": ("robot", "R", "failure", "jam", "lasts", "mean", "20 min"),
    "buffered line, robot fails every 4 h": ("buffer", "bank", "capacity", 6),
    "free line, robot fails every 12 h": ("station", "C2", "task", "weld", "time", "525 s"),
}
LINES = tuple(_TEXTS)
TARGET = 45.0  #: Jobs a shift of the plan.


class Pool(NamedTuple):
    """Replications of a line and of its change, with common draws.

    Attributes:
        labels: Names of the figures.
        values: Figures, shape ``(2, replications, figures)``: the line as it is, then changed; NaN where
            a replication gives none.
        jobs: Jobs of each whole shift, shape ``(2, replications, shifts)``.
    """

    labels: tuple[Label, ...]
    values: NDArray[np.float64]
    jobs: NDArray[np.int64]


def tables(name: str, *, changed: bool) -> Tables:
    """Return the tables of a line, as it is or changed."""
    raw = tomllib.loads(_TEXTS[name])
    raw["run"] = {"length": "2 shifts", "warm_up": "1 h", "start": "full", "replications": 1, "shift": "8 h"}
    if changed:
        *path, last, value = _CHANGES[name]
        place = raw
        for step in path:
            place = place[step]
        place[last] = value
    return raw


@cache
def pool(name: str, size: int) -> Pool:
    """Return a pool of so many replications of a line and its change."""
    runs = [
        [run_replication(plan, 1, number) for number in range(1, size + 1)]
        for plan in (build(from_dict(tables(name, changed=changed))) for changed in (False, True))
    ]
    base, change = (found[0][0] for found in runs)
    labels = tuple(label for label in base if label in change)
    values = [
        [[replication.values[own.index(label)] for label in labels] for own, replication in found]
        for found in runs
    ]
    jobs = [[[shift.jobs for shift in replication.shifts] for _, replication in found] for found in runs]
    return Pool(labels, np.array(values, dtype=np.float64), np.array(jobs))
