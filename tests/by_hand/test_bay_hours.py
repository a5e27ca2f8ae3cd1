"""How full a bay is, hour by hour of a shift, by hand; times in minutes."""

from typing import Any

import pytest

from linesim.measures import measure
from tests.lines import Ran, run_tables, tables

MINUTE = 60_000

LINE = """
[run]
length = "300 min"
[section.line]
pacing = "free"
stations = ["A", "B"]
[station.A.task.fit]
time = "40 min"
people = 0
fault = "1 at B.test, rework"
[station.B.task.test]
time = "20 min"
people = 0
[bay.rework]
section = "line"
waiting = 2
rejoin = "out"
[crew.r]
people = 1
covers = ["rework"]
"""


def _minutes(repair: str, shift: str, head: str = "", more: str = "", **bay: Any) -> tuple[Ran, list[Any]]:
    """Return a line of three faulty jobs, and job-minutes in its bay by shift and hour."""
    raw = tables(head + LINE + more, jobs=3)
    raw["run"]["shift"] = shift
    raw["station"]["A"]["task"]["fit"]["fault"]["repair"] = repair
    raw["bay"]["rework"] |= bay
    ran = run_tables(raw)
    return ran, (ran.ledger.window_bay[:, 0] // MINUTE).tolist()


def test_jobs_in_the_bay_by_hour() -> None:
    """Jobs come at 60, 100 and 140 and are in work 60-160, 160-260 and from 260 on; two shifts of 150.

    One in the bay 60-100, two 100-140, three 140-160, two 160-260, one from 260 on.
    """
    ran, minutes = _minutes("100 min", "150 min")
    assert minutes == [[0, 80, 70], [130, 110, 30]]
    assert ran.ledger.window_bay.sum() == ran.ledger.bay_waiting.sum() + ran.ledger.bay_working.sum()
    figures = {v.cause: v.value for v in measure(ran.plan, ran.ledger) if v.measure == "bay_by_hour"}
    assert figures == pytest.approx({"hour 1": 130 / 120, "hour 2": 190 / 120, "hour 3": 100 / 60})


def test_a_job_that_leaves_an_empty_bay_behind_is_gone() -> None:
    """Jobs that come at 60, 100 and 140 and take 10 min are in the bay for that long and no longer."""
    assert _minutes("10 min", "150 min")[1] == [[0, 20, 10], [0, 0, 0]]


def test_a_job_that_cannot_go_on_is_in_the_bay() -> None:
    """Jobs come at 60, 100 and 140 and take 10 each; the third finds no room to go on until 270.

    C works on the first from 70 to 270, and the second stands in the lane's one place from 110 on.
    """
    more = """
    [buffer.lane]
    capacity = 1
    [section.last]
    pacing = "free"
    stations = ["C"]
    [station.C.task.paint]
    time = "200 min"
    people = 0
    """
    ran, minutes = _minutes("10 min", "300 min", 'flow = ["line", "lane", "last"]', more, rejoin="lane")
    assert minutes == [[0, 20, 40, 60, 30]]
    assert (ran.ledger.bay_working.tolist(), ran.ledger.bay_waiting.tolist()) == ([30 * MINUTE], [0])


def test_long_shifts_have_no_row_for_each_hour() -> None:
    """A shift of more than a day is not told hour by hour; its ledger is."""
    raw = tables(LINE, jobs=3)
    raw["station"]["A"]["task"]["fit"]["fault"]["repair"] = "10 min"
    raw["run"] |= {"shift": "25 h", "length": "25 h"}
    ran = run_tables(raw)
    assert ran.ledger.window_bay.shape == (1, 1, 25)
    assert not [value for value in measure(ran.plan, ran.ledger) if value.measure == "bay_by_hour"]
