"""The ways out of a bay, by hand."""

from tests.lines import lines, operators, run, stops, trace

#: One free station; a job of model `bad` goes into the bay, which sends it on to the next section.
BACK = """
flow = ["first", "lane", "second"]
[buffer.lane]
capacity = 1
[model.good]
[model.bad]
[section.first]
pacing = "free"
stations = ["A"]
[section.second]
pacing = "moving"
stations = ["B"]
on_gap = "wait"
[station.A.task.fit]
time = "2 s"
people = 0
fault = "bad at once, rework 15 s"
[station.B.task.fit]
time = "4 s"
people = 0
[bay.rework]
section = "first"
rejoin = "lane"
[crew.r]
people = 1
covers = ["rework"]
"""


def test_a_section_waits_for_a_job_in_a_bay_but_for_none_that_never_comes() -> None:
    """A section that lets no gap pass stands for a job that a bay will send, and not after the last one.

    J1 boards at 2, due at 12. J2: A 2-4, again 4-6, bay 6-21, boards at 21. At 31 nobody can come: J2 goes.
    """
    ran = run(BACK, length="40 s", jobs=["good", "bad"])
    assert trace(ran, "mark", "stop", "restart", "bay in", "bay out", "line-off") == lines(
        """
         0 stop B starved
         2 mark second
         2 restart second
         6 bay in #2 rework
        12 stop B starved
        21 bay out #2 rework
        21 mark second
        21 line-off #1
        21 restart second
        31 mark second
        31 line-off #2
        """
    )
    assert stops(ran) == {"B starved": 11}


def test_a_second_bay_may_fill_up_while_the_first_is_at_work() -> None:
    """Room in the second bay counts when the first one is done, not when the job left the section.

    J1 needs both bays: A 0-4, paint 4-10. J2 needs the wire bay only: 8-15. At 10 that is full, and J1 goes
    without it.
    """
    ran = run(
        """
        model.both = {}
        model.wire = {}
        section.line = "free: A"
        station.A.task.fit.time = "2 s"
        station.A.task.fit.people = 0
        station.A.task.fit.fault.paint = "both at once, paint 6 s"
        station.A.task.fit.fault.wire = "1 at once, wire 7 s"
        bay.paint = { section = "line", rejoin = "out" }
        bay.wire = { section = "line", rejoin = "out", on_full = "carry on" }
        crew.r = "2: paint, wire"
        """,
        length="20 s",
        jobs=["both", "wire"],
    )
    assert trace(ran, "bay in", "bay out", "line-off") == lines(
        """
         4 bay in #1 paint
         8 bay in #2 wire
        10 bay out #1 paint
        10 line-off #1
        15 bay out #2 wire
        15 line-off #2
        """
    )
    assert ran.ledger.bay_carried_on.tolist() == [0, 1]
    assert ran.ledger.faults_not_put_right.tolist() == [0, 1]
    assert (ran.ledger.escaped, ran.ledger.reworked) == (1, 2)


def test_people_who_come_from_a_bay_are_sent_to_work_at_once() -> None:
    """Where bay and station share an operator, what waits at the station begins as the bay's work ends.

    A 0-4 with its redoing, bay from 4. B's task of J2 wants the same person: J2 leaves A at 6 and waits at B
    until 14, when J1 is put right.
    """
    ran = run(
        """
        model.good = {}
        model.bad = {}
        section.first = "free: A"
        section.second = "free: B"
        station.A.task.fit = { time = "2 s", people = 0, fault = "bad at once, rework 10 s" }
        station.B.task.fit = "3 s"
        bay.rework = { section = "first", rejoin = "out" }
        crew.c = "1: rework, B"
        """,
        length="20 s",
        jobs=["bad", "good"],
    )
    assert trace(ran, "bay in", "bay out", "task start", "line-off") == lines(
        """
         0 task start #1 A.fit
         2 task start #1 A.fit
         4 bay in #1 rework
         4 task start #2 A.fit
        14 bay out #1 rework
        14 line-off #1
        14 task start #2 B.fit by c 1
        17 line-off #2
        """
    )
    assert operators(ran) == {"c 1": {"working": 13, "waiting: job": 7}}


def test_a_job_from_a_bay_boards_at_the_mark_of_that_moment() -> None:
    """A job that a bay has done at the moment of a mark boards at that mark, through the empty lane.

    J2: A 2-4, again 4-6, bay 6-20.
    """
    ran = run(
        BACK.replace('on_gap = "wait"', "").replace("15 s", "14 s"), length="25 s", jobs=["good", "bad"]
    )
    assert trace(ran, "mark", "bay out", "buffer in", "enter")[-3:] == lines(
        """
        20 mark second
        20 bay out #2 rework
        20 enter #2 B
        """
    )


def test_at_one_mark_a_job_from_a_bay_boards_before_one_from_the_line() -> None:
    """Of two jobs that are ready at the moment of a mark the bay's boards, the other waits in the lane.

    J2 is in the bay 6-20; J3 at A 6-20.
    """
    slow = BACK.replace('time = "2 s"', 'time = "2 s"\ntime_for = { slow = "14 s" }').replace("15 s", "14 s")
    text = slow.replace('on_gap = "wait"', "") + "[model.slow]\n"
    ran = run(text, length="25 s", jobs=["good", "bad", "slow"])
    assert trace(ran, "enter", "buffer in")[-2:] == ["20 enter #2 B", "20 buffer in #3 lane"]


def test_a_job_from_a_bay_goes_before_one_from_the_line() -> None:
    """Where the bay and the line have a job for the one free place, the bay's goes first, for it is older.

    J1 is in the bay 4-24 and waits there. B takes J2 at 6; J3 waits in the lane, J4 at A. B has done J2 at
    30: J3 goes to B, and the lane's place to J1.
    """
    ran = run(
        """
        flow = ["first", "lane", "second"]
        model.good = {}
        model.bad = {}
        section.first = "free: A"
        section.second = "free: B"
        buffer.lane = { capacity = 1 }
        station.A.task.fit = { time = "2 s", people = 0, fault = "bad at once, rework 20 s" }
        station.B.task.fit = "24 s, nobody"
        bay.rework = { section = "first", rejoin = "lane" }
        crew.r = "1: rework"
        """,
        length="35 s",
        jobs=["bad", "good", "good", "good"],
    )
    assert trace(ran, "bay in", "bay out", "buffer in", "line-off") == lines(
        """
         4 bay in #1 rework
         6 buffer in #2 lane
         8 buffer in #3 lane
        30 line-off #2
        30 bay out #1 rework
        30 buffer in #1 lane
        """
    )
