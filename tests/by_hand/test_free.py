"""Free sections, buffers and direct handover by hand."""

from tests.lines import lines, run, run_tables, sections, stations, stops, tandem, trace


def test_a_finished_job_blocks_its_station() -> None:
    """Without a place between them, a finished job stays where it is until the next station is free.

    S1 2 s, S2 5 s: J1 S2 2-7; J2 S1 2-4, blocked 4-7, S2 7-12; J3 S1 7-9, blocked 9-12, S2 12-17.
    """
    ran = run_tables(tandem([(2, 5)] * 3, (0,), length=20))
    assert trace(ran) == lines(
        """
         0 line-on #1
         0 enter #1 S1
         0 task start #1 S1.work
         2 task end #1 S1.work
         2 leave #1 S1
         2 enter #1 S2
         2 line-on #2
         2 enter #2 S1
         2 task start #1 S2.work
         2 task start #2 S1.work
         4 task end #2 S1.work
         7 task end #1 S2.work
         7 leave #1 S2
         7 line-off #1
         7 leave #2 S1
         7 enter #2 S2
         7 line-on #3
         7 enter #3 S1
         7 task start #2 S2.work
         7 task start #3 S1.work
         9 task end #3 S1.work
        12 task end #2 S2.work
        12 leave #2 S2
        12 line-off #2
        12 leave #3 S1
        12 enter #3 S2
        12 task start #3 S2.work
        17 task end #3 S2.work
        17 leave #3 S2
        17 line-off #3
        """
    )
    assert stations(ran) == {
        "S1": {"working": 6, "blocked": 6, "starved": 8},
        "S2": {"working": 15, "starved": 5},
    }
    assert sections(ran) == {"L1": {"running": 20}, "L2": {"running": 20}}
    assert stops(ran) == {}
    assert ran.ledger.lead_time == (7 + 10 + 10) * 1000


STALLS = """
[section.first]
pacing = "free"
stations = ["A"]
[section.second]
pacing = "free"
stations = ["B"]
[model.slow]
[model.quick]
[station.A]
places = 2
[station.A.task.fit]
time = "9 s"
time_for = { quick = "2 s" }
[station.B.task.test]
time = "6 s"
people = 0
[crew.a]
people = 2
covers = ["A"]
"""


def test_places_side_by_side_let_a_quick_job_overtake() -> None:
    """Two stalls work at once; whichever is finished first goes first, and one finished job is no blocking.

    Slow 0-9 and quick 0-2 at A. Quick goes to B (2-8), the third (quick) 2-4 at A, waits for B until 8, B
    8-14. Slow is done at 9, waits until 14, B 14-20. A is working while any stall works, 0-9, then blocked.
    """
    ran = run(STALLS, length="25 s", jobs=["slow", "quick", "quick"])
    assert trace(ran, "enter", "leave", "task end") == lines(
        """
         0 enter #1 A
         0 enter #2 A
         2 task end #2 A.fit by a 2
         2 leave #2 A
         2 enter #2 B
         2 enter #3 A
         4 task end #3 A.fit by a 2
         8 task end #2 B.test
         8 leave #2 B
         8 leave #3 A
         8 enter #3 B
         9 task end #1 A.fit by a 1
        14 task end #3 B.test
        14 leave #3 B
        14 leave #1 A
        14 enter #1 B
        20 task end #1 B.test
        20 leave #1 B
        """
    )
    assert stations(ran) == {
        "A": {"working": 9, "blocked": 5, "starved": 11},
        "B": {"working": 18, "starved": 7},
    }
    assert ran.ledger.out_of_sequence == 1


def test_places_need_people_too() -> None:
    """Two stalls with one operator work one after the other; the second waits for the crew meanwhile."""
    ran = run(STALLS.replace("people = 2", "people = 1"), length="12 s", jobs=["slow", "quick"])
    assert trace(ran, "task start", "task end") == lines(
        """
         0 task start #1 A.fit by a 1
         9 task end #1 A.fit by a 1
         9 task start #1 B.test
         9 task start #2 A.fit by a 1
        11 task end #2 A.fit by a 1
        """
    )
    assert stations(ran)["A"] == {"working": 11, "blocked": 1}


TRAVEL = """
flow = ["first", "lane", "second"]
section.first = "free: A"
section.second = "free: B"
buffer.lane = { capacity = 2, travel = "5 s" }
station.A.task.fit = "2 s, nobody"
station.B.task.test = "8 s, nobody"
"""


def test_a_travelling_job_takes_a_place() -> None:
    """A job takes 5 s through the lane and a place of it all the while; the lane holds two.

    A: J1 2, J2 4, J3 6. J1 in the lane 2-7, J2 4-; the lane is full: J3 blocked from 6 until J1 is taken at
    7, then in the lane 7-12. B: J1 7-15, J2 15-23, J3 23-31.
    """
    ran = run(TRAVEL, length="35 s", jobs=3)
    assert trace(ran, "leave", "buffer in", "buffer out") == lines(
        """
         2 leave #1 A
         2 buffer in #1 lane
         4 leave #2 A
         4 buffer in #2 lane
         7 buffer out #1 lane
         7 leave #3 A
         7 buffer in #3 lane
        15 leave #1 B
        15 buffer out #2 lane
        23 leave #2 B
        23 buffer out #3 lane
        31 leave #3 B
        """
    )
    assert [level.tolist() for level in ran.ledger.buffer_level] == [[14_000, 10_000, 11_000]]
    # empty 0-2 and 23-35; one 2-4 and 15-23; two 4-15 (J3 takes J1's place in the instant it is free)
    assert stations(ran) == {
        "A": {"working": 6, "blocked": 1, "starved": 28},
        "B": {"working": 24, "starved": 11},
    }


def test_a_lane_without_places_hands_over_directly() -> None:
    """A buffer of no places lets a job through when the next station takes it; its travel does not apply."""
    no_lane = tandem([(2, 5), (2, 5), (2, 1)], (0,), length=20)
    lane = tandem([(2, 5), (2, 5), (2, 1)], (0,), length=20)
    lane["buffer"]["B1"] = {"capacity": 0, "travel": "7 s"}
    without = {**no_lane, "buffer": {}, "flow": ["L1", "L2"]}
    assert trace(run_tables(lane)) == trace(run_tables(without)) == trace(run_tables(no_lane))


PULL = """
flow = ["first", "lane", "second"]
section.first = "free: A"
section.second = "moving: B"
buffer.lane = { capacity = 1 }
station.A.task.fit = "10 s, nobody"
station.B.task.test = "1 s, nobody"
"""


def test_a_job_that_arrives_at_the_mark_boards() -> None:
    """A job finished in the very instant of a mark goes straight through the empty lane and boards."""
    ran = run(PULL, length="25 s", jobs=2)
    assert trace(ran, "leave", "enter", "mark", "buffer in") == lines(
        """
         0 enter #1 A
         0 mark second
        10 mark second
        10 leave #1 A
        10 enter #1 B
        10 enter #2 A
        20 mark second
        20 leave #1 B
        20 leave #2 A
        20 enter #2 B
        """
    )
    assert stations(ran)["B"] == {"working": 2, "spare": 13, "starved": 10}
