"""Bays by hand: places, people, holding and carrying on."""

from typing import Any

from tests.lines import Ran, lines, operators, run, stations, stops, tables, trace
from tests.lines import run_tables as run_raw

BAY = """
section.line = "free: A, B"
station.A.task.fit = { time = "4 s", people = 0, fault = "1 at B.test, rework 10 s" }
station.B.task.test = "2 s, nobody"
bay.rework = { section = "line", rejoin = "out" }
crew.r = "1: rework"
"""


def _bay(length: str = "60 s", jobs: int = 3, **changes: Any) -> Ran:
    raw = tables(BAY, length=length, jobs=jobs)
    raw["bay"]["rework"] |= changes
    return run_raw(raw)


def test_a_full_bay_holds_the_line() -> None:
    """With one place and nobody to wait elsewhere, the next faulty job blocks the end of its section.

    B is done with J1 at 6, J2 at 10, J3 at 18. The bay: J1 6-16, J2 16-26 (held 10-16), J3 26-36. J3 is in
    B from 16 to 18 and held until 26.
    """
    ran = _bay()
    assert trace(ran, "bay in", "bay out", "line-off", "found") == lines(
        """
         6 found #1 B A.fit.fault
         6 bay in #1 rework
        10 found #2 B A.fit.fault
        16 bay out #1 rework
        16 line-off #1
        16 bay in #2 rework
        18 found #3 B A.fit.fault
        26 bay out #2 rework
        26 line-off #2
        26 bay in #3 rework
        36 bay out #3 rework
        36 line-off #3
        """
    )
    assert ran.ledger.bay_hold.tolist() == [14_000]
    assert ran.ledger.bay_working.tolist() == [30_000]
    assert stations(ran)["B"] == {"working": 6, "blocked": 14, "starved": 40}
    assert (ran.ledger.reworked, ran.ledger.first_time, ran.ledger.escaped) == (3, 0, 0)
    assert ran.ledger.bay_jobs.tolist() == ran.ledger.bay_seen.tolist() == ran.ledger.bay_good.tolist() == [3]


def test_waiting_places_take_jobs_off_the_line() -> None:
    """With two waiting places nothing is held: J2 waits in the bay 10-16, J3 14-26."""
    ran = _bay(waiting=2)
    assert trace(ran, "bay in", "bay out") == lines(
        """
         6 bay in #1 rework
        10 bay in #2 rework
        14 bay in #3 rework
        16 bay out #1 rework
        26 bay out #2 rework
        36 bay out #3 rework
        """
    )
    assert ran.ledger.bay_waiting.tolist() == [18_000]
    assert ran.ledger.bay_hold.tolist() == [0]


def test_work_places_need_people() -> None:
    """Two work places with one person work one after the other; with two people side by side."""
    one = _bay(places=2)
    assert trace(one, "bay out") == lines("16 bay out #1 rework\n26 bay out #2 rework\n36 bay out #3 rework")
    raw = tables(BAY, length="60 s", jobs=3)
    raw["bay"]["rework"]["places"] = raw["crew"]["r"]["people"] = 2
    two = run_raw(raw)
    # J1 6-16, J2 10-20, J3 held at the end from 14 to 16, 16-26
    assert trace(two, "bay out") == lines("16 bay out #1 rework\n20 bay out #2 rework\n26 bay out #3 rework")
    assert two.ledger.bay_hold.tolist() == [2_000]


def test_a_repair_waits_for_its_people_to_come_back() -> None:
    """A job whose repair a break interrupts goes on after it, though nothing else moves meanwhile.

    In the bay at 6; the break is 60 to 120; of the repair of 70 s 54 are done before it and 16 after it.
    """
    raw = tables(BAY, length="140 s", jobs=1)
    raw["station"]["A"]["task"]["fit"]["fault"]["repair"] = "70 s"
    raw["calendar"] = {"r": {"shifts": ["06:00-06:10"], "breaks": ["06:01-06:02"]}}
    raw["calendar"]["all"] = {"shifts": ["06:00-06:10"]}
    raw["run"]["calendar"], raw["crew"]["r"]["calendar"] = "all", "r"
    assert trace(run_raw(raw), "bay in", "bay out") == ["6 bay in #1 rework", "136 bay out #1 rework"]


def test_a_full_bay_lets_faults_go_on() -> None:
    """With "carry on" a job that finds the bay full leaves with its fault, and is counted."""
    ran = _bay(on_full="carry on")
    assert trace(ran, "bay in", "bay out", "line-off") == lines(
        """
         6 bay in #1 rework
        10 line-off #2
        14 line-off #3
        16 bay out #1 rework
        16 line-off #1
        """
    )
    ledger = ran.ledger
    assert ledger.bay_carried_on.tolist() == [2]
    assert (ledger.escaped, ledger.reworked, ledger.out_of_sequence) == (2, 1, 1)
    # all three were found: what leaves past a full bay is known, not put right, and no fault that escaped
    assert ledger.faults_found.tolist() == [3]
    assert (ledger.faults_not_put_right.tolist(), ledger.faults_escaped.tolist()) == ([2], [0])


