"""A line of two stations for the tests of studies: a replication takes milliseconds."""

from linesim.scenario import Scenario, load_text
from tests.unit.scenario.lines import written

LINE = """
title = "Two stations <in a row>"
takt  = "60 s"
flow  = ["front", "lane", "back"]
[run]
length       = "2 h"
warm_up      = "10 min"
replications = 4
seed         = 11
shift        = "1 h"
[section.front]
pacing   = "free"
stations = ["A"]
[section.back]
pacing   = "free"
stations = ["B"]
[buffer.lane]
capacity = 1
[crew.one]
people = 1
covers = ["A"]
[crew.two]
people = 1
covers = ["B"]
[station.A.task.fit]
time = { mean = "50 s", cv = 0.4 }
[station.B.task.bolt]
time = { mean = "50 s", cv = 0.4 }
"""


def line(*lines: str) -> Scenario:
    """Return the line with further lines written into it."""
    return load_text(written(*lines, text=LINE))
