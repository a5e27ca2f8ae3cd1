"""Lines that can no longer move say so; those that merely wait do not."""

import pytest

from linesim.errors import LineStuck
from tests.lines import run, run_tables, tables, tandem

ONE = """
[section.line]
pacing = "free"
stations = ["A"]
[station.A.task.fit]
time = "4 s"
people = 0
"""


def test_a_loop_that_locks_itself_is_told() -> None:
    """A bay that cannot give back, a section held by it and a full lane hold each other: the run says so.

    Every job is faulty on every pass, the bay has one place and gives back to a lane of one place before the
    section: J1 in the bay at 2, J2 held in A, J3 in the lane; J1 is done and finds no room.
    """
    raw = tables(
        """
        flow = ["pre", "lane", "line"]
        [section.pre]
        pacing = "free"
        stations = ["P"]
        [section.line]
        pacing = "free"
        stations = ["A"]
        [buffer.lane]
        capacity = 1
        [station.P.task.put]
        time = "1 s"
        people = 0
        [station.A.task.test]
        time = "1 s"
        people = 0
        again = true
        fault = { chance = 1, found = "at once", tries = 1, right = "rework", repair = "5 s" }
        [bay.rework]
        section = "line"
        rejoin = "lane"
        [crew.r]
        people = 1
        covers = ["rework"]
        """,
        length="60 s",
    )
    with pytest.raises(LineStuck) as stuck:
        run_tables(raw)
    assert stuck.value.at == 60_000
    assert "buffer lane holds 1 of 1" in str(stuck.value)


def test_an_empty_line_is_not_stuck() -> None:
    """A line that is merely empty, or waits for a job that will come, runs to its end."""
    assert run_tables(tandem([(1, 1)], (0,), length=60)).ledger.jobs_out == 1
    ran = run(ONE + '[supply]\nat_s = [50.0]\n[run]\nshift = "10 s"\n', length="60 s")
    assert ran.ledger.jobs_out == 1


def test_a_line_without_work_is_told() -> None:
    """Where no work takes any time jobs come and go in one instant without end; the run says so and ends."""
    with pytest.raises(LineStuck, match="came and went in one instant"):
        run(ONE.replace("4 s", "0 s"), length="60 s")
    assert run(ONE.replace("4 s", "0 s"), length="60 s", jobs=50).ledger.jobs_out == 50
