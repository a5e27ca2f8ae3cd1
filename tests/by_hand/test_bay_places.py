"""Places of a bay, by hand: who keeps one, and whom it holds."""

from tests.lines import lines, run, trace


def test_a_job_that_cannot_leave_keeps_its_work_place() -> None:
    """A job that is done and finds no room to go on keeps its place, so that nobody begins on another.

    Two work places and a waiting place, repairs of 10 s; B is busy with J1 to 102. J2 is in work 6-16 and
    goes into the lane's one place; J3, 10-20, and J4, which waits 14-16 and is in work 16-26, find it taken.
    J5 waits from 18 on.
    """
    ran = run(
        """
        flow = ["first", "lane", "second"]
        model.good = {}
        model.bad = {}
        section.first = "free: A"
        section.second = "free: B"
        buffer.lane = { capacity = 1 }
        station.A.task.fit = { time = "2 s", people = 0, fault = "bad at once, rework 10 s" }
        station.B.task.fit = "100 s, nobody"
        bay.rework = { section = "first", rejoin = "lane", places = 2, waiting = 1 }
        crew.r = "2: rework"
        """,
        length="60 s",
        jobs=["good", "bad", "bad", "bad", "bad"],
    )
    assert trace(ran, "bay in", "bay out", "buffer in") == lines(
        """
         2 buffer in #1 lane
         6 bay in #2 rework
        10 bay in #3 rework
        14 bay in #4 rework
        16 bay out #2 rework
        16 buffer in #2 lane
        18 bay in #5 rework
        """
    )
    assert ran.ledger.bay_working.tolist() == [(10 + 10 + 10) * 1000]
    assert ran.ledger.bay_waiting.tolist() == [(2 + 42) * 1000]


def test_a_bay_with_room_holds_nobody() -> None:
    """A job that is ready for a bay with room, on a section that stands for another reason, is not held.

    J1 is done at B at 11 and goes into the bay at the next mark. That is due at 20, but A works on J2 10-25.
    """
    ran = run(
        """
        model.bad = {}
        model.long = {}
        section.line = "moving: A, B"
        station.A.task.fit = { time = "2 s", time_for = { long = "15 s" }, people = 0 }
        station.B.task.look = { time = "1 s", people = 0, fault = "1 at B.look, rework 3 s" }
        bay.rework = { section = "line", rejoin = "out" }
        crew.r = "1: rework"
        """,
        length="30 s",
        jobs=["bad", "long"],
    )
    assert trace(ran, "mark", "stop", "restart", "bay in", "bay out") == lines(
        """
         0 mark line
        10 mark line
        20 stop A overrun
        25 mark line
        25 bay in #1 rework
        25 restart line
        28 bay out #1 rework
        """
    )
    assert ran.ledger.bay_hold.tolist() == [0]
