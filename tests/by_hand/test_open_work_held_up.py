"""Open work by hand that something else holds up: other open work, other reasons to wait, a tool, a limit."""

import pytest

from tests.lines import counts, lines, run, stations, stops, trace

STEPS = ("task start", "task end", "task left", "open work")


#: A leaves its frame to C; B, which reaches upstream, has bolts that come after it, and washes.
FRAME = """
[section.line]
pacing = "moving"
stations = ["A", "B", "C"]
[station.A]
on_limit = "pass"
open_to = "C"
[station.B]
early = 0.5
[station.A.task.frame]
time = "13 s"
people = 0
[station.B.task.bolt]
time = "2 s"
people = 0
after = ["A.frame"]
[station.B.task.wash]
time = "8 s"
people = 0
"""


def test_an_open_visit_sends_on_what_it_can_no_longer_do() -> None:
    """A station that reached upstream keeps what it can do and sends the rest along with what it waits for.

    B has the job from 5 on and washes 5-13. At 10 the frame goes to C with 3 s left, and B's bolts with it.
    At C (20-30): frame 20-23, bolts 23-25.
    """
    ran = run(FRAME, length="35 s", jobs=1)
    assert trace(ran, *STEPS) == lines(
        """
         0 task start #1 A.frame
         5 task start #1 B.wash
        10 task left #1 A.frame
        10 open work #1 A
        10 open work #1 B
        13 task end #1 B.wash
        20 task start #1 A.frame at C
        23 task end #1 A.frame at C
        23 task start #1 B.bolt at C
        25 task end #1 B.bolt at C
        """
    )
    assert counts(ran, "unfinished") == {"A": 1, "B": 1}
    assert (ran.ledger.escaped, stops(ran)) == (0, {})


def test_what_was_sent_on_is_not_left_again_at_the_limit() -> None:
    """The bolts went on with the frame at 10; at B's own limit, 20, only 3 s of washing are left for C."""
    text = FRAME.replace("early = 0.5", 'early = 0.5\non_limit = "pass"\nopen_to = "C"')
    ran = run(text.replace('"8 s"', '"18 s"'), length="35 s", jobs=1)
    assert trace(ran, "open work", "task start", "task end")[4:] == lines(
        """
        20 open work #1 B
        20 task start #1 A.frame at C
        20 task start #1 B.wash at C
        23 task end #1 A.frame at C
        23 task end #1 B.wash at C
        23 task start #1 B.bolt at C
        25 task end #1 B.bolt at C
        """
    )


def test_open_work_that_waits_is_sent_on_with_what_it_waits_for() -> None:
    """Open work that waits at one station for earlier work goes further down when that does.

    P reaches 1.5 takts past its border: limit 25. A's bolts come after P's frame and are left at 20, for B.
    There they wait. At 25 the frame goes to D with 5 s left, and the bolts from B: 30-35, 35-39.
    """
    ran = run(
        """
        section.line = "moving: P, A, B, D"
        station.P.late = 1.5
        station.P.on_limit = "pass"
        station.P.open_to = "D"
        station.P.task.frame = "30 s, nobody"
        station.A.on_limit = "pass"
        station.A.open_to = "B"
        station.A.task.bolt = { time = "4 s", people = 0, after = ["P.frame"] }
        """,
        length="45 s",
        jobs=1,
    )
    assert trace(ran, *STEPS) == lines(
        """
         0 task start #1 P.frame
        20 open work #1 A
        25 task left #1 P.frame
        25 open work #1 P
        25 open work #1 B
        30 task start #1 P.frame at D
        35 task end #1 P.frame at D
        35 task start #1 A.bolt at D
        39 task end #1 A.bolt at D
        """
    )
    assert counts(ran, "overload") == {"P": 5_000, "A": 4_000}
    assert stations(ran)["B"] == {"waiting: earlier work": 5, "spare": 5, "starved": 35}
    assert (ran.ledger.escaped, stops(ran)) == (0, {})