def test_a_repair_that_does_not_work_leaves_a_known_fault() -> None:
    """A job that a bay lets out after a repair in vain leaves with a fault that was found: no escaped one."""
    ledger = _bay(jobs=1, success=0).ledger
    assert (ledger.jobs_out, ledger.escaped, ledger.first_time, ledger.reworked) == (1, 1, 0, 0)
    assert (ledger.faults_found.tolist(), ledger.faults_escaped.tolist()) == ([1], [0])
    assert ledger.faults_not_put_right.tolist() == [1]


def test_a_bay_with_people_of_two_crews_waits_for_both() -> None:
    """A bay job of two people goes on only while both their crews are on; the other one waits meanwhile.

    Two people, one from each crew. One crew has a break from minute 2 to 3. The job comes at 1:50 = 110 s
    and needs 30 s: 110-120, pause 120-180, 180-200.
    """
    ran = run(
        """
        takt = "60 s"
        run = { calendar = "day", length = "300 s" }
        calendar.day = { shifts = ["06:00-07:00"] }
        calendar.other = { shifts = ["06:00-07:00"], breaks = ["06:02-06:03"] }
        section.line = "free: A"
        station.A.task.fit = { time = "110 s", people = 0, fault = "1 at A.look, rework 30 s" }
        station.A.task.look = { time = "0 s", people = 0, after = ["fit"] }
        bay.rework = { section = "line", people = 2, rejoin = "out" }
        crew.early = "1: rework"
        crew.late = { people = 1, covers = ["rework"], calendar = "other" }
        """,
        jobs=1,
    )
    assert trace(ran, "bay in", "bay out") == ["110 bay in #1 rework", "200 bay out #1 rework"]
    assert operators(ran) == {
        "early 1": {"working": 30, "waiting: job": 270},
        "late 1": {"working": 30, "off": 60, "waiting: job": 210},
    }


def test_the_end_of_a_moving_section_is_held_by_a_full_bay() -> None:
    """A moving section whose last job must wait for the bay is blocked, with everyone on it.

    Takt 10, one station: J1 leaves at 10 into the bay (10-35), J2 at 20 must wait until 35.
    """
    ran = run(
        """
        section.line = "moving: A"
        station.A.task.fit = { time = "4 s", people = 0, fault = "1 at once, rework 25 s" }
        bay.rework = { section = "line", rejoin = "out" }
        crew.r = "1: rework"
        """,
        length="38 s",
        jobs=2,
    )
    assert trace(ran, "mark", "stop", "restart", "bay in", "bay out") == lines(
        """
         0 mark line
        10 mark line
        10 bay in #1 rework
        20 stop A blocked
        35 bay out #1 rework
        35 mark line
        35 bay in #2 rework
        35 restart line
        """
    )
    assert stops(ran) == {"A blocked": 15}
    assert ran.ledger.bay_hold.tolist() == [15_000]
    assert stations(ran) == {"A": {"working": 16, "spare": 4, "blocked": 15, "starved": 3}}


def test_a_section_that_waited_for_a_job_the_bay_took_goes_on() -> None:
    """A section that stands for a job goes on when the last one that could come has gone into a bay.

    Takts of 12 and 10 s; the second section waits for jobs. J1 is at B from 12, due at 22, and B stands for
    J2, which would come at 24 but goes into the bay then, and out. Nobody else comes: J1 may go.
    """
    ran = run(
        """
        model.good = {}
        model.bad = {}
        section.first = { pacing = "moving", stations = ["A"], takt = "12 s" }
        section.second = { pacing = "moving", stations = ["B"], on_gap = "wait" }
        station.A.task.fit = { time = "2 s", people = 0, fault = "bad at once, rework 50 s" }
        bay.rework = { section = "first", rejoin = "out" }
        crew.r = "1: rework"
        """,
        length="40 s",
        jobs=["good", "bad"],
    )
    # the second stands from 0 to 12 for J1, and from 22 to 24, when J2 goes into the bay
    assert trace(ran, "enter", "bay in", "stop", "restart", "line-off") == lines(
        """
         0 enter #1 A
         0 stop B starved
        12 enter #2 A
        12 enter #1 B
        12 restart second
        22 stop B starved
        24 bay in #2 rework
        24 line-off #1
        24 restart second
        """
    )
