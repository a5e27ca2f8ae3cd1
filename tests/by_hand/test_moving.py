"""Moving sections by hand: marks, gaps, limits."""

from tests.lines import Ran, counts, lines, paced, run, run_tables, sections, stations, stops, trace


def test_jobs_pass_on_at_every_mark() -> None:
    """Each job passes one station a takt, works on the way, and is spare until the next mark.

    Takt 10. Marks 0, 10, 20, 30. J1 enters A 0, B 10, leaves 20; J2 enters A 10, B 20, leaves 30.
    A works 4 s, B 7 s on each.
    """
    ran = run_tables(paced([(4, 7), (4, 7)], takt=10, length=35))
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
        14 task end #2 S1.work
        17 task end #1 S2.work
        20 mark line
        20 leave #1 S2
        20 enter #2 S2
        20 line-off #1
        20 task start #2 S2.work
        27 task end #2 S2.work
        30 mark line
        30 leave #2 S2
        30 line-off #2
        """
    )
    assert stations(ran) == {
        "S1": {"working": 8, "spare": 12, "starved": 15},  # no job from 20 on
        "S2": {"working": 14, "spare": 6, "starved": 15},  # none before 10 and from 30 on
    }
    assert sections(ran) == {"line": {"running": 35}}
    assert ran.ledger.lead_time == 40_000
    assert ran.ledger.job_time == 40_000


#: Jobs come at 0, 14 and 31 s to one station of a takt of 10 s.
COMING = """
[section.line]
pacing = "moving"
stations = ["A"]
[supply]
at_s = [0.0, 14.0, 31.0]
[station.A.task.work]
time = "6 s"
people = 0
"""


def test_a_gap_passes() -> None:
    """Where no job waits at a mark an empty place goes by, and the section does not stand.

    Marks 0, 10, 20, 30, 40, 50. At 10 nobody waits: a gap. The job of 14 boards at 20, that of 31 at 40.
    """
    ran = run(COMING, length="55 s")
    assert trace(ran, "mark", "enter", "leave", "stop") == lines(
        """
         0 mark line
         0 enter #1 A
        10 mark line
        10 leave #1 A
        20 mark line
        20 enter #2 A
        30 mark line
        30 leave #2 A
        40 mark line
        40 enter #3 A
        50 mark line
        50 leave #3 A
        """
    )
    assert stations(ran) == {"A": {"working": 18, "spare": 12, "starved": 25}}
    assert sections(ran) == {"line": {"running": 55}}


def test_a_gap_waits() -> None:
    """With on_gap = "wait" the section stands, starved, until a job comes; the missing job is the cause.

    At 10 no job waits: J1 cannot leave either, A's job is done, and the section stands until 14. Then J2
    boards, next mark at 24: nobody again, until 31. The mark after that is 41: no more jobs will come, so
    the section passes an empty place and lets J3 go.
    """
    ran = run(COMING.replace('"moving"', '"moving"\non_gap = "wait"'), length="55 s")
    assert trace(ran, "mark", "enter", "leave", "stop", "restart") == lines(
        """
         0 mark line
         0 enter #1 A
        10 stop A starved
        14 mark line
        14 leave #1 A
        14 enter #2 A
        14 restart line
        24 stop A starved
        31 mark line
        31 leave #2 A
        31 enter #3 A
        31 restart line
        41 mark line
        41 leave #3 A
        51 mark line
        """
    )
    assert stations(ran) == {"A": {"working": 18, "spare": 12, "starved": 25}}  # 4 + 7, and 41 to 55
    assert sections(ran) == {"line": {"running": 44, "stopped": 11}}
    assert stops(ran) == {"A starved": 11}


def test_a_station_at_its_limit_stops_everyone() -> None:
    """The section stands until the late station is done; the others finish their work and are stopped.

    Takt 10. Mark 10: J2 at S1 needs 3, J1 at S2 needs 14. Limit 20: the section stands until 24.
    """
    ran = run_tables(paced([(3, 14), (3, 2)], takt=10, length=40))
    assert trace(ran, "mark", "task end", "stop", "restart") == lines(
        """
         0 mark line
         3 task end #1 S1.work
        10 mark line
        13 task end #2 S1.work
        20 stop S2 overrun
        24 task end #1 S2.work
        24 mark line
        24 restart line
        26 task end #2 S2.work
        34 mark line
        """
    )
    assert stations(ran) == {
        "S1": {"working": 6, "spare": 14, "stopped": 4, "starved": 16},
        "S2": {"working": 16, "spare": 8, "starved": 16},
    }
    assert stops(ran) == {"S2 overrun": 4}
    assert (counts(ran, "overruns"), counts(ran, "overload")) == ({"S2": 1}, {"S2": 4000})
    assert ran.ledger.stops.sum() == 1


def test_work_that_ends_at_the_limit_is_in_time() -> None:
    """A task that ends in the very instant of the limit does not stop the section."""
    ran = run_tables(paced([(10, 10)] * 3, takt=10, length=60))
    assert stops(ran) == {}
    assert counts(ran, "overruns") == {}
    assert ran.ledger.jobs_out == 3
    assert stations(ran)["S1"] == {"working": 30, "starved": 30}


def test_a_follower_that_begins_at_the_limit_is_an_overrun() -> None:
    """Work that goes on through the limit is an overrun, even where one task ends there and the next begins.

    One operator, tasks of 10 and 3 s, takt 10: at the limit the first ends and the second begins.
    """
    ran = run(
        """
        section.line = "moving: A"
        station.A.task.one = "10 s"
        station.A.task.two = "3 s"
        crew.a = "1: A"
        """,
        length="15 s",
        jobs=1,
    )
    assert stops(ran) == {"A overrun": 3}
    assert counts(ran, "overload") == {"A": 3000}
    assert stations(ran) == {"A": {"working": 13, "starved": 2}}


def _waiting_for_people() -> Ran:
    """Return a line whose one operator serves two stations, further down first."""
    return run(
        """
        section.line = "moving: A, B"
        station.A.task.work = "4 s"
        station.B.task.work = "11 s"
        crew.both = "1: A, B"
        """,
        length="50 s",
        jobs=2,
    )


def test_a_stop_for_want_of_people_is_waiting() -> None:
    """A station that could not begin for want of people stops the section as waiting, until it is done.

    J1 at A 0-4. Mark 10: J1 at B is as near its limit as J2 at A, and further down: 10-21. Limit 20: B is
    over it and first, until 21. Then A has the stop, waiting for the crew when it began; J2 21-25. Mark 25:
    J2 at B 25-36, limit 35, overrun to 36.
    """
    ran = _waiting_for_people()
    assert trace(ran, "mark", "task start", "task end", "stop", "restart") == lines(
        """
         0 mark line
         0 task start #1 A.work by both 1
         4 task end #1 A.work by both 1
        10 mark line
        10 task start #1 B.work by both 1
        20 stop B overrun
        21 task end #1 B.work by both 1
        21 task start #2 A.work by both 1
        21 stop A waiting
        25 task end #2 A.work by both 1
        25 mark line
        25 task start #2 B.work by both 1
        25 restart line
        35 stop B overrun
        36 task end #2 B.work by both 1
        36 mark line
        36 restart line
        46 mark line
        """
    )
    assert stops(ran) == {"B overrun": 2, "A waiting": 4}
    assert stations(ran) == {
        # A: J1 0-4, spare to 10, J2 waits 10-21, works 21-25, none after: stopped 35-36
        "A": {"working": 8, "waiting: crew": 11, "spare": 6, "stopped": 1, "starved": 24},
        # B: none before 10, J1 10-21, done and stopped 21-25, J2 25-36
        "B": {"working": 22, "stopped": 4, "starved": 24},
    }


def test_a_blocked_end_stops_a_section_that_is_empty_otherwise() -> None:
    """The last job stops the section while it cannot leave, whatever stands at the first station.

    J1 is at Z 20-35; J2, with nothing behind it, has to leave B at 30.
    """
    ran = run(
        """
        flow = ["line", "end"]
        section.line = "moving: A, B"
        section.end = "free: Z"
        station.Z.task.test = "15 s, nobody"
        """,
        length="40 s",
        jobs=2,
    )
    assert trace(ran, "stop", "restart") == ["30 stop B blocked", "35 restart line"]
    assert stops(ran) == {"B blocked": 5}


def test_a_stop_handed_on_is_one_stop() -> None:
    """A section that stands for one station and then for another has stopped once; each has its turn.

    Takt 10. Mark 10: J2 at S1 needs 14, J1 at S2 needs 12. Limit 20: S2 holds the section until 22, then S1
    until 24.
    """
    ran = run_tables(paced([(3, 12), (14, 2)], takt=10, length=40))
    assert trace(ran, "stop", "restart") == [
        "20 stop S2 overrun",
        "22 stop S1 overrun",
        "24 restart line",
    ]
    assert stops(ran) == {"S2 overrun": 2, "S1 overrun": 2}
    assert ran.ledger.stands.tolist() == [1]
    assert ran.ledger.stops.sum() == 2
