"""Indexed sections by hand: all jobs step together, and a move takes time."""

from tests.lines import counts, lines, paced, run, run_tables, sections, stations, stops, trace


def test_jobs_step_together_in_a_move() -> None:
    """The move takes the last part of the takt; no task runs during it; the new job is there at its end.

    Takt 10, move 3: the first job boards at 0, moves 7-10, at B from 10, moves 17-20, leaves at 20.
    """
    ran = run_tables(paced([(4, 6), (7, 2)], takt=10, pacing="indexed", transfer="3 s", length=35))
    assert trace(ran) == lines(
        """
         0 mark line
         0 line-on #1
         0 enter #1 S1
         0 task start #1 S1.work
         4 task end #1 S1.work
        10 mark line
        10 line-on #2
        10 enter #1 S2
        10 enter #2 S1
        10 task start #1 S2.work
        10 task start #2 S1.work
        16 task end #1 S2.work
        17 task end #2 S1.work
        20 mark line
        20 leave #1 S2
        20 enter #2 S2
        20 line-off #1
        20 task start #2 S2.work
        22 task end #2 S2.work
        30 mark line
        30 leave #2 S2
        30 line-off #2
        """
    )
    assert sections(ran) == {"line": {"running": 35}}
    assert stations(ran) == {
        "S1": {"working": 11, "spare": 9, "starved": 15},
        "S2": {"working": 8, "spare": 12, "starved": 15},
    }
    assert counts(ran, "overruns") == {}


def test_the_slowest_station_holds_the_move() -> None:
    """The section moves when all its jobs are finished, and the move still takes its time after that.

    Takt 10, move 3. First pitch: S1 9 s, limit 7: stopped 7-9, move 9-12. Second: S1 5, S2 10 from 12, limit
    19: stopped 19-22, move 22-25. Third: S2 7 from 25 to 32: in time, move 32-35.
    """
    ran = run_tables(paced([(9, 10), (5, 7)], takt=10, pacing="indexed", transfer="3 s", length=36))
    assert trace(ran, "mark", "stop", "restart", "task end", "line-off") == lines(
        """
         0 mark line
         7 stop S1 overrun
         9 task end #1 S1.work
         9 restart line
        12 mark line
        17 task end #2 S1.work
        19 stop S2 overrun
        22 task end #1 S2.work
        22 restart line
        25 mark line
        25 line-off #1
        32 task end #2 S2.work
        35 mark line
        35 line-off #2
        """
    )
    assert stops(ran) == {"S1 overrun": 2, "S2 overrun": 3}
    assert stations(ran) == {
        "S1": {"working": 14, "spare": 8, "stopped": 3, "starved": 11},  # spare 9-12, 17-19, 22-25
        "S2": {
            "working": 17,
            "spare": 6,
            "stopped": 2,
            "starved": 11,
        },  # spare 22-25, 32-35; starved 0-7, 9-12, 35-36
    }
    assert (counts(ran, "overruns"), counts(ran, "overload")) == (
        {"S1": 1, "S2": 1},
        {"S1": 2000, "S2": 3000},
    )


def test_without_a_move_the_cycle_is_the_longest_time() -> None:
    """With no transfer the line steps when takt and slowest job are over: max(10, times) a pitch."""
    ran = run_tables(paced([(12, 3), (4, 15), (8, 8)], takt=10, pacing="indexed", length=60))
    # 0, 12 = max(10, 12), 22 = 12 + max(10, 4, 3), 37 = 22 + max(10, 8, 15), 47 = 37 + max(10, 8)
    assert [e.time / 1000 for e in ran.events if e.what == "mark"] == [0, 12, 22, 37, 47, 57]
    assert stops(ran) == {"S1 overrun": 2, "S2 overrun": 5}


def test_an_indexed_station_that_passes_lets_work_go_when_the_move_begins() -> None:
    """At an indexed station the limit lies where the move begins: 7 s of 10, with 2 s of 9 left."""
    ran = run(
        """
        section.line = { pacing = "indexed", transfer = "3 s", stations = ["A", "B"] }
        station.A.on_limit = "pass"
        station.A.open_to = "B"
        station.A.task.weld = "9 s, nobody"
        """,
        length="25 s",
        jobs=1,
    )
    assert trace(ran, "task start", "task left", "task end", "stop") == lines(
        """
         0 task start #1 A.weld
         7 task left #1 A.weld
        10 task start #1 A.weld at B
        12 task end #1 A.weld at B
        """
    )
    assert counts(ran, "overload") == {"A": 2000}
    assert stations(ran) == {
        "A": {"working": 7, "spare": 3, "starved": 15},
        "B": {"working": 2, "spare": 8, "starved": 15},
    }


