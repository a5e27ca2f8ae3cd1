"""Breakdowns by hand: what they count, what resumes, who repairs, and what each minute is called."""

from tests.lines import Ran, lines, operators, robots, run, sections, stations, stops, trace


def _robot_cell(failure: str, *, length: str = "40 s", jobs: int = 3, more: str = "") -> Ran:
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
        {more}
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
        [section.line]
        pacing = "indexed"
        stations = ["A"]
        [station.A.task.weld]
        time = "10 s"
        robot = "r"
        [robot.r.failure.jam]
        every = "15 s"
        lasts = "5 s"
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
        [section.line]
        pacing = "indexed"
        stations = ["A"]
        [station.A.task.weld]
        time = "10 s"
        robot = "r"
        [robot.r.failure.jam]
        every = "15 s"
        lasts = "8 s"
        per = "calendar"
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
        [section.cell]
        pacing = "free"
        stations = ["A"]
        [station.A.task.weld]
        time = "10 s"
        robot = ["r1", "r2"]
        [robot.r1.failure.jam]
        every = "4 s"
        lasts = "3 s"
        [robot.r2.failure.jam]
        every = "11 s"
        lasts = "3 s"
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


# Who repairs

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
        [section.cell]
        pacing = "free"
        stations = ["A", "B"]
        [station.A.task.fit]
        time = "8 s"
        [station.B.task.weld]
        time = "5 s"
        robot = "r"
        [robot.r.failure.jam]
        every = "3 s"
        lasts = "4 s"
        repaired_by = "fitters"
        [crew.fitters]
        people = 1
        covers = ["A"]
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


# Conveyors

CONVEYOR = """
[section.line]
pacing = "moving"
stations = ["A", "B"]
[section.line.failure.chain]
every = "15 s"
lasts = "4 s"
[station.A.task.fit]
time = "6 s"
people = 0
[station.B.task.fit]
time = "3 s"
people = 0
"""


def test_a_failed_conveyor_stops_the_section_and_work_goes_on() -> None:
    """While the chain is down work goes on, and marks come later by just that; who is done is down.

    Chain fails after 15 s of running: 15-19. Mark 10; J2 at A 10-16 goes on, J1 at B 10-13. Mark 24, when the
    chain has run 20 s. After 15 s of running more it fails at 34, where the next mark is due, too: a failure
    comes before a mark, and that is passed after the repair, at 38.
    """
    ran = run(CONVEYOR, length="40 s", jobs=2)
    assert trace(ran, "mark", "fail", "repaired", "stop", "restart", "task end") == lines(
        """
         0 mark line
         6 task end #1 A.fit
        10 mark line
        13 task end #1 B.fit
        15 fail section.line.failure.chain
        15 stop line breakdown
        16 task end #2 A.fit
        19 repaired section.line.failure.chain
        19 restart line
        24 mark line
        27 task end #2 B.fit
        34 fail section.line.failure.chain
        34 stop line breakdown
        38 repaired section.line.failure.chain
        38 mark line
        38 restart line
        """
    )
    assert stops(ran) == {"(line) breakdown": 8}
    assert sections(ran) == {"line": {"running": 32, "stopped": 8}}
    assert stations(ran) == {
        # J1 6, spare 4; J2 6, down 16-19, spare 19-24; empty 24-34, down 34-38, empty 38-40
        "A": {"working": 12, "spare": 9, "down": 7, "starved": 12},
        # empty 0-10; J1 3, spare 13-15, down 15-19, spare 19-24; J2 3, spare 27-34, down 4; empty 38-40
        "B": {"working": 6, "spare": 14, "down": 8, "starved": 12},
    }


