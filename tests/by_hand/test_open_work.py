"""Open work by hand: where it goes, what goes along, in which order it is done."""

from tests.lines import counts, lines, run, stations, stops, trace

#: A passes on; B has work that comes after A's, and C too; takt 10 s.
CHAIN = """
section.line = "moving: A, B, C"
station.A.on_limit = "pass"
station.A.open_to = "C"
station.A.task.frame = "13 s, nobody"
station.B.task.bolt = { time = "2 s", people = 0, after = ["A.frame"] }
station.B.task.wash = "4 s, nobody"
station.C.task.seal = { time = "1 s", people = 0, after = ["B.bolt"] }
crew.c = "2: C"
"""


def test_what_comes_after_open_work_goes_along() -> None:
    """A task whose earlier work was left for a place further down is done there too, after it.

    The frame is broken off at 10 with 3 s left, for C. At B (10-20) the bolts cannot be set without it; they
    go along to C, 2 s. At C (20-30): frame 20-23, bolts 23-25, the seal after them 25-26.
    """
    ran = run(CHAIN, length="35 s", jobs=1)
    assert trace(ran) == lines(
        """
         0 mark line
         0 line-on #1
         0 enter #1 A
         0 task start #1 A.frame
        10 task left #1 A.frame
        10 open work #1 A
        10 mark line
        10 open work #1 B
        10 enter #1 B
        10 task start #1 B.wash
        14 task end #1 B.wash
        20 mark line
        20 enter #1 C
        20 task start #1 A.frame at C by c 1
        23 task end #1 A.frame at C by c 1
        23 task start #1 B.bolt at C by c 1
        25 task end #1 B.bolt at C by c 1
        25 task start #1 C.seal
        26 task end #1 C.seal
        30 mark line
        30 leave #1 C
        30 line-off #1
        """
    )
    assert stops(ran) == {}
    assert counts(ran, "unfinished") == {"A": 1, "B": 1}
    assert (counts(ran, "overruns"), counts(ran, "overload")) == ({"A": 1}, {"A": 3000})
    assert ran.ledger.escaped == 0
    assert stations(ran)["C"] == {"working": 6, "spare": 4, "starved": 25}


def test_open_work_reaches_a_station_that_has_begun_early() -> None:
    """Work left at a late limit joins what a station with an early reach has already begun on the job.

    A reaches 6 s past its border: limit 16. B reaches a whole takt upstream and has the job from 0. A's 20 s
    are broken off at 16 with 4 s left, at B with its own work 0-3 long since over: B's operator takes them
    16-20. B's own limit is 20: just in time.
    """
    ran = run(
        """
        section.line = "moving: A, B, rest"
        station.A.late = 0.6
        station.A.on_limit = "pass"
        station.A.open_to = "B"
        station.A.task.frame = "20 s, nobody"
        station.B.early = 1.0
        station.B.task.wash = "3 s"
        crew.b = "1: B"
        """,
        length="25 s",
        jobs=1,
    )
    assert trace(ran, "task start", "task end", "task left", "open work", "stop") == lines(
        """
         0 task start #1 A.frame
         0 task start #1 B.wash by b 1
         3 task end #1 B.wash by b 1
        16 task left #1 A.frame
        16 open work #1 A
        16 task start #1 A.frame at B by b 1
        20 task end #1 A.frame at B by b 1
        """
    )
    assert ran.ledger.escaped == 0
    assert stations(ran)["B"] == {
        "working": 7,
        "starved": 12,
        "spare": 6,
    }  # no job of its own but from 10 to 20


#: A: two people, tool gun, 15 s; left at 10 with 5 s for B, which has one operator.
FRAME = """
[section.line]
pacing = "moving"
stations = ["A", "B"]
[tool.gun]
[station.A]
on_limit = "pass"
open_to = "B"
[station.A.task.frame]
time = "15 s"
people = 2
tool = "gun"
[station.B.task.drill]
time = "6 s"
people = 0
tool = "gun"
[crew.a]
people = 2
covers = ["A"]
[crew.b]
people = 1
covers = ["B"]
"""


def test_open_work_takes_the_people_and_tools_there() -> None:
    """Open work of two people takes all there are where only one covers, and waits for its tool.

    At B both the frame and the drill want the only gun; the frame stands first in the file, 10-15 with B's
    one operator, then the drill 15-21, a second too long.
    """
    ran = run(FRAME, length="25 s", jobs=1)
    assert trace(ran, "task start", "task end", "stop") == lines(
        """
         0 task start #1 A.frame by a 1, a 2
        10 task start #1 A.frame at B by b 1
        15 task end #1 A.frame at B by b 1
        15 task start #1 B.drill
        20 stop B overrun
        21 task end #1 B.drill
        """
    )
    assert ran.ledger.tool_busy.tolist() == [21_000]


def test_open_work_takes_as_many_people_as_where_it_belongs() -> None:
    """Of three who cover the later station open work of two takes two."""
    ran = run(FRAME.replace("people = 1", "people = 3"), length="25 s", jobs=1)
    assert trace(ran, "task start")[1] == "10 task start #1 A.frame at B by b 1, b 2"


def test_open_work_at_a_station_without_people_does_itself() -> None:
    """Where no crew covers the later station, open work needs nobody."""
    ran = run(
        """
        section.line = "indexed: A, B"
        station.A.on_limit = "pass"
        station.A.open_to = "B"
        station.A.task.weld = "12 s, nobody"
        """,
        length="25 s",
        jobs=1,
    )
    assert trace(ran, "task start", "task end") == lines(
        """
         0 task start #1 A.weld
        10 task start #1 A.weld at B
        12 task end #1 A.weld at B
        """
    )


def test_open_work_that_comes_too_late_for_its_station_is_done_nowhere() -> None:
    """Open work for a station whose own limit the job has passed is left open, and so is what comes after it.

    A reaches 1.5 takts past its border: limit 25. B, to which its work goes, has the limit 20. At 25 the 30
    s of the frame are broken off with 5 s left, B is past, and the bolts at C (20-30), which waited for the
    frame, cannot be set either: the job leaves with both open.
    """
    ran = run(
        """
        section.line = "moving: A, B, C"
        station.A.late = 1.5
        station.A.on_limit = "pass"
        station.A.open_to = "B"
        station.A.task.frame = "30 s, nobody"
        station.C.task.bolt = { time = "2 s", people = 0, after = ["A.frame"] }
        """,
        length="35 s",
        jobs=1,
    )
    assert trace(ran, "task start", "task left", "open work", "stop", "line-off") == lines(
        """
         0 task start #1 A.frame
        25 task left #1 A.frame
        25 open work #1 A
        25 open work #1 C
        30 line-off #1
        """
    )
    assert ran.ledger.escaped == 1
    assert stops(ran) == {}
