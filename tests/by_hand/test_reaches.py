"""Reaches by hand: work past the border, and before it."""

from tests.lines import counts, lines, paced, run, run_tables, stations, stops, trace

LATE = """
model.quick = {}
model.slow = {}
model.slower = {}
section.line = "moving: A, B, rest"
station.A.late = 0.5
station.A.task.work = { time = "1 s", time_for = { slow = "13 s", slower = "17 s" } }
station.B.task.work = "4 s, nobody"
crew.a = "1: A"
"""


def test_a_late_reach_lets_work_go_on_past_the_border() -> None:
    """A crew that reaches half a takt past its border may finish there; the next job waits for it.

    Slow at A from 0 to 13 (limit 15). The next job enters at 10 and waits for the operator until 13: A is
    working until 13, and then on the next one, 13 to 14.
    """
    ran = run(LATE, length="29 s", jobs=["slow", "quick"])
    assert trace(ran, "enter", "task start", "task end", "stop") == lines(
        """
         0 enter #1 A
         0 task start #1 A.work by a 1
        10 enter #1 B
        10 enter #2 A
        10 task start #1 B.work
        13 task end #1 A.work by a 1
        13 task start #2 A.work by a 1
        14 task end #2 A.work by a 1
        14 task end #1 B.work
        20 enter #1 rest
        20 enter #2 B
        20 task start #2 B.work
        24 task end #2 B.work
        """
    )
    assert stations(ran)["A"] == {"working": 14, "spare": 6, "starved": 9}
    assert counts(ran, "overruns") == {}


def test_a_late_reach_has_a_limit_too() -> None:
    """At the late limit the section stands, wherever the mark is, and conveyor time stands with it.

    Slower at A from 0 to 17, limit 15: the section stands 15 to 17; the mark of 20 comes at 22.
    """
    ran = run(LATE, length="29 s", jobs=["slower", "quick"])
    assert trace(ran, "mark", "stop", "restart", "task end") == lines(
        """
         0 mark line
        10 mark line
        14 task end #1 B.work
        15 stop A overrun
        17 task end #1 A.work by a 1
        17 restart line
        18 task end #2 A.work by a 1
        22 mark line
        26 task end #2 B.work
        """
    )
    assert stations(ran)["A"] == {"working": 18, "spare": 4, "starved": 7}
    assert stations(ran)["B"] == {
        "working": 8,
        "spare": 9,
        "stopped": 2,
        "starved": 10,
    }  # spare 14-15, 17-22, 26-29
    assert counts(ran, "overload") == {"A": 2000}


def test_a_reach_of_a_whole_takt_meets_its_limit_once() -> None:
    """A limit that falls on a mark is met once: one overrun, and its work left counted once.

    late = 1: limit 20, which is a mark. Work of 23 s stops the section from 20 to 23.
    """
    raw = paced([(23, 0, 0)], takt=10, length=60)
    raw["station"]["S1"]["late"] = 1.0
    ran = run_tables(raw)
    assert (counts(ran, "overruns"), counts(ran, "overload")) == ({"S1": 1}, {"S1": 3000})
    assert stops(ran) == {"S1 overrun": 3}
    assert trace(ran, "mark", "stop") == lines(
        """
         0 mark line
        10 mark line
        20 stop S1 overrun
        23 mark line
        33 mark line
        43 mark line
        53 mark line
        """
    )


EARLY = """
section.line = "moving: A, B"
station.A.task.work = "3 s, nobody"
station.B.early = 0.4
station.B.task.work = "13 s"
crew.b = "1: B"
"""


def test_an_early_reach_begins_before_the_border() -> None:
    """A crew that reaches 0.4 of a takt upstream begins 4 s before the border and keeps its limit.

    J1 is within reach of B at 6, works until 19 (limit 20). J2 is within reach at 16, but the operator is
    busy until 19: 19 to 32, two seconds over its limit of 30. J3 comes within reach at conveyor clock 26 = 26
    s, begins at 32, is due at clock 40 = 42 s and works until 45: three more.
    """
    ran = run(EARLY, length="50 s", jobs=3)
    assert trace(ran, "mark", "task start", "task end", "stop", "restart") == lines(
        """
         0 mark line
         0 task start #1 A.work
         3 task end #1 A.work
         6 task start #1 B.work by b 1
        10 mark line
        10 task start #2 A.work
        13 task end #2 A.work
        19 task end #1 B.work by b 1
        19 task start #2 B.work by b 1
        20 mark line
        20 task start #3 A.work
        23 task end #3 A.work
        30 stop B overrun
        32 task end #2 B.work by b 1
        32 mark line
        32 task start #3 B.work by b 1
        32 restart line
        42 stop B overrun
        45 task end #3 B.work by b 1
        45 mark line
        45 restart line
        """
    )
    assert stations(ran) == {
        # Three times 3 s of work and 7 s spare; stopped 30-32 with its job done, and 42-45 with none.
        "A": {"working": 9, "spare": 21, "stopped": 5, "starved": 15},
        "B": {"working": 39, "starved": 11},  # nothing in reach before 6 and after 45
    }
    assert stops(ran) == {"B overrun": 5}


def test_a_task_waits_for_the_last_of_two_at_another_station() -> None:
    """A task in reach that comes after two of the station before begins as the second of them ends, at 5."""
    ran = run(
        """
        section.line = "moving: A, B"
        station.B.early = 1.0
        station.B.task.join = { time = "2 s", people = 0, after = ["A.left", "A.right"] }
        station.A.task.left = "3 s, nobody"
        station.A.task.right = "5 s, nobody"
        """,
        length="12 s",
        jobs=1,
    )
    assert trace(ran, "task start", "task end") == lines(
        """
         0 task start #1 A.left
         0 task start #1 A.right
         3 task end #1 A.left
         5 task end #1 A.right
         5 task start #1 B.join
         7 task end #1 B.join
        """
    )


def test_a_reach_of_a_whole_takt_is_open_in_the_instant_of_the_mark() -> None:
    """Work within reach at a mark stands in line at that mark: the nearer limit is served first.

    Takt 60, one operator for both. J1 enters K1 at 0, where its limit is 150 (late 1.5); K2 (early 1.0)
    reaches it in the same instant, and its limit there is 120.
    """
    ran = run(
        """
        takt = "60 s"
        section.line = "moving: K1, K2, rest, end"
        station.K1.late = 1.5
        station.K1.task.one = "20 s"
        station.K2.early = 1.0
        station.K2.task.two = "20 s"
        crew.both = "1: K1, K2"
        """,
        length="60 s",
        jobs=1,
    )
    assert trace(ran, "enter", "task start") == lines(
        """
         0 enter #1 K1
         0 task start #1 K2.two by both 1
        20 task start #1 K1.one by both 1
        """
    )
