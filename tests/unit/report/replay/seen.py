"""Short runs of shipped lines, watched and recorded, for the tests of the replay."""

from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np

from linesim.plan.build import build
from linesim.plan.tables import IntArray
from linesim.report.replay.record import ReplayRecord, Run, record
from linesim.runs.trace import Watched, watch
from linesim.scenario import load

SCENARIOS = Path(__file__).resolve().parents[4] / "scenarios"

#: Lines of every kind, each with what it is run with: paced and free, calendars, bays, feeders, open work.
LINES = {
    "textbook/line-stop-trace": (),
    "textbook/indexed-five": ('run.length = "2 h"',),
    "textbook/two-feeders": ('run.length = "4 h"', 'run.warm_up = "1 h"'),
    "textbook/pallet-loop": ('run.length = "2 h"', 'run.warm_up = "10 min"'),
    "features/calls-and-floaters": ('run.length = "2 h"',),
    "features/passing-on": ('run.length = "2 h"', 'run.warm_up = "10 min"'),
    "features/staggered-breaks": ('run.length = "5 h"', 'run.warm_up = "30 min"'),
    "features/two-bays": ('run.length = "3 h"', 'run.warm_up = "30 min"'),
    "features/travelling-faults": ('run.length = "3 h"', 'run.warm_up = "30 min"'),
    "features/disturbances": ('run.length = "3 h"', 'run.warm_up = "30 min"'),
    "features/carriers": ('run.length = "2 h"', 'run.warm_up = "10 min"', 'run.start = "full"'),
}


class Seen(NamedTuple):
    """A line that was watched, and what is recorded of it."""

    watched: Watched
    record: ReplayRecord


@cache
def seen(name: str) -> Seen:
    """Return a line of `LINES` after its first replication."""
    plan = build(load(SCENARIOS / f"{name}.toml", LINES[name]))
    watched = watch(plan, plan.run.seed, 1)
    return Seen(watched, record(plan, watched.events, watched.until))


def ticks_by_state(runs: tuple[Run, ...], shape: tuple[int, ...], start: int, end: int) -> IntArray:
    """Return how long each thing was in each state between two ticks."""
    found = np.zeros(shape, dtype=np.int64)
    for i, run in enumerate(runs):
        for (since, state), (until, _) in zip(run, (*run[1:], (end, 0)), strict=True):
            found[i, state] += max(0, min(until, end) - max(since, start))
    return found
