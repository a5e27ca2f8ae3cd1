"""Dispatch by hand: who is served first, and who is sent."""

from tests.lines import lines, operators, run, stations, trace

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
        section.line = "indexed: A"
        station.A.task.zebra = "2 s"
        station.A.task.apple = "5 s"
        crew.a = "1: A"
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
        section.first = "free: A"
        section.second = "free: B"
        station.A.places = 2
        station.A.task.work = "4 s"
        station.B.task.work = "3 s"
        crew.one = "1: A, B"
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


def test_a_task_of_two_can_wait_as_long_as_others_take_people_one_by_one() -> None:
    """Work of one person passes a task of two by as long as the two are never free at the same moment.

    Two people. A, two places, takes 2 s and one person a job, but 3 s for J2; so one of them is free at 2, 4,
    6 and the other at 3, 5, 7. The lift at B, furthest down and so the first to be asked for, is ready from 2
    and begins at 7, when no more jobs come to A.
    """
    ran = run(
        """
        flow = ["pre", "lane", "main"]
        model.j = {}
        model.slow = {}
        section.pre = "free: A"
        section.main = "free: B"
        buffer.lane = { capacity = 9 }
        station.A.places = 2
        station.A.task.fit = { time = "2 s", time_for = { slow = "3 s" } }
        station.B.task.lift = "1 s, 2 people"
        crew.c = "2: A, B"
        """,
        length="20 s",
        jobs=["j", "slow", "j", "j", "j", "j"],
    )
    assert trace(ran, "task start")[:8] == lines(
        """
        0 task start #1 A.fit by c 1
        0 task start #2 A.fit by c 2
        2 task start #3 A.fit by c 1
        3 task start #4 A.fit by c 2
        4 task start #5 A.fit by c 1
        5 task start #6 A.fit by c 2
        7 task start #1 B.lift by c 1, c 2
        8 task start #2 B.lift by c 1, c 2
        """
    )
    assert stations(ran)["B"] == {"working": 6, "waiting: crew": 5, "starved": 9}


def test_people_stay_with_their_job() -> None:
    """Of idle people the one who was last at the job is sent, else the first by number.

    Both stations of the indexed line are served by the same two. 0: J1 at A: one 1. 10: J1 at B (further
    down, first): one 1 again; J2 at A: one 2. 20: J2 at B: one 2; J3 at A: one 1.
    """
    ran = run(
        """
        section.line = "indexed: A, B"
        station.A.task.work = "5 s"
        station.B.task.work = "5 s"
        crew.one = "2: A, B"
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
