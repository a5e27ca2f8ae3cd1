"""Walking by hand, and what idle people wait for."""

from tests.lines import lines, operators, run, stations, stops, trace


def test_turning_to_another_job_takes_a_walk() -> None:
    """Who turns to another job first walks; the next task on the same job needs none, nor the very first.

    Walk 2 s. A has two tasks of 3 s. J1: 0-3, 3-6. J2 at 10: walk 10-12, 12-15, 15-18.
    """
    ran = run(
        """
        section.line = "moving: A"
        station.A.task.one = "3 s"
        station.A.task.two = "3 s"
        crew.a = { people = 1, covers = ["A"], walk = "2 s" }
        """,
        length="20 s",
        jobs=2,
    )
    assert trace(ran, "walk", "task start", "task end") == lines(
        """
         0 task start #1 A.one by a 1
         3 task end #1 A.one by a 1
         3 task start #1 A.two by a 1
         6 task end #1 A.two by a 1
        10 walk #2 A.one by a 1
        12 task start #2 A.one by a 1
        15 task end #2 A.one by a 1
        15 task start #2 A.two by a 1
        18 task end #2 A.two by a 1
        """
    )
    assert operators(ran) == {"a 1": {"working": 12, "walking": 2, "waiting: job": 6}}
    assert stations(ran) == {"A": {"working": 12, "waiting: crew": 2, "spare": 6}}


def test_the_last_to_arrive_starts_the_task() -> None:
    """Two people who come from different jobs start together, when the one who walks is there.

    Crew `near` walks 1 s, `far` 3 s. J1 at 0; J2 at 10: the task of two starts at 13. Both are walking until
    then, whoever is there first.
    """
    ran = run(
        """
        section.line = "moving: A"
        station.A.task.lift = "4 s, 2 people"
        crew.near = { people = 1, covers = ["A"], walk = "1 s" }
        crew.far = { people = 1, covers = ["A"], walk = "3 s" }
        """,
        length="20 s",
        jobs=2,
    )
    assert trace(ran, "walk", "task start") == lines(
        """
         0 task start #1 A.lift by near 1, far 1
        10 walk #2 A.lift by near 1, far 1
        13 task start #2 A.lift by near 1, far 1
        """
    )
    assert operators(ran) == {
        "near 1": {"working": 8, "walking": 3, "waiting: job": 9},
        "far 1": {"working": 8, "walking": 3, "waiting: job": 9},
    }


def test_walking_speed_closes_the_gap_to_the_next_job() -> None:
    """An operator at three times the conveyor's speed walks towards a job that comes nearer: a gap / 4.

    Takt 20. J1 0-20 at A (it has drifted 20); J2 entered at 20, its place is 0: the gap is 20, closed at 3
    + 1: 5 s. J2 25-45, when it is 25 past the border and J3 5: the gap is 20 again, 5 s: 50.
    """
    ran = run(
        """
        takt = "20 s"
        section.line = "moving: A, rest"
        station.A.late = 1.0
        station.A.task.work = "20 s"
        crew.a = { people = 1, covers = ["A"], walk_speed = 3.0 }
        """,
        length="52 s",
        jobs=3,
    )
    assert trace(ran, "walk", "task start", "task end") == lines(
        """
         0 task start #1 A.work by a 1
        20 task end #1 A.work by a 1
        20 walk #2 A.work by a 1
        25 task start #2 A.work by a 1
        45 task end #2 A.work by a 1
        45 walk #3 A.work by a 1
        50 task start #3 A.work by a 1
        """
    )


