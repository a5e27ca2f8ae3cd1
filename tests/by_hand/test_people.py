"""Crews by hand: who is sent where, who walks how far, and what people wait for."""

from tests.lines import lines, operators, run, stations, stops, trace

# Who is served first

#: Two stations, one operator; takt 20 s, no limit reached.
SHARED = """
takt = "20 s"
[section.line]
pacing = "moving"
stations = ["A", "B", "C"]
[station.A.task.work]
time = "6 s"
[station.B.task.work]
time = "5 s"
[crew.both]
people = 1
covers = ["A", "B"]
"""


def test_the_station_further_down_is_served_first() -> None:
    """At equal time to the limit the operator goes to the station further down the line."""
    ran = run(SHARED, length="45 s", jobs=2)
    assert trace(ran, "task start", "task end") == lines(
        """
         0 task start #1 A.work by both 1
         6 task end #1 A.work by both 1
        20 task start #1 B.work by both 1
        25 task end #1 B.work by both 1
        25 task start #2 A.work by both 1
        31 task end #2 A.work by both 1
        40 task start #2 B.work by both 1
        """
    )
    assert stations(ran)["A"] == {"working": 12, "waiting: crew": 5, "spare": 23, "starved": 5}
    assert operators(ran) == {"both 1": {"working": 22, "waiting: job": 23}}


def test_the_station_nearest_its_limit_is_served_first() -> None:
    """A station that reaches late has more time left and waits, although it stands further down.

    At 20 A (limit 40) and B (late by half a takt: limit 50) both want the operator: A first.
    """
    ran = run(SHARED + "[station.B]\nlate = 0.5\n", length="45 s", jobs=2)
    assert trace(ran, "task start")[1:] == lines(
        """
        20 task start #2 A.work by both 1
        26 task start #1 B.work by both 1
        40 task start #2 B.work by both 1
        """
    )


def test_tasks_of_one_station_are_served_in_file_order() -> None:
    """Two ready tasks at one station go in the order of the file, whatever their names and times."""
    ran = run(
        """
        [section.line]
        pacing = "indexed"
        stations = ["A"]
        [station.A.task]
        zebra = { time = "2 s" }
        apple = { time = "5 s" }
        [crew.a]
        people = 1
        covers = ["A"]
        """,
        length="9 s",
        jobs=1,
    )
    assert trace(ran, "task start") == ["0 task start #1 A.zebra by a 1", "2 task start #1 A.apple by a 1"]


def test_in_free_sections_the_station_further_down_and_the_older_job_are_first() -> None:
    """Without limits the operator goes downstream first, and at one station to the older job.

    A has two stalls. 0: J1 at A. 4: J1 to B, J3 boards; B is further down: J1 at B 4-7; then J2 4... A's J2
    and J3 wait; the operator takes the older, J2, at 7-11, then B again (J2, 11-14), then J3.
    """
    ran = run(
        """
        [section.first]
        pacing = "free"
        stations = ["A"]
        [section.second]
        pacing = "free"
        stations = ["B"]
        [station.A]
        places = 2
        [station.A.task.work]
        time = "4 s"
        [station.B.task.work]
        time = "3 s"
        [crew.one]
        people = 1
        covers = ["A", "B"]
        """,
        length="25 s",
        jobs=3,
    )
    assert trace(ran, "task start") == lines(
        """
         0 task start #1 A.work by one 1
         4 task start #1 B.work by one 1
         7 task start #2 A.work by one 1
        11 task start #2 B.work by one 1
        14 task start #3 A.work by one 1
        18 task start #3 B.work by one 1
        """
    )


# Several people, several crews

TWO_CREWS = """
[section.line]
pacing = "moving"
stations = ["A"]
[station.A.task.lift]
time = "4 s"
people = 2
[station.A.task.plug]
time = "3 s"
crew = ["skilled"]
[station.A.task.sweep]
time = "2 s"
crew = ["helper", "skilled"]
[crew.skilled]
people = 1
covers = ["A"]
[crew.helper]
people = 1
covers = ["A"]
"""


def test_a_task_of_two_takes_them_together() -> None:
    """A task of two people starts when both are free together; skills say who may do what.

    0: the lift takes both, 0-4. At 4 the plug takes the skilled one (4-7), the sweep the helper (4-6).
    """
    ran = run(TWO_CREWS, length="9 s", jobs=1)
    assert trace(ran, "task start", "task end") == lines(
        """
        0 task start #1 A.lift by skilled 1, helper 1
        4 task end #1 A.lift by skilled 1, helper 1
        4 task start #1 A.plug by skilled 1
        4 task start #1 A.sweep by helper 1
        6 task end #1 A.sweep by helper 1
        7 task end #1 A.plug by skilled 1
        """
    )
    assert operators(ran) == {
        "skilled 1": {"working": 7, "waiting: job": 2},
        # from 6 to 7 work is open at its station, but not for it
        "helper 1": {"working": 6, "waiting: job": 2, "waiting: earlier work": 1},
    }


