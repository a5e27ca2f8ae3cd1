"""Faults by hand: found at once, further down, or never; put right there or elsewhere."""

from collections.abc import Sequence

import numpy as np
import pytest

from linesim.draws.draws import Draws
from linesim.plan.tables import IntArray
from tests.lines import Ran, lines, run, stations, stops, trace


def test_a_task_is_redone_until_it_is_right_or_tries_are_spent() -> None:
    """A fault found at once is redone ``tries`` times; what is still wrong then is put right.

    Chance 1, two tries: 3 s at 0, again at 3, again at 6, done at 9 and still wrong; put right there, 2 s:
    11. Three faults made and found, none escapes. Limit 10, in the repair: one second over, as a repeat.
    """
    ran = run(
        """
        section.line = "moving: A"
        station.A.task.screw.time = "3 s"
        station.A.task.screw.fault = { chance = 1, found = "at once", tries = 2, repair = "2 s" }
        crew.a = "1: A"
        """,
        length="15 s",
        jobs=1,
    )
    assert trace(ran)[3:] == lines(
        """
         0 task start #1 A.screw by a 1
         3 task end #1 A.screw by a 1
         3 fault #1 A.screw A.screw.fault
         3 found #1 A A.screw.fault
         3 redo #1 A.screw
         3 task start #1 A.screw by a 1
         6 task end #1 A.screw by a 1
         6 fault #1 A.screw A.screw.fault
         6 found #1 A A.screw.fault
         6 redo #1 A.screw
         6 task start #1 A.screw by a 1
         9 task end #1 A.screw by a 1
         9 fault #1 A.screw A.screw.fault
         9 found #1 A A.screw.fault
         9 task start #1 A.screw to put right A.screw.fault by a 1
        10 stop A repeat
        11 task end #1 A.screw to put right A.screw.fault by a 1
        11 put right #1 A.screw to put right A.screw.fault
        11 mark line
        11 leave #1 A
        11 line-off #1
        11 restart line
        """
    )
    ledger = ran.ledger
    assert (ledger.faults_made[0], ledger.faults_found[0], ledger.faults_escaped[0]) == (3, 3, 0)
    assert (ledger.first_time, ledger.reworked, ledger.escaped) == (0, 1, 0)
    assert stops(ran) == {"A repeat": 1}
    assert stations(ran) == {"A": {"working": 11, "starved": 4}}


