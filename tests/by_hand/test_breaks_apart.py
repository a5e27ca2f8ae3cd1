"""Work of two people whose crews have their breaks at different times, by hand."""

import pytest

from tests.lines import lines, operators, robots, run, stations, trace

#: Ten minutes of work with a break from 180 to 240, and two crews with theirs: 120 to 240, and 180 to 300.
APART = """
takt = "60 s"
[run]
calendar = "day"
[calendar.day]
shifts = ["06:00-06:10"]
breaks = ["06:03-06:04"]
[calendar.first]
shifts = ["06:00-06:10"]
breaks = ["06:02-06:04"]
[calendar.second]
shifts = ["06:00-06:10"]
breaks = ["06:03-06:05"]
"""


def test_two_people_from_two_crews_start_together() -> None:
    """A task of two people does not begin while the crew of one of them has its break.

    J1 0-60, J2 60-120. Then one crew is off until 240, the other one from 180 to 300: J3 300-360.
    """
    ran = run(
        APART
        + """
        [section.line]
        pacing = "free"
        stations = ["A"]
        [station.A.task.lift]
        time = "60 s"
        people = 2
        [crew.a]
        people = 1
        covers = ["A"]
        calendar = "first"
        [crew.b]
        people = 1
        covers = ["A"]
        calendar = "second"
        """,
        length="360 s",
        jobs=3,
    )
    assert trace(ran, "task start", "task pause") == lines(
        """
          0 task start #1 A.lift by a 1, b 1
         60 task start #2 A.lift by a 1, b 1
        300 task start #3 A.lift by a 1, b 1
        """
    )
    # the section's own break is 180-240
    assert stations(ran) == {"A": {"working": 180, "waiting: crew": 120, "off": 60}}


def test_a_bay_job_goes_on_when_the_last_of_its_people_is_back() -> None:
    """Two breaks that overlap make one pause in a bay too: from the first beginning to the last end.

    The job comes at 110 with 30 s: 110-120, 300-320.
    """
    ran = run(
        APART
        + """
        [section.line]
        pacing = "free"
        stations = ["A"]
        [station.A.task.fit]
        time = "55 s"
        people = 0
        fault = "1 at once, rework 30 s"
        [bay.rework]
        section = "line"
        people = 2
        rejoin = "out"
        [crew.a]
        people = 1
        covers = ["rework"]
        calendar = "first"
        [crew.b]
        people = 1
        covers = ["rework"]
        calendar = "second"
        """,
        length="400 s",
        jobs=1,
    )
    assert trace(ran, "bay in", "bay out") == ["110 bay in #1 rework", "320 bay out #1 rework"]
    assert operators(ran) == {
        "a 1": {"working": 30, "off": 120, "waiting: job": 250},
        "b 1": {"working": 30, "off": 120, "waiting: job": 250},
    }
    # bay_working counts places that hold a job, at work or not; nobody is on from 180 to 240
    assert ran.ledger.bay_working_clock.tolist() == [210_000]
    assert ran.ledger.bay_working.tolist() == [150_000]
    assert ran.ledger.bay_hours.tolist() == [340_000]
    # 0-110 on the line, then in the bay, less the minute in which nobody is there
    assert (ran.ledger.lead_time, ran.ledger.lead_time_clock) == (110_000 + 150_000, 320_000)


@pytest.mark.parametrize(
    ("need", "who", "lack"),
    [("people = 1", '[crew.a]\npeople = 1\ncovers = ["A"]', "crew"), ('robot = "r"', "[robot.r]", "robot")],
)
def test_work_that_waits_for_those_who_are_off_is_not_stuck(need: str, who: str, lack: str) -> None:
    """A job that comes at 150 to people or a robot off since 120 waits for tomorrow; the run merely ends."""
    ran = run(
        f"""
        [run]
        calendar = "day"
        [calendar.day]
        shifts = ["06:00-06:10"]
        [calendar.short]
        shifts = ["06:00-06:02"]
        [supply]
        at_s = [150.0]
        [section.line]
        pacing = "free"
        stations = ["A"]
        [station.A.task.fit]
        time = "4 s"
        {need}
        {who}
        calendar = "short"
        """,
        length="300 s",
    )
    assert ran.ledger.inside_end == 1
    assert stations(ran)["A"] == {"starved": 150, f"waiting: {lack}": 150}


def test_a_robot_that_is_off_waits_only_while_it_holds_work() -> None:
    """A robot that goes off with the people of its task waits with it, and is off once the job is let go.

    Work 0-60 of 80 s; the mark of 100 lets the job go. B, which nobody covers, does the rest by itself.
    """
    ran = run(
        """
        takt = "100 s"
        run = { calendar = "day" }
        calendar.day = { shifts = ["06:00-06:10"] }
        calendar.short = { shifts = ["06:00-06:01"] }
        section.line = "moving: A, B"
        station.A.on_limit = "pass"
        station.A.open_to = "B"
        station.A.task.weld = { time = "80 s", people = 1, robot = "R" }
        robot.R = { calendar = "short" }
        crew.c = { people = 1, covers = ["A"], calendar = "short" }
        """,
        length="150 s",
        jobs=1,
    )
    assert trace(ran, "task start", "task pause", "task left", "open work") == lines(
        """
          0 task start #1 A.weld by c 1
         60 task pause #1 A.weld by c 1
        100 task left #1 A.weld by c 1
        100 open work #1 A
        100 task start #1 A.weld at B
        """
    )
    assert robots(ran) == {"R": {"working": 60, "waiting": 40, "off": 50}}