def test_marks_are_counted_by_the_chain() -> None:
    """A conveyor that fails every so many jobs fails as that job leaves, just after the mark."""
    text = CONVEYOR.replace('every = "15 s"', 'every = 2\nper = "jobs"')
    ran = run(text, length="50 s", jobs=3)
    assert trace(ran, "mark", "fail", "leave", "repaired") == lines(
        """
         0 mark line
        10 mark line
        20 mark line
        20 leave #1 B
        30 mark line
        30 leave #2 B
        30 fail section.line.failure.chain
        34 repaired section.line.failure.chain
        44 mark line
        44 leave #3 B
        """
    )


def test_a_free_section_that_fails_passes_nothing_on() -> None:
    """A free section that fails as a whole hands nothing on and takes nothing; work goes on meanwhile.

    Fails after 7 s of running for 5 s: 7-12. A 0-6 J1; at 6 J1 to B (6-9), J2 at A 6-12. B is done at 9 and
    down until 12, when J1 leaves and J2 passes on.
    """
    ran = run(
        """
        [section.cell]
        pacing = "free"
        stations = ["A", "B"]
        [section.cell.failure.power]
        every = "7 s"
        lasts = "5 s"
        [station.A.task.fit]
        time = "6 s"
        people = 0
        [station.B.task.fit]
        time = "3 s"
        people = 0
        """,
        length="18 s",
        jobs=2,
    )
    assert trace(ran, "fail", "repaired", "leave", "task end") == lines(
        """
         6 task end #1 A.fit
         6 leave #1 A
         7 fail section.cell.failure.power
         9 task end #1 B.fit
        12 task end #2 A.fit
        12 repaired section.cell.failure.power
        12 leave #1 B
        12 leave #2 A
        15 task end #2 B.fit
        15 leave #2 B
        """
    )
    assert stops(ran) == {"(cell) breakdown": 5}
    assert stations(ran) == {
        "A": {"working": 12, "starved": 6},
        "B": {"starved": 9, "working": 6, "down": 3},  # starved 0-6, 15-18
    }


# Disturbances at a station


def test_a_disturbance_holds_work_not_begun() -> None:
    """While parts are missing nothing new begins, what runs goes on, and the stop has their word.

    Parts are missing 4-13 and 17-26. Two tasks of 6 s, takt 10: J1's one 0-6; two cannot begin until 13,
    13-19. Limit 10: stop for parts, 10-19. Mark 19: J2's one cannot begin until 26, and is in progress at
    the limit of 29: an overrun.
    """
    ran = run(
        """
        [section.line]
        pacing = "moving"
        stations = ["A"]
        [station.A.disturbance.parts]
        every = "4 s"
        lasts = "9 s"
        per = "calendar"
        [station.A.task]
        one = { time = "6 s" }
        two = { time = "6 s", after = ["one"] }
        [crew.a]
        people = 1
        covers = ["A"]
        """,
        length="30 s",
        jobs=2,
    )
    assert trace(ran, "mark", "fail", "repaired", "task start", "stop", "restart") == lines(
        """
         0 mark line
         0 task start #1 A.one by a 1
         4 fail station.A.parts
        10 stop A parts
        13 repaired station.A.parts
        13 task start #1 A.two by a 1
        17 fail station.A.parts
        19 mark line
        19 restart line
        26 repaired station.A.parts
        26 task start #2 A.one by a 1
        29 stop A overrun
        """
    )
    assert stations(ran) == {"A": {"working": 16, "waiting: parts": 14}}
    assert stops(ran) == {"A parts": 9, "A overrun": 1}


def test_a_disturbance_by_jobs() -> None:
    """Kits that run out every two jobs are missing after the second job is done."""
    ran = run(
        """
        [section.line]
        pacing = "moving"
        stations = ["A"]
        [station.A.disturbance.kit]
        every = 2
        per = "jobs"
        lasts = "7 s"
        [station.A.task.fit]
        time = "4 s"
        people = 0
        """,
        length="45 s",
        jobs=4,
    )
    # J2 is done at 14; the kit is missing 14-21: J3 begins at 21. J4 is done at 34.
    assert trace(ran, "fail", "repaired", "task start") == lines(
        """
         0 task start #1 A.fit
        10 task start #2 A.fit
        14 fail station.A.kit
        21 repaired station.A.kit
        21 task start #3 A.fit
        30 task start #4 A.fit
        34 fail station.A.kit
        41 repaired station.A.kit
        """
    )
    assert stations(ran) == {"A": {"working": 16, "spare": 23, "waiting: kit": 1, "starved": 5}}