def test_a_repair_at_the_limit_is_left_like_other_work() -> None:
    """What is left of putting a fault right travels on too, and the fault is gone when that is done.

    Found at 10 as the job comes to B, where 15 s do not fit: 5 s are left at 20 and done at C.
    """
    ran = run(
        """
        section.line = "moving: A, B, C"
        station.A.task.fit.time = "2 s"
        station.A.task.fit.people = 0
        station.A.task.fit.fault = { chance = 1, found = "B", repair = "15 s" }
        station.B.on_limit = "pass"
        station.B.open_to = "C"
        crew.b = "1: B"
        crew.c = "1: C"
        """,
        length="35 s",
        jobs=1,
    )
    assert trace(ran, "found", "put right", *STEPS) == lines(
        """
         0 task start #1 A.fit
         2 task end #1 A.fit
        10 found #1 B A.fit.fault
        10 task start #1 A.fit at B to put right A.fit.fault by b 1
        20 task left #1 A.fit at B to put right A.fit.fault by b 1
        20 open work #1 B
        20 task start #1 A.fit at C to put right A.fit.fault by c 1
        25 task end #1 A.fit at C to put right A.fit.fault by c 1
        25 put right #1 A.fit at C to put right A.fit.fault
        """
    )
    assert (ran.ledger.reworked, ran.ledger.escaped) == (1, 0)
    assert counts(ran, "overload") == {"B": 5_000}


def test_work_that_nobody_began_is_left_whole() -> None:
    """At the limit one task is in progress and one waits for the same person: 2 s are left, and all 3 s."""
    ran = run(
        """
        section.line = "moving: A, B"
        station.A.on_limit = "pass"
        station.A.open_to = "B"
        station.A.task.one = "12 s"
        station.A.task.two = "3 s"
        crew.a = "1: A"
        crew.b = "1: B"
        """,
        length="22 s",
        jobs=1,
    )
    assert trace(ran, *STEPS) == lines(
        """
         0 task start #1 A.one by a 1
        10 task left #1 A.one by a 1
        10 open work #1 A
        10 task start #1 A.one at B by b 1
        12 task end #1 A.one at B by b 1
        12 task start #1 A.two at B by b 1
        15 task end #1 A.two at B by b 1
        """
    )
    assert counts(ran, "overload") == {"A": 5_000}


def test_open_work_gets_a_tool_that_is_given_back_elsewhere() -> None:
    """Open work waits for its tool at a station that never uses one otherwise, and has it once it is free.

    J2's 15 s with the only gun are broken off at 20 with 5 s left. J1's drill, further down, has the gun
    20-25; then the rest, 25-30, just in time.
    """
    ran = run(
        """
        model.short = {}
        model.long = {}
        section.line = "moving: A, B, C"
        tool.gun = {}
        station.A.on_limit = "pass"
        station.A.open_to = "B"
        station.A.task.frame = { time = "2 s", time_for = { long = "15 s" }, people = 0, tool = "gun" }
        station.C.task.drill = { time = "5 s", people = 0, tool = "gun" }
        """,
        length="32 s",
        jobs=["short", "long"],
    )
    assert trace(ran, "stop", *STEPS) == lines(
        """
         0 task start #1 A.frame
         2 task end #1 A.frame
        10 task start #2 A.frame
        20 task left #2 A.frame
        20 open work #2 A
        20 task start #1 C.drill
        25 task end #1 C.drill
        25 task start #2 A.frame at B
        30 task end #2 A.frame at B
        30 task start #2 C.drill
        """
    )
    assert ran.ledger.tool_busy.tolist() == [24_000]  # 0-2, 10-30, 30-32


@pytest.mark.parametrize(
    ("third", "people", "calls"), [("1 s", 1, {}), ("2 s", 1, {"B": 1}), ("3 s", 2, {}), ("4 s", 2, {"B": 1})]
)
def test_open_work_counts_in_what_a_station_expects(third: str, people: int, calls: dict[str, int]) -> None:
    """A station that calls halfway counts the open work on the job, begun or waiting, with what it takes.

    A: 0-7, then 3 of 12 s; 9 s are left for B, 10-19, and the third task after them. At 15 that is 4 s and
    the third: 5 s fit into the 5 s to the limit, 6 s do not. A third task of two people counts twice, into
    twice 5 s: 4 + 2 * 3 s fit, 4 + 2 * 4 s do not.
    """
    ran = run(
        f"""
        [section.line]
        pacing = "moving"
        stations = ["A", "B"]
        [station.A]
        on_limit = "pass"
        open_to = "B"
        [station.B]
        call_at = 0.5
        [station.A.task]
        first = {{ time = "7 s" }}
        second = {{ time = "12 s", after = ["first"] }}
        third = {{ time = "{third}", after = ["second"], people = {people} }}
        [crew.a]
        people = {people}
        covers = ["A"]
        [crew.b]
        people = {people}
        covers = ["B"]
        [crew.help]
        people = 1
        covers = ["B"]
        floater = true
        response = "20 s"
        """,
        length="20 s",
        jobs=1,
    )
    assert counts(ran, "calls") == calls