def test_a_full_buffer_holds_the_move() -> None:
    """An indexed section does not begin its move while its last job has nowhere to go.

    Takt 10, move 2; a lane of one place; then a free station of 25 s. J1 leaves at 10 into Z (10-35), J2 at
    20 into the lane. J3 is done by 28 but the lane is full until 35: blocked 28-35, move 35-37. J4 boards
    at 37 and waits for Z, free at 60: blocked 45-60, moves 60-62.
    """
    ran = run(
        """
        flow = ["line", "lane", "end"]
        section.line = { pacing = "indexed", transfer = "2 s", stations = ["A"] }
        section.end = "free: Z"
        buffer.lane = { capacity = 1 }
        station.A.task.weld = "5 s, nobody"
        station.Z.task.test = "25 s, nobody"
        """,
        length="70 s",
        jobs=4,
    )
    assert trace(ran, "mark", "stop", "restart", "leave", "buffer in", "buffer out") == lines(
        """
         0 mark line
        10 mark line
        10 leave #1 A
        10 buffer in #1 lane
        10 buffer out #1 lane
        20 mark line
        20 leave #2 A
        20 buffer in #2 lane
        28 stop A blocked
        35 leave #1 Z
        35 buffer out #2 lane
        35 restart line
        37 mark line
        37 leave #3 A
        37 buffer in #3 lane
        45 stop A blocked
        60 leave #2 Z
        60 buffer out #3 lane
        60 restart line
        62 mark line
        62 leave #4 A
        62 buffer in #4 lane
        """
    )
    assert stops(ran) == {"A blocked": 22}
    assert stations(ran) == {
        # J1 5, spare 5; J2 5, 5; J3 20-25, spare 25-28, blocked to 35, spare in the move; J4 37-42, 42-45,
        # 45-60, 60-62; none from 62 on
        "A": {"working": 20, "spare": 20, "blocked": 22, "starved": 8},
        "Z": {"working": 60, "starved": 10},
    }
    assert [level.tolist() for level in ran.ledger.buffer_level] == [[24_000, 46_000]]  # 20-35, 37-60, 62-70


def test_a_move_goes_on_through_a_breakdown_in_conveyor_time() -> None:
    """A conveyor that fails in the middle of a move stands there, and the rest of the move comes after.

    Takt 10, move 4, work 3 s. The conveyor fails after 8 s of running, for 5 s: 8-13. The move of 6-10 ends
    at 15. The next failure comes 8 s of running later, 13-21, in the middle of the next move 21-25.
    """
    ran = run(
        """
        section.line.pacing = "indexed"
        section.line.transfer = "4 s"
        section.line.stations = ["A"]
        section.line.failure.chain = { every = "8 s", lasts = "5 s" }
        station.A.task.weld = "3 s, nobody"
        """,
        length="27 s",
        jobs=2,
    )
    assert trace(ran, "mark", "fail", "stop", "repaired", "restart") == lines(
        """
         0 mark line
         8 fail section.line.failure.chain
         8 stop line breakdown
        13 repaired section.line.failure.chain
        13 restart line
        15 mark line
        21 fail section.line.failure.chain
        21 stop line breakdown
        26 repaired section.line.failure.chain
        26 restart line
        """
    )
    assert stations(ran) == {"A": {"working": 6, "spare": 11, "down": 10}}  # spare 3-8, 13-15, 18-21, 26-27
    assert stops(ran) == {"(line) breakdown": 10}


def test_a_call_is_no_move() -> None:
    """What comes before the move, such as a call, does not begin it: the next place may still be taken.

    J1 is at Z 20-26. J2 at B has to move at 27; the station A looks whether to call at 22.
    """
    ran = run(
        """
        flow = ["line", "end"]
        section.line = { pacing = "indexed", transfer = "3 s", stations = ["A", "B"] }
        section.end = "free: Z"
        station.A.call_at = 0.2
        station.A.task.fit = "4 s"
        station.Z.task.test = "6 s, nobody"
        crew.a = "1: A"
        crew.help = { people = 1, covers = ["A"], floater = true }
        """,
        length="40 s",
        jobs=3,
    )
    assert trace(ran, "mark", "stop", "restart") == [f"{t} mark line" for t in (0, 10, 20, 30)]


def test_a_move_begins_when_the_next_place_is_free() -> None:
    """A section whose last job cannot move yet stands blocked from the move on, and goes when there is room.

    J1 is at Z 20-29. J2 has to move at 27, and does at 29: mark 32, when the move is over.
    """
    ran = run(
        """
        flow = ["line", "end"]
        section.line = { pacing = "indexed", transfer = "3 s", stations = ["A", "B"] }
        section.end = "free: Z"
        station.Z.task.test = "9 s, nobody"
        """,
        length="40 s",
        jobs=2,
    )
    assert trace(ran, "mark", "stop", "restart") == lines(
        """
         0 mark line
        10 mark line
        20 mark line
        27 stop B blocked
        29 restart line
        32 mark line
        """
    )