def test_a_redo_draws_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every try has its own luck and its own time: wrong, wrong, right takes three times.

    The luck of the tries is set to 0.1, 0.1, 0.9 against a chance of 0.5, the times to 2, 3 and 4 s.
    """
    luck, times = (0.1, 0.1, 0.9), (2000, 3000, 4000)

    def block(self: Draws, column: int, attempt: int, b: int, rows: int) -> IntArray:
        is_time = self._of.streams[column][1] is not None
        return np.full(rows, times[attempt] if is_time else int(luck[attempt] * 2**53))

    def blocks(self: Draws, columns: Sequence[int], attempt: int, b: int, rows: int) -> list[IntArray]:
        return [block(self, column, attempt, b, rows) for column in columns]

    monkeypatch.setattr(Draws, "block", block)
    monkeypatch.setattr(Draws, "blocks", blocks)
    monkeypatch.setattr(Draws, "constant", lambda self, shape: -1)
    ran = run(
        """
        section.line = "free: A"
        station.A.task.screw.time = "1 s"
        station.A.task.screw.people = 0
        station.A.task.screw.fault = { chance = 0.5, found = "at once", tries = 5 }
        """,
        length="15 s",
        jobs=1,
    )
    assert trace(ran, "task end") == [
        "2 task end #1 A.screw",
        "5 task end #1 A.screw",
        "9 task end #1 A.screw",
    ]
    assert (ran.ledger.faults_made[0], ran.ledger.first_time, ran.ledger.reworked) == (2, 0, 0)


def _travelling(fault: str) -> Ran:
    return run(
        f"""
        [section.line]
        pacing = "moving"
        stations = ["A", "B", "C"]
        [station.A.task.fit]
        time = "2 s"
        people = 0
        fault = {{ chance = 1, {fault} }}
        [station.B.task.test]
        time = "3 s"
        people = 0
        [station.C.task.close]
        time = "1 s"
        people = 0
        [crew.c]
        people = 1
        covers = ["B", "C"]
        """,
        length="45 s",
        jobs=1,
    )


@pytest.mark.parametrize("right", ["", ', right = "B"'])
def test_a_fault_is_found_as_the_job_comes_to_a_station(right: str) -> None:
    """A fault found at a station is found as the job comes there, and put right beside the station's work.

    To name that same station as the place where it is put right says no more.
    """
    ran = _travelling('found = "B", repair = "6 s"' + right)
    assert trace(ran, "fault", "found", "task start", "put right") == lines(
        """
         0 task start #1 A.fit
         2 fault #1 A.fit A.fit.fault
        10 found #1 B A.fit.fault
        10 task start #1 A.fit at B to put right A.fit.fault by c 1
        10 task start #1 B.test
        16 put right #1 A.fit at B to put right A.fit.fault
        20 task start #1 C.close
        """
    )
    assert stations(ran)["B"] == {"starved": 35, "working": 6, "spare": 4}
    assert (ran.ledger.first_time, ran.ledger.reworked, ran.ledger.escaped) == (0, 1, 0)


def test_a_fault_is_found_by_a_task() -> None:
    """A fault found by a task is found as that ends, and put right after it."""
    ran = _travelling('found = "B.test", repair = "6 s"')
    assert trace(ran, "found", "task start", "task end") == lines(
        """
         0 task start #1 A.fit
         2 task end #1 A.fit
        10 task start #1 B.test
        13 task end #1 B.test
        13 found #1 B A.fit.fault
        13 task start #1 A.fit at B to put right A.fit.fault by c 1
        19 task end #1 A.fit at B to put right A.fit.fault by c 1
        20 task start #1 C.close
        21 task end #1 C.close
        """
    )


def test_a_fault_is_put_right_at_a_named_station() -> None:
    """A fault found at one station may be put right at another, where it is part of the work."""
    ran = _travelling('found = "B.test", right = "C", repair = "6 s"')
    assert trace(ran, "found", "put right", "line-off") == lines(
        """
        13 found #1 B A.fit.fault
        26 put right #1 A.fit at C to put right A.fit.fault
        30 line-off #1
        """
    )


def test_a_fault_that_nobody_finds_escapes() -> None:
    """What is not found leaves with the job and is counted as escaped."""
    ran = _travelling('found = "B", detect = 0, repair = "6 s"')
    ledger = ran.ledger
    assert (ledger.faults_made[0], ledger.faults_found[0], ledger.faults_escaped[0]) == (1, 0, 1)
    assert (ledger.jobs_out, ledger.escaped, ledger.reworked) == (1, 1, 0)


def test_the_chance_depends_on_option_and_model() -> None:
    """The first condition met in file order gives the chance: with the option always, as a model never."""
    ran = run(
        """
        section.line = "moving: A"
        model.m = {}
        option.x = { take = 0.5 }
        station.A.task.fit.time = "2 s"
        station.A.task.fit.people = 0
        station.A.task.fit.fault = { chance = 0, found = "at once", tries = 1, chance_for = { x = 1, m = 0 } }
        """,
        length="25 s",
        jobs=["m", "m+x"],
    )
    assert ran.ledger.faults_made.tolist() == [2]  # the second job, and its redo
    assert trace(ran, "redo") == ["12 redo #2 A.fit"]


TWO_FAULTS = """
[section.line]
pacing = "moving"
stations = ["A", "B", "C"]
[station.A.task.glue]
time = "2 s"
people = 0
fault = { chance = 1, found = "C", repair = "1 s" }
[station.A.task.seal]
time = "3 s"
people = 0
fault = { chance = 1, found = "B", repair = "1 s" }
[crew.c]
people = 1
covers = ["B", "C"]
"""


def test_each_fault_is_found_where_it_is_looked_for() -> None:
    """Of two faults on a job the second is found first, for its place comes first."""
    ran = run(TWO_FAULTS, length="35 s", jobs=1)
    assert trace(ran, "found") == ["10 found #1 B A.seal.fault", "20 found #1 C A.glue.fault"]


def test_a_fault_known_already_hides_no_other() -> None:
    """A job with a fault that was found at B and waits to be put right at C is looked at there for others."""
    both = TWO_FAULTS.replace('found = "B"', 'found = "C"')
    ran = run(both.replace('found = "C"', 'found = "B", right = "C"', 1), length="35 s", jobs=1)
    assert trace(ran, "found") == ["10 found #1 B A.glue.fault", "20 found #1 C A.seal.fault"]
