"""What is assumed, as a table: guesses first, every input once."""

import tomllib

from linesim.questions.explain.work import assumptions
from linesim.scenario import from_dict
from tests.unit.report.small import small_scenario

LINE = """\
title = "One place"
takt  = "60 s"
flow  = ["cell"]
[run]
length = "1 h"
[section.cell]
pacing   = "free"
stations = ["A"]
[crew.one]
people = 1
covers = ["A"]
[station.A.task.plain]
time = "10 s"
[station.A.task.told]
time       = "20 s"
confidence = "measured"
source     = "time study, May"
[station.A.task.risky]
time  = { mean = "30 s", cv = 0.1, confidence = "estimated" }
[station.A.task.risky.fault]
chance = { value = 0.02, confidence = "guess", range = [0.5, 3.0] }
found  = "at once"
repair = "9 s"
"""


def test_every_input_once_guesses_first() -> None:
    """Guess, estimate, measured, silence: in this order, each time and chance once, with source and range."""
    rows = assumptions(from_dict(tomllib.loads(LINE)))
    assert [(row.key, row.value, row.known) for row in rows] == [
        ("station.A.task.risky.fault.fault.chance", "2 %", "guess"),
        ("station.A.task.risky.time", "30 s, ±10 % (lognormal)", "estimated"),
        ("station.A.task.told", "20 s", "measured"),
        ("station.A.task.plain.time", "10 s", ""),
        ("station.A.task.risky.fault.fault.repair", "9 s", ""),
    ]
    assert rows[0].span == "0.5 to 3 times that"
    assert rows[2].source == "time study, May"


def test_certainties_are_no_assumptions() -> None:
    """A chance of 0 or 1 of which nobody says anything does not stand in the table."""
    assert not [row for row in assumptions(small_scenario()) if row.value in ("0 %", "100 %")]