# Which stop has the minutes


def test_the_cause_that_began_keeps_the_minutes_until_it_clears() -> None:
    """A breakdown during an overrun waits its turn; when the overrun is over it has what is left.

    B overruns 20-26; the chain fails by the calendar at 22 for 8 s: 26-30 is the breakdown's.
    A, done, is stopped 20-26 and down 26-30, as the minutes are booked; B works until 26 and is down then.
    """
    ran = run(
        """
        [section.line]
        pacing = "moving"
        stations = ["A", "B"]
        [section.line.failure.chain]
        every = "22 s"
        lasts = "8 s"
        per = "calendar"
        [station.A.task.fit]
        time = "2 s"
        people = 0
        [station.B.task.fit]
        time = "16 s"
        people = 0
        """,
        length="32 s",
        jobs=2,
    )
    assert trace(ran, "stop", "restart") == lines(
        """
        20 stop B overrun
        26 stop line breakdown
        30 restart line
        """
    )
    assert stops(ran) == {"B overrun": 6, "(line) breakdown": 4}
    assert stations(ran) == {
        "A": {"working": 4, "spare": 16, "stopped": 6, "down": 4, "starved": 2},  # spare 2-10, 12-20
        "B": {"working": 18, "starved": 10, "down": 4},
    }


def test_a_breakdown_that_began_keeps_the_minutes() -> None:
    """An overrun during a breakdown has the minutes only after the repair.

    The chain fails at conveyor clock 18 for 5 s: 18-23. B needs 14 s from 10: done at 24; its limit, clock
    20, comes at 25: no overrun at all. With 17 s it overruns 25-27.
    """
    text = """
        [section.line]
        pacing = "moving"
        stations = ["A", "B"]
        [section.line.failure.chain]
        every = "18 s"
        lasts = "5 s"
        [station.B.task.fit]
        time = "14 s"
        people = 0
        """
    assert stops(run(text, length="28 s", jobs=1)) == {"(line) breakdown": 5}
    assert stops(run(text.replace("14 s", "17 s"), length="28 s", jobs=1)) == {
        "(line) breakdown": 5,
        "B overrun": 2,
    }


def test_a_stop_for_a_robot_that_is_down_is_a_breakdown() -> None:
    """A station that stands at its limit because its robot is down stops the section as a breakdown.

    The robot runs 0-6, is down 6-13, and has 2 s left: stop 10-15, all of it the breakdown's.
    """
    ran = run(
        """
        [section.line]
        pacing = "moving"
        stations = ["A"]
        [station.A.task.weld]
        time = "8 s"
        robot = "r"
        [robot.r.failure.jam]
        every = "6 s"
        lasts = "7 s"
        """,
        length="17 s",
        jobs=1,
    )
    assert stops(ran) == {"A breakdown": 5}
    assert stations(ran) == {"A": {"working": 8, "down": 7, "starved": 2}}


def test_a_robot_that_fails_while_its_operator_walks() -> None:
    """A task whose robot fails on the operator's way begins paused, and goes on after the repair.

    Walk 3 s to the second job, at 10; the robot fails by the calendar at 12, for 4 s: 16.
    """
    ran = run(
        """
        [section.line]
        pacing = "moving"
        stations = ["A"]
        [station.A.task.load]
        time = "2 s"
        robot = "r"
        people = 1
        [robot.r.failure.power]
        every = "12 s"
        lasts = "4 s"
        per = "calendar"
        [crew.a]
        people = 1
        covers = ["A"]
        walk = "3 s"
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