def test_who_waited_has_walked_back_already() -> None:
    """While idle the operator walks back to meet the next job; the part walked is not walked again.

    Takt 20, speed 2. J1 0-16: 16 down. Until 20 the operator walks back 8; at 20 J2 is at 0, the gap left 8,
    closed at 3: 2.667 s. With work of 10 s, 20 s were enough for the way: no walk at all.
    """
    text = """
        takt = "20 s"
        [section.line]
        pacing = "moving"
        stations = ["A"]
        [station.A.task.work]
        time = "16 s"
        [crew.a]
        people = 1
        covers = ["A"]
        walk_speed = 2.0
        """
    ran = run(text, length="30 s", jobs=2)
    assert trace(ran, "walk", "task start")[1:] == lines(
        """
        20 walk #2 A.work by a 1
        22.667 task start #2 A.work by a 1
        """
    )
    ran = run(text.replace("16 s", "10 s"), length="30 s", jobs=2)
    assert trace(ran, "walk", "task start")[1:] == ["20 task start #2 A.work by a 1"]


def test_a_unit_and_a_job_of_one_number_are_two_places() -> None:
    """Who turns from a feeder's unit to the job of the same number walks, too: they are two things.

    F: unit 1 0-4. It joins job 1, which boards at 10; a walk of 2 s, then 12-15.
    """
    ran = run(
        """
        flow = ["line"]
        section.line = "moving: A"
        section.side = "free: F"
        buffer.hook = { capacity = 1 }
        feeder.axle = { flow = ["side", "hook"], joins = "line" }
        station.A.task.fit = "3 s"
        station.F.task.build = "4 s"
        crew.both = { people = 1, covers = ["A", "F"], walk = "2 s" }
        """,
        length="15 s",
        jobs=1,
    )
    assert trace(ran, "walk", "task start") == lines(
        """
         0 task start #1 F.build by both 1
        10 walk #1 A.fit by both 1
        12 task start #1 A.fit by both 1
        """
    )


def test_what_idle_people_wait_for() -> None:
    """An idle operator waits for a job, for a tool, for room, for earlier work, or for the line to go on.

    Takt 20; the crew `a` covers A, `b` covers B, two places of one section; each job has at A a task that is
    done by itself (0-5) before the operator's (5-9); B's job needs the gun that a by-itself task holds 20-26,
    then takes 20 s: 26-46, six too long, while A's operator waits for the line.
    """
    ran = run(
        """
        takt = "20 s"
        section.line = "moving: A, B"
        tool.gun = {}
        station.A.task.cure = "5 s, nobody"
        station.A.task.fit = { time = "4 s", after = ["cure"] }
        station.B.task.press = { time = "6 s", people = 0, tool = "gun" }
        station.B.task.bolt = { time = "20 s", tool = "gun" }
        crew.a = "1: A"
        crew.b = "1: B"
        """,
        length="47 s",
        jobs=2,
    )
    assert operators(ran) == {
        # 0-5 and 20-25 earlier work, 5-9 and 25-29 at work, 40-46 the line stands
        "a 1": {"waiting: earlier work": 10, "working": 8, "waiting: line stop": 6, "waiting: job": 23},
        # 20-26 the gun, 26-46 at work, 46-47 J2's gun
        "b 1": {"waiting: tool": 7, "working": 20, "waiting: job": 20},
    }
    assert stops(ran) == {"B overrun": 6}


def test_nobody_knows_the_way_between_two_conveyors() -> None:
    """With a walking speed, the way to another section counts as none: nothing says how far it is.

    J1 at B 10-13, where the operator was on this job before; then J2 at A, on the other section, 13-16.
    """
    ran = run(
        """
        section.first = "moving: A"
        section.second = "moving: B"
        station.A.task.fit = "3 s"
        station.B.task.fit = "3 s"
        crew.c = { people = 1, covers = ["A", "B"], walk_speed = 2.0 }
        """,
        length="19 s",
        jobs=2,
    )
    assert trace(ran, "walk", "task start", "task end") == lines(
        """
         0 task start #1 A.fit by c 1
         3 task end #1 A.fit by c 1
        10 task start #1 B.fit by c 1
        13 task end #1 B.fit by c 1
        13 task start #2 A.fit by c 1
        16 task end #2 A.fit by c 1
        """
    )
    assert operators(ran) == {"c 1": {"working": 9, "waiting: job": 10}}