def test_a_task_of_two_does_not_reserve_one() -> None:
    """While one of two is busy, a task of two waits without holding the other, who does what needs one.

    The plug comes first in the file: 0-3 by the skilled one. The lift needs both; the sweep takes the helper
    0-2. Lift 3-7.
    """
    text = TWO_CREWS.replace("[station.A.task.lift]", "[station.A.task.zz]").replace(
        '[station.A.task.plug]\ntime = "3 s"\ncrew = ["skilled"]\n', ""
    )
    text = text.replace(
        "[station.A.task.zz]",
        '[station.A.task.plug]\ntime = "3 s"\ncrew = ["skilled"]\n[station.A.task.lift]',
    )
    ran = run(text, length="9 s", jobs=1)
    assert trace(ran, "task start") == lines(
        """
        0 task start #1 A.plug by skilled 1
        0 task start #1 A.sweep by helper 1
        3 task start #1 A.lift by skilled 1, helper 1
        """
    )
    assert operators(ran)["helper 1"] == {"working": 6, "waiting: earlier work": 1, "waiting: job": 2}


def test_people_stay_with_their_job() -> None:
    """Of idle people the one who was last at the job is sent, else the first by number.

    Both stations of the indexed line are served by the same two. 0: J1 at A: one 1. 10: J1 at B (further
    down, first): one 1 again; J2 at A: one 2. 20: J2 at B: one 2; J3 at A: one 1.
    """
    ran = run(
        """
        [section.line]
        pacing = "indexed"
        stations = ["A", "B"]
        [station.A.task.work]
        time = "5 s"
        [station.B.task.work]
        time = "5 s"
        [crew.one]
        people = 2
        covers = ["A", "B"]
        """,
        length="26 s",
        jobs=3,
    )
    assert trace(ran, "task start") == lines(
        """
         0 task start #1 A.work by one 1
        10 task start #1 B.work by one 1
        10 task start #2 A.work by one 2
        20 task start #2 B.work by one 2
        20 task start #3 A.work by one 1
        """
    )


# Walking


def test_turning_to_another_job_takes_a_walk() -> None:
    """Who turns to another job first walks; the next task on the same job needs none, nor the very first.

    Walk 2 s. A has two tasks of 3 s. J1: 0-3, 3-6. J2 at 10: walk 10-12, 12-15, 15-18.
    """
    ran = run(
        """
        [section.line]
        pacing = "moving"
        stations = ["A"]
        [station.A.task]
        one = { time = "3 s" }
        two = { time = "3 s" }
        [crew.a]
        people = 1
        covers = ["A"]
        walk = "2 s"
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
        [section.line]
        pacing = "moving"
        stations = ["A"]
        [station.A.task]
        lift = { time = "4 s", people = 2 }
        [crew.near]
        people = 1
        covers = ["A"]
        walk = "1 s"
        [crew.far]
        people = 1
        covers = ["A"]
        walk = "3 s"
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
        [section.line]
        pacing = "moving"
        stations = ["A", "rest"]
        [station.A]
        late = 1.0
        [station.A.task.work]
        time = "20 s"
        [crew.a]
        people = 1
        covers = ["A"]
        walk_speed = 3.0
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


# What people wait for


def test_what_idle_people_wait_for() -> None:
    """An idle operator waits for a job, for a tool, for room, for earlier work, or for the line to go on.

    Takt 20; the crew `a` covers A, `b` covers B, two places of one section; each job has at A a task that is
    done by itself (0-5) before the operator's (5-9); B's job needs the gun that a by-itself task holds 20-26,
    then takes 20 s: 26-46, six too long, while A's operator waits for the line.
    """
    ran = run(
        """
        takt = "20 s"
        [section.line]
        pacing = "moving"
        stations = ["A", "B"]
        [tool.gun]
        [station.A.task]
        cure = { time = "5 s", people = 0 }
        fit = { time = "4 s", after = ["cure"] }
        [station.B.task]
        press = { time = "6 s", people = 0, tool = "gun" }
        bolt = { time = "20 s", tool = "gun" }
        [crew.a]
        people = 1
        covers = ["A"]
        [crew.b]
        people = 1
        covers = ["B"]
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
