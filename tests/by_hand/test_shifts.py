"""Shifts by hand: the night between them, and hours that differ."""

from tests.lines import lines, operators, robots, run, sections, stations, stops, trace

#: Shifts of ten minutes at six and at seven, with a break in the fourth minute of each.
HOURS = """
takt = "60 s"
[calendar.day]
shifts = ["06:00-06:10", "07:00-07:10"]
breaks = ["06:03-06:04", "07:03-07:04"]
"""


MOVING = (
    HOURS
    + """
[section.line]
pacing = "moving"
stations = ["A"]
[station.A.task.fit]
time = "50 s"
[crew.a]
people = 1
covers = ["A"]
"""
)


def test_a_conveyor_stands_in_the_break_and_that_is_no_stop() -> None:
    """The conveyor's clock stands with the break: marks 0, 60, 120, then 240 for that of 180, and no stop.

    A mark that falls on the beginning of a break is passed after it: working time ends first. The shift ends
    at 600 with the mark of 600; the next begins at 3600, and that mark is passed then.
    """
    ran = run(MOVING + '[run]\ncalendar = "day"\nlength = "2 shifts"\n')
    marks = [e.time / 1000 for e in ran.events if e.what == "mark"]
    assert marks == [
        0,
        60,
        120,
        240,
        300,
        360,
        420,
        480,
        540,
        3600,
        3660,
        3720,
        3840,
        3900,
        3960,
        4020,
        4080,
        4140,
    ]
    assert stops(ran) == {}
    # two shifts of 600 s, and the night between, 600 to 3600
    assert sections(ran) == {"line": {"running": 1080, "off": 120 + 3000}}
    assert stations(ran) == {"A": {"working": 900, "spare": 180, "off": 3120}}
    assert ran.ledger.windows.tolist() == [[0, 600_000], [3_600_000, 4_200_000]]
    assert ran.ledger.window_jobs.tolist() == [8, 9]
    assert ran.ledger.working_time == 1_080_000


def test_a_job_carries_over_the_night() -> None:
    """What is not finished at the end of a shift goes on in the next one where it stood."""
    text = MOVING.replace('time = "50 s"', 'time = "59 s"')
    # A takt of 61 s: J10 boards at 9 x 61 + 60 (break) = 609 > 600, so J9 boards at 548 and works 548-600.
    ran = run(
        text.replace('takt = "60 s"', 'takt = "61 s"') + '[run]\ncalendar = "day"\nlength = "2 shifts"\n'
    )
    around = [t for t in trace(ran, "task pause", "task resume", "task start") if "#9 " in t]
    assert around == lines(
        """
        548 task start #9 A.fit by a 1
        600 task pause #9 A.fit by a 1
        3600 task resume #9 A.fit by a 1
        """
    )
    assert stops(ran) == {}


def test_the_warm_up_of_a_whole_shift_ends_where_the_next_begins() -> None:
    """A warm-up of one shift leaves the night out: accounts open as the second shift begins."""
    ran = run(MOVING + '[run]\ncalendar = "day"\nwarm_up = "1 shift"\nlength = "1 shift"\n')
    assert (ran.ledger.start, ran.ledger.end) == (3_600_000, 4_200_000)
    assert ran.ledger.windows.tolist() == [[3_600_000, 4_200_000]]
    assert ran.ledger.window_jobs.tolist() == [9]
    assert (ran.ledger.inside_start, ran.ledger.jobs_in, ran.ledger.jobs_out) == (1, 9, 9)


def test_staggered_breaks_fill_and_drain_a_buffer() -> None:
    """While the second section has its break the lane fills, while the first has its own it drains.

    Both sections 60 s a job; A's break is 180-240, B's 300-360. Until 180 jobs pass straight through the
    lane, which gets J4 at 300, when B goes off with J3; from 360 on every job waits in the lane for 60 s.
    """
    ran = run(
        """
        flow = ["first", "lane", "second"]
        takt = "60 s"
        run = { calendar = "early", length = "600 s" }
        calendar.early = { shifts = ["06:00-06:10"], breaks = ["06:03-06:04"] }
        calendar.late = { shifts = ["06:00-06:10"], breaks = ["06:05-06:06"] }
        section.first = "free: A"
        section.second = { pacing = "free", stations = ["B"], calendar = "late" }
        buffer.lane = { capacity = 2 }
        station.A.task.fit = "60 s"
        station.B.task.fit = "60 s"
        crew.a = "1: A"
        crew.b = { people = 1, covers = ["B"], calendar = "late" }
        """
    )
    assert trace(ran, "buffer in", "buffer out", "leave")[:20] == lines(
        """
         60 leave #1 A
         60 buffer in #1 lane
         60 buffer out #1 lane
        120 leave #1 B
        120 leave #2 A
        120 buffer in #2 lane
        120 buffer out #2 lane
        180 leave #2 B
        240 leave #3 A
        240 buffer in #3 lane
        240 buffer out #3 lane
        300 leave #4 A
        300 buffer in #4 lane
        360 leave #3 B
        360 buffer out #4 lane
        360 leave #5 A
        360 buffer in #5 lane
        420 leave #4 B
        420 buffer out #5 lane
        420 leave #6 A
        """
    )
    assert stations(ran)["A"] == {"working": 540, "off": 60}
    assert stations(ran)["B"] == {"starved": 120, "working": 420, "off": 60}


def test_a_crew_with_another_break_than_its_section_makes_it_wait() -> None:
    """A section that runs while its crew has a break waits for the crew, and stops at the limit.

    Crew break 180-240. J4 boards at 180 and waits; limit 240: nothing begun, but the crew is back in that
    instant: work 240-290, so the stop is an overrun of 50 s.
    """
    ran = run(
        MOVING.replace('covers = ["A"]', 'covers = ["A"]\ncalendar = "crew"').replace(
            'breaks = ["06:03-06:04", "07:03-07:04"]', ""
        )
        + """
        [calendar.crew]
        shifts = ["06:00-06:10"]
        breaks = ["06:03-06:04"]
        [run]
        calendar = "day"
        length = "300 s"
        """
    )
    assert trace(ran, "stop", "restart") == ["240 stop A overrun", "290 restart line"]
    assert stations(ran) == {"A": {"working": 210, "spare": 30, "waiting: crew": 60}}
    assert operators(ran) == {"a 1": {"working": 210, "off": 60, "waiting: job": 30}}


def test_a_robot_with_hours_of_its_own() -> None:
    """A robot that is off takes no new task; the station waits for the robot."""
    ran = run(
        """
        takt = "60 s"
        run = { calendar = "day", length = "300 s" }
        calendar.day = { shifts = ["06:00-06:10"] }
        calendar.robot = { shifts = ["06:00-06:10"], breaks = ["06:02-06:03"] }
        section.line = "free: A"
        station.A.task.weld = { time = "50 s", robot = "r" }
        robot.r = { calendar = "robot" }
        """
    )
    # 0-50, 50-100, 100-150 through the break's beginning at 120; nothing until 180; 180-230, 230-280, 280-
    assert [e.time / 1000 for e in ran.events if e.what == "task start"] == [0, 50, 100, 180, 230, 280]
    assert stations(ran) == {"A": {"working": 270, "waiting: robot": 30}}
    assert robots(ran) == {"r": {"working": 270, "off": 30}}
