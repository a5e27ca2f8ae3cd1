"""Work left at a limit travels on, by hand."""

from tests.lines import counts, lines, run, stations, stops, trace

PASS = """
[section.line]
pacing = "moving"
stations = ["A", "B"]
[station.A]
on_limit = "pass"
open_to = "B"
[station.A.task.first]
time = "7 s"
[station.A.task.second]
time = "8 s"
after = ["first"]
[station.A.task.third]
time = "2 s"
after = ["second"]
[crew.a]
people = 1
covers = ["A"]
[crew.b]
people = 1
covers = ["B"]
"""


def test_work_left_at_the_limit_travels_on() -> None:
    """A task in progress is broken off, what is left of it and the tasks not begun are done further down.

    A: first 0-7, second 7-10, broken off with 5 s left; third not begun, 2 s. At B: 5 s, then 2 s. The
    operator of A is free at 10 for the next job.
    """
    ran = run(PASS, length="35 s", jobs=2)
    assert trace(ran) == lines(
        """
         0 mark line
         0 line-on #1
         0 enter #1 A
         0 task start #1 A.first by a 1
         7 task end #1 A.first by a 1
         7 task start #1 A.second by a 1
        10 task left #1 A.second by a 1
        10 open work #1 A
        10 mark line
        10 line-on #2
        10 enter #1 B
        10 enter #2 A
        10 task start #1 A.second at B by b 1
        10 task start #2 A.first by a 1
        15 task end #1 A.second at B by b 1
        15 task start #1 A.third at B by b 1
        17 task end #2 A.first by a 1
        17 task end #1 A.third at B by b 1
        17 task start #2 A.second by a 1
        20 task left #2 A.second by a 1
        20 open work #2 A
        20 mark line
        20 leave #1 B
        20 enter #2 B
        20 line-off #1
        20 task start #2 A.second at B by b 1
        25 task end #2 A.second at B by b 1
        25 task start #2 A.third at B by b 1
        27 task end #2 A.third at B by b 1
        30 mark line
        30 leave #2 B
        30 line-off #2
        """
    )
    assert stations(ran) == {
        "A": {"working": 20, "starved": 15},
        "B": {"working": 14, "spare": 6, "starved": 15},
    }
    for name, expected in (("overruns", 2), ("overload", 14_000), ("unfinished", 2)):
        assert counts(ran, name) == {"A": expected}
    assert ran.ledger.escaped == 0  # everything was done in the end
    assert ran.ledger.first_time == 0  # but not at its station
    assert stops(ran) == {}


def test_open_work_waits_for_what_comes_before_it() -> None:
    """Open work keeps its order: with two people at the later station the third task waits for the second."""
    ran = run(PASS.replace('people = 1\ncovers = ["B"]', 'people = 2\ncovers = ["B"]'), length="20 s", jobs=1)
    assert trace(ran, "task start", "task end")[3:] == lines(
        """
        10 task start #1 A.second at B by b 1
        15 task end #1 A.second at B by b 1
        15 task start #1 A.third at B by b 1
        17 task end #1 A.third at B by b 1
        """
    )


def test_open_work_may_go_to_a_free_section() -> None:
    """Work left for a station of a free section further down is done when the job comes there, 10-13."""
    ran = run(
        """
        section.line = "moving: A"
        section.end = "free: Z"
        station.A.on_limit = "pass"
        station.A.open_to = "Z"
        station.A.task.fit = "13 s, nobody"
        """,
        length="15 s",
        jobs=1,
    )
    assert trace(ran, "line-off", "task start", "task end", "task left", "open work") == lines(
        """
         0 task start #1 A.fit
        10 task left #1 A.fit
        10 open work #1 A
        10 task start #1 A.fit at Z
        13 task end #1 A.fit at Z
        13 line-off #1
        """
    )
    assert ran.ledger.escaped == 0
