"""Robots that fail, by hand: what their failures count, and what resumes."""

from tests.lines import Ran, lines, robots, run, stations, trace


def _robot_cell(failure: str, *, length: str = "40 s", jobs: int = 3) -> Ran:
    """Return a free station of 10 s by a robot with the given ways to fail."""
    return run(
        f"""
        [section.cell]
        pacing = "free"
        stations = ["A"]
        [station.A.task.weld]
        time = "10 s"
        robot = "r"
        [robot.r]
        {failure}
        """,
        length=length,
        jobs=jobs,
    )


def test_a_failing_robot_resumes_where_it_stopped() -> None:
    """After a repair the task goes on from where it stood, and running time goes on counting from there.

    Fails after every 6 s of running, for 5 s. J1: 0-6, down 6-11, 11-15 (the next failure is 2 s of running
    away). J2: 15-17, down 17-22, 22-28, down 28-33, 33-35. J3: 35-39, down 39-.
    """
    ran = _robot_cell('[robot.r.failure.jam]\nevery = "6 s"\nlasts = "5 s"')
    assert trace(ran) == lines(
        """
         0 line-on #1
         0 enter #1 A
         0 task start #1 A.weld
         6 fail robot.r.jam
         6 task pause #1 A.weld
        11 repaired robot.r.jam
        11 task resume #1 A.weld
        15 task end #1 A.weld
        15 leave #1 A
        15 line-off #1
        15 line-on #2
        15 enter #2 A
        15 task start #2 A.weld
        17 fail robot.r.jam
        17 task pause #2 A.weld
        22 repaired robot.r.jam
        22 task resume #2 A.weld
        28 fail robot.r.jam
        28 task pause #2 A.weld
        33 repaired robot.r.jam
        33 task resume #2 A.weld
        35 task end #2 A.weld
        35 leave #2 A
        35 line-off #2
        35 line-on #3
        35 enter #3 A
        35 task start #3 A.weld
        39 fail robot.r.jam
        39 task pause #3 A.weld
        """
    )
    assert robots(ran) == {"r": {"working": 24, "down": 16}}
    assert stations(ran) == {"A": {"working": 24, "down": 16}}


def test_running_time_stands_while_the_robot_idles() -> None:
    """A mode that counts running time counts nothing while its robot has no work.

    Takt 20, 10 s of work a job, fails after 15 s of running: 10 s in the first pitch, at 25 in the second.
    """
    ran = run(
        """
        takt = "20 s"
        section.line = "indexed: A"
        station.A.task.weld = { time = "10 s", robot = "r" }
        robot.r = { failure = { jam = { every = "15 s", lasts = "5 s" } } }
        """,
        length="50 s",
        jobs=2,
    )
    assert trace(ran, "fail", "repaired", "task end") == lines(
        """
        10 task end #1 A.weld
        25 fail robot.r.jam
        30 repaired robot.r.jam
        35 task end #2 A.weld
        """
    )
    assert robots(ran) == {"r": {"working": 20, "down": 5, "waiting": 25}}
    assert stations(ran) == {"A": {"working": 20, "down": 5, "spare": 15, "starved": 10}}


def test_calendar_time_counts_while_the_robot_idles() -> None:
    """A mode that counts all time strikes an idle robot too; the next job finds it down.

    Every 15 s, for 8 s: down 15-23, then 38-46. Takt 20: J2 boards at 20 and starts at 23.
    """
    ran = run(
        """
        takt = "20 s"
        section.line = "indexed: A"
        station.A.task.weld = { time = "10 s", robot = "r" }
        robot.r = { failure = { jam = { every = "15 s", lasts = "8 s", per = "calendar" } } }
        """,
        length="50 s",
        jobs=2,
    )
    assert trace(ran, "fail", "repaired", "task start", "task end") == lines(
        """
         0 task start #1 A.weld
        10 task end #1 A.weld
        15 fail robot.r.jam
        23 repaired robot.r.jam
        23 task start #2 A.weld
        33 task end #2 A.weld
        38 fail robot.r.jam
        46 repaired robot.r.jam
        """
    )
    assert robots(ran) == {"r": {"working": 20, "down": 16, "waiting": 14}}
    assert stations(ran) == {"A": {"working": 20, "down": 3, "spare": 17, "starved": 10}}


