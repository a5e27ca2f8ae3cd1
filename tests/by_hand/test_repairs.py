"""Repairs by hand: technicians, and people who wait for what is repaired."""

from tests.lines import lines, operators, robots, run, stations, trace

TECHNICIANS = """
[section.cell]
pacing = "free"
stations = ["A", "B"]
[station.A.task.weld]
time = "10 s"
robot = "r"
[station.B.task.weld]
time = "10 s"
robot = "q"
[robot.r.failure.jam]
every = "6 s"
lasts = "5 s"
repaired_by = "tech"
[robot.q.failure.jam]
every = "7 s"
lasts = "4 s"
repaired_by = "tech"
[crew.tech]
people = 1
"""


def test_repairs_wait_for_a_technician() -> None:
    """One technician repairs one thing at a time; a second failure waits, and is down all the while.

    r: 0-6, repaired 6-11, 11-15 (J1 done; 2 s of running left), J2 15-17, fails at 17. q starts J1 at 15,
    runs 15-22, fails at 22: the technician is at r 17-22 and goes to q in that instant, 22-26. r runs
    22-28, fails at 28: free, 28-33.
    """
    ran = run(TECHNICIANS, length="34 s", jobs=3)
    assert trace(ran, "fail", "repaired") == lines(
        """
         6 fail robot.r.jam
        11 repaired robot.r.jam
        17 fail robot.r.jam
        22 repaired robot.r.jam
        22 fail robot.q.jam
        26 repaired robot.q.jam
        28 fail robot.r.jam
        33 repaired robot.r.jam
        """
    )
    assert operators(ran) == {"tech 1": {"repairing": 19, "waiting: job": 15}}


def test_a_failure_waits_for_its_technician() -> None:
    """A repair that cannot begin for want of people takes longer by just that.

    r: 0-6, repaired 6-15, 15-19; J2 19-21, fails at 21, repaired 21-30. q: J1 from 19, fails at 26, waits for
    the technician until 30, repaired at 34. r runs 30-36.
    """
    ran = run(TECHNICIANS.replace('lasts = "5 s"', 'lasts = "9 s"'), length="36 s", jobs=3)
    assert trace(ran, "fail", "repaired") == lines(
        """
         6 fail robot.r.jam
        15 repaired robot.r.jam
        21 fail robot.r.jam
        26 fail robot.q.jam
        30 repaired robot.r.jam
        34 repaired robot.q.jam
        """
    )
    assert robots(ran) == {
        "r": {"working": 18, "down": 18},
        "q": {"waiting": 19, "working": 9, "down": 8},
    }


def test_technicians_who_also_work_finish_their_task_first() -> None:
    """A technician who also works at a station is not called away from a task; repairs go first then.

    J1 at A 0-8, then at B, whose robot fails at 11. The fitter is on J2 until 16, then repairs, 16-20. B is
    done at 22; J2 moves up and J3 boards. The robot fails again 3 s of running later, 23.
    """
    ran = run(
        """
        section.cell = "free: A, B"
        station.A.task.fit = "8 s"
        station.B.task.weld = { time = "5 s", robot = "r" }
        robot.r = { failure = { jam = { every = "3 s", lasts = "4 s", repaired_by = "fitters" } } }
        crew.fitters = "1: A"
        """,
        length="24 s",
        jobs=3,
    )
    assert trace(ran, "task start", "task end", "task resume", "fail", "repaired") == lines(
        """
         0 task start #1 A.fit by fitters 1
         8 task end #1 A.fit by fitters 1
         8 task start #1 B.weld
         8 task start #2 A.fit by fitters 1
        11 fail robot.r.jam
        16 task end #2 A.fit by fitters 1
        20 repaired robot.r.jam
        20 task resume #1 B.weld
        22 task end #1 B.weld
        22 task start #2 B.weld
        22 task start #3 A.fit by fitters 1
        23 fail robot.r.jam
        """
    )
    assert operators(ran) == {"fitters 1": {"working": 18, "repairing": 4, "waiting: job": 2}}


def test_a_robot_that_fails_while_its_operator_walks() -> None:
    """A task whose robot fails on the operator's way begins paused, and goes on after the repair.

    Walk 3 s to the second job, at 10; the robot fails by the calendar at 12, for 4 s: 16.
    """
    ran = run(
        """
        section.line = "moving: A"
        station.A.task.load = { time = "2 s", robot = "r", people = 1 }
        robot.r = { failure = { power = { every = "12 s", lasts = "4 s", per = "calendar" } } }
        crew.a = { people = 1, covers = ["A"], walk = "3 s" }
        """,
        length="19 s",
        jobs=2,
    )
    assert trace(
        ran, "walk", "fail", "repaired", "task start", "task pause", "task resume", "task end"
    ) == lines(
        """
         0 task start #1 A.load by a 1
         2 task end #1 A.load by a 1
        10 walk #2 A.load by a 1
        12 fail robot.r.power
        13 task start #2 A.load by a 1
        13 task pause #2 A.load by a 1
        16 repaired robot.r.power
        16 task resume #2 A.load by a 1
        18 task end #2 A.load by a 1
        """
    )
    # the robot is taken from 10 on: down 12-16
    assert stations(ran) == {"A": {"working": 4, "spare": 9, "waiting: crew": 2, "down": 4}}
    assert operators(ran) == {"a 1": {"working": 4, "walking": 3, "waiting: tool": 3, "waiting: job": 9}}


def test_after_a_repair_people_go_to_work_that_waits() -> None:
    """Whoever has mended a robot begins at once what waits for them elsewhere, and has no way to go.

    J1: A 0-4, B 4-5. The robot fails at 6 and is mended by A's operator, 6-16; J2 comes to A at 8.
    """
    ran = run(
        """
        supply = { at_s = [0.0, 8.0] }
        section.cell = "free: A, B"
        station.A.task.fit = "4 s"
        station.B.task.weld = { time = "1 s", robot = "r", people = 0 }
        robot.r.failure.jam = { every = "6 s", per = "calendar", lasts = "10 s", repaired_by = "a" }
        crew.a = { people = 1, covers = ["A"], walk = "3 s" }
        """,
        length="20 s",
    )
    assert trace(ran, "walk", "task start", "fail", "repaired") == lines(
        """
         0 task start #1 A.fit by a 1
         4 task start #1 B.weld
         6 fail robot.r.jam
        16 repaired robot.r.jam
        16 task start #2 A.fit by a 1
        """
    )
