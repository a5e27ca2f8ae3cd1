"""Breaks by hand: people pause, robots finish, conveyors stand, repairs go on."""

import numpy as np

from tests.lines import lines, operators, robots, run, sections, stations, stops, trace

#: Shifts of ten minutes at six and at seven, with a break in the fourth minute of each.
HOURS = """
takt = "60 s"
[calendar.day]
shifts = ["06:00-06:10", "07:00-07:10"]
breaks = ["06:03-06:04", "07:03-07:04"]
"""


def test_people_pause_and_robots_finish() -> None:
    """In a break manual work pauses and goes on after it; a robot finishes its task and begins no other.

    Break 180 to 240. A: J1 0-100, J2 100-180 and 240-260, J3 260-360. B: J1 100-190, into the break, and it
    goes on at 240 only; J2 260-350, J3 360-450.
    """
    ran = run(
        HOURS
        + """
        [run]
        calendar = "day"
        length = "600 s"
        [section.line]
        pacing = "free"
        stations = ["A", "B"]
        [station.A.task.fit]
        time = "100 s"
        [station.B.task.weld]
        time = "90 s"
        robot = "r"
        [crew.a]
        people = 1
        covers = ["A"]
        [robot.r]
        """,
        jobs=3,
    )
    assert trace(ran) == lines(
        """
          0 on day
          0 line-on #1
          0 enter #1 A
          0 task start #1 A.fit by a 1
        100 task end #1 A.fit by a 1
        100 leave #1 A
        100 enter #1 B
        100 line-on #2
        100 enter #2 A
        100 task start #1 B.weld
        100 task start #2 A.fit by a 1
        180 task pause #2 A.fit by a 1
        180 off day
        190 task end #1 B.weld
        240 task resume #2 A.fit by a 1
        240 on day
        240 leave #1 B
        240 line-off #1
        260 task end #2 A.fit by a 1
        260 leave #2 A
        260 enter #2 B
        260 line-on #3
        260 enter #3 A
        260 task start #2 B.weld
        260 task start #3 A.fit by a 1
        350 task end #2 B.weld
        350 leave #2 B
        350 line-off #2
        360 task end #3 A.fit by a 1
        360 leave #3 A
        360 enter #3 B
        360 task start #3 B.weld
        450 task end #3 B.weld
        450 leave #3 B
        450 line-off #3
        """
    )
    assert stations(ran) == {
        "A": {"working": 300, "off": 60, "starved": 240},
        # working 100-190, off 190-240, starved 240-260 and so on
        "B": {"starved": 280, "working": 270, "off": 50},
    }
    assert operators(ran) == {"a 1": {"working": 300, "off": 60, "waiting: job": 240}}
    assert robots(ran) == {"r": {"working": 270, "off": 50, "waiting": 280}}
    assert sections(ran) == {"line": {"running": 540, "off": 60}}


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


def test_repairs_go_on_in_the_break() -> None:
    """A repair that has begun goes on through the break, technician and all; one that has not waits.

    The robot fails after 170 s of running, at 170, for 40 s: repaired at 210, in the break. Work goes on
    then: a robot works through the break. Again after 170 s of running: 380.
    """
    ran = run(
        HOURS
        + """
        [run]
        calendar = "day"
        length = "600 s"
        [section.line]
        pacing = "free"
        stations = ["A"]
        [station.A.task.weld]
        time = "400 s"
        robot = "r"
        [robot.r.failure.jam]
        every = "170 s"
        lasts = "40 s"
        repaired_by = "tech"
        [crew.tech]
        people = 1
        """,
        jobs=1,
    )
    assert trace(ran, "fail", "repaired", "task pause", "task resume", "task end") == lines(
        """
        170 fail robot.r.jam
        170 task pause #1 A.weld
        210 repaired robot.r.jam
        210 task resume #1 A.weld
        380 fail robot.r.jam
        380 task pause #1 A.weld
        420 repaired robot.r.jam
        420 task resume #1 A.weld
        480 task end #1 A.weld
        """
    )
    # repairing 170-210 and 380-420; off 210-240 only
    assert operators(ran) == {"tech 1": {"repairing": 80, "off": 30, "waiting: job": 490}}
    assert robots(ran) == {"r": {"working": 400, "down": 80, "waiting": 120}}
    # down 170-180, then off 180-210 with nothing in progress; the robot works on in the break from 210
    assert stations(ran) == {"A": {"working": 400, "down": 50, "off": 30, "starved": 120}}


def test_a_repair_that_has_not_begun_waits_for_the_technician() -> None:
    """A failure in the break waits until the technician is on duty again.

    Calendar failure every 200 s for 50 s: at 200, in the break; repaired 240-290.
    """
    ran = run(
        HOURS
        + """
        [run]
        calendar = "day"
        length = "400 s"
        [section.line]
        pacing = "free"
        stations = ["A"]
        [station.A.task.weld]
        time = "500 s"
        robot = "r"
        [robot.r.failure.power]
        every = "200 s"
        lasts = "50 s"
        per = "calendar"
        repaired_by = "tech"
        [crew.tech]
        people = 1
        """,
        jobs=1,
    )
    assert trace(ran, "fail", "repaired") == ["200 fail robot.r.power", "290 repaired robot.r.power"]
    assert operators(ran) == {"tech 1": {"waiting: job": 290, "off": 60, "repairing": 50}}
    assert stations(ran) == {"A": {"working": 310, "off": 40, "down": 50}}  # off 200-240, when nothing ran


def test_a_stop_pauses_for_the_break() -> None:
    """Minutes of a break are no stop, also where the section stood before and stands after it.

    J3 boards at 120 and needs 100 s: 120-180 and 240-280. Its limit falls on the beginning of the break; the
    section stands for it from 240, when working time begins again and the work goes on: 40 s of overrun.
    """
    ran = run(
        MOVING.replace('time = "50 s"', 'time = "50 s"\ntime_for = { long = "100 s" }\n')
        + '[run]\ncalendar = "day"\nlength = "300 s"\n[model.short]\n',
        jobs=["short", "short", "long"],
    )
    assert stops(ran) == {"A overrun": 40}
    assert trace(ran, "stop", "restart")[-2:] == ["240 stop A overrun", "280 restart line"]
    assert sections(ran) == {"line": {"running": 200, "off": 60, "stopped": 40}}
    assert int(np.sum(ran.ledger.stops)) == 1