def test_a_mode_that_counts_jobs() -> None:
    """A mode that counts jobs strikes as the n-th task ends, and counts anew from there.

    Every 2 jobs, 4 s: J1 0-10, J2 10-20, down 20-24, J3 24-34.
    """
    ran = _robot_cell('[robot.r.failure.tip]\nevery = 2\nlasts = "4 s"\nper = "jobs"', jobs=5, length="60 s")
    assert trace(ran, "fail", "repaired", "task start") == lines(
        """
         0 task start #1 A.weld
        10 task start #2 A.weld
        20 fail robot.r.tip
        24 repaired robot.r.tip
        24 task start #3 A.weld
        34 task start #4 A.weld
        44 fail robot.r.tip
        48 repaired robot.r.tip
        48 task start #5 A.weld
        """
    )
    assert stations(ran) == {"A": {"working": 50, "down": 8, "starved": 2}}


def test_two_ways_to_fail_at_once() -> None:
    """A robot with two ways to fail is down until both are repaired; a mode at rest counts nothing.

    Jam after 4 s of running, for 6 s; power by the calendar at 6 for 10 s. Down 4-16 (jam 4-10, power 6-16);
    the task goes on at 16 with 6 s left: the jam counts again from 16, strikes at 20, until 26. Power again
    at 16 + 6 = 22, until 32: down 20-32; then 32-34, done.
    """
    ran = _robot_cell(
        """
        [robot.r.failure.jam]
        every = "4 s"
        lasts = "6 s"
        [robot.r.failure.power]
        every = "6 s"
        lasts = "10 s"
        per = "calendar"
        """,
        jobs=1,
        length="36 s",
    )
    assert trace(ran, "fail", "repaired", "task pause", "task resume", "task end") == lines(
        """
         4 fail robot.r.jam
         4 task pause #1 A.weld
         6 fail robot.r.power
        10 repaired robot.r.jam
        16 repaired robot.r.power
        16 task resume #1 A.weld
        20 fail robot.r.jam
        20 task pause #1 A.weld
        22 fail robot.r.power
        26 repaired robot.r.jam
        32 repaired robot.r.power
        32 task resume #1 A.weld
        34 task end #1 A.weld
        """
    )
    assert robots(ran) == {"r": {"working": 10, "down": 24, "waiting": 2}}


def test_one_of_two_robots_pauses_the_other() -> None:
    """A task of two robots pauses while one of them is down; the other waits with it and does not age.

    r1 fails after 4 s of running, for 3 s. Both 0-4, r1 down 4-7, both 7-11, r1 down 11-14, both 14-16.
    """
    ran = run(
        """
        section.cell = "free: A"
        station.A.task.weld = { time = "10 s", robot = ["r1", "r2"] }
        robot.r1 = { failure = { jam = { every = "4 s", lasts = "3 s" } } }
        robot.r2 = { failure = { jam = { every = "11 s", lasts = "3 s" } } }
        """,
        length="20 s",
        jobs=1,
    )
    assert robots(ran) == {
        "r1": {"working": 10, "down": 6, "waiting": 4},
        "r2": {"working": 10, "waiting": 10},  # 10 s of running: its own failure was not due
    }
    assert stations(ran) == {"A": {"working": 10, "down": 6, "starved": 4}}


def test_a_failure_at_the_end_of_a_task_meets_the_next_one() -> None:
    """A failure due in the instant in which a task ends spares it and strikes as the next begins."""
    ran = _robot_cell('[robot.r.failure.jam]\nevery = "10 s"\nlasts = "5 s"', jobs=2, length="27 s")
    assert trace(ran, "task start", "task end", "fail", "repaired", "task resume") == lines(
        """
         0 task start #1 A.weld
        10 task end #1 A.weld
        10 task start #2 A.weld
        10 fail robot.r.jam
        15 repaired robot.r.jam
        15 task resume #2 A.weld
        25 task end #2 A.weld
        """
    )
