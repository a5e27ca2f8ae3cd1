"""Faults by hand: found at once, further down, or never; put right there, elsewhere, in a bay."""

from typing import Any

import pytest

from linesim.draws.draws import Draws
from tests.lines import Ran, lines, operators, run, stations, stops, tables, trace
from tests.lines import run_tables as run_raw

# Found at once


def test_a_task_is_redone_until_it_is_right_or_tries_are_spent() -> None:
    """A fault found at once is redone ``tries`` times; what is still wrong then is put right.

    Chance 1, two tries: 3 s at 0, again at 3, again at 6, done at 9 and still wrong; put right there, 2 s:
    11. Three faults made and found, none escapes. Limit 10, in the repair: one second over, as a repeat.
    """
    ran = run(
        """
        [section.line]
        pacing = "moving"
        stations = ["A"]
        [station.A.task.screw]
        time = "3 s"
        fault = { chance = 1, found = "at once", tries = 2, repair = "2 s" }
        [crew.a]
        people = 1
        covers = ["A"]
        """,
        length="15 s",
        jobs=1,
    )
    assert trace(ran)[3:] == lines(
        """
         0 task start #1 A.screw by a 1
         3 task end #1 A.screw by a 1
         3 fault #1 A.screw A.screw.fault
         3 found #1 A A.screw.fault
         3 redo #1 A.screw
         3 task start #1 A.screw by a 1
         6 task end #1 A.screw by a 1
         6 fault #1 A.screw A.screw.fault
         6 found #1 A A.screw.fault
         6 redo #1 A.screw
         6 task start #1 A.screw by a 1
         9 task end #1 A.screw by a 1
         9 fault #1 A.screw A.screw.fault
         9 found #1 A A.screw.fault
         9 task start #1 A.screw to put right A.screw.fault by a 1
        10 stop A repeat
        11 task end #1 A.screw to put right A.screw.fault by a 1
        11 put right #1 A.screw to put right A.screw.fault
        11 mark line
        11 leave #1 A
        11 line-off #1
        11 restart line
        """
    )
    ledger = ran.ledger
    assert (ledger.faults_made[0], ledger.faults_found[0], ledger.faults_escaped[0]) == (3, 3, 0)
    assert (ledger.first_time, ledger.reworked, ledger.escaped) == (0, 1, 0)
    assert stops(ran) == {"A repeat": 1}
    assert stations(ran) == {"A": {"working": 11, "starved": 4}}


def test_a_redo_draws_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every try has its own luck and its own time: wrong, wrong, right takes three times.

    The luck of the tries is set to 0.1, 0.1, 0.9 against a chance of 0.5, the times to 2, 3 and 4 s.
    """
    luck, times = (0.1, 0.1, 0.9), (2000, 3000, 4000)

    def chance(self: Draws, kind: str, name: str, job: int, attempt: int) -> float:
        return luck[attempt]

    def task_ticks(self: Draws, t: int, job: int, attempt: int, shape: int) -> int:
        return times[attempt]

    monkeypatch.setattr(Draws, "chance", chance)
    monkeypatch.setattr(Draws, "task_ticks", task_ticks)
    ran = run(
        """
        [section.line]
        pacing = "free"
        stations = ["A"]
        [station.A.task.screw]
        time = "1 s"
        people = 0
        fault = { chance = 0.5, found = "at once", tries = 5 }
        """,
        length="15 s",
        jobs=1,
    )
    assert trace(ran, "task end") == [
        "2 task end #1 A.screw",
        "5 task end #1 A.screw",
        "9 task end #1 A.screw",
    ]
    assert (ran.ledger.faults_made[0], ran.ledger.first_time, ran.ledger.reworked) == (2, 0, 0)


# Found further down


def _travelling(fault: str, *, more: str = "", length: str = "45 s", jobs: int = 1) -> Ran:
    return run(
        f"""
        [section.line]
        pacing = "moving"
        stations = ["A", "B", "C"]
        [station.A.task.fit]
        time = "2 s"
        people = 0
        fault = {{ chance = 1, {fault} }}
        [station.B.task.test]
        time = "3 s"
        people = 0
        [station.C.task.close]
        time = "1 s"
        people = 0
        [crew.c]
        people = 1
        covers = ["B", "C"]
        {more}
        """,
        length=length,
        jobs=jobs,
    )


def test_a_fault_is_found_as_the_job_comes_to_a_station() -> None:
    """A fault found at a station is found as the job comes there, and put right beside the station's work."""
    ran = _travelling('found = "B", repair = "6 s"')
    assert trace(ran, "fault", "found", "task start", "put right") == lines(
        """
         0 task start #1 A.fit
         2 fault #1 A.fit A.fit.fault
        10 found #1 B A.fit.fault
        10 task start #1 A.fit at B to put right A.fit.fault by c 1
        10 task start #1 B.test
        16 put right #1 A.fit at B to put right A.fit.fault
        20 task start #1 C.close
        """
    )
    assert stations(ran)["B"] == {"starved": 35, "working": 6, "spare": 4}
    assert (ran.ledger.first_time, ran.ledger.reworked, ran.ledger.escaped) == (0, 1, 0)


def test_a_fault_is_found_by_a_task() -> None:
    """A fault found by a task is found as that ends, and put right after it."""
    ran = _travelling('found = "B.test", repair = "6 s"')
    assert trace(ran, "found", "task start", "task end") == lines(
        """
         0 task start #1 A.fit
         2 task end #1 A.fit
        10 task start #1 B.test
        13 task end #1 B.test
        13 found #1 B A.fit.fault
        13 task start #1 A.fit at B to put right A.fit.fault by c 1
        19 task end #1 A.fit at B to put right A.fit.fault by c 1
        20 task start #1 C.close
        21 task end #1 C.close
        """
    )


def test_a_fault_is_put_right_at_a_named_station() -> None:
    """A fault found at one station may be put right at another, where it is part of the work."""
    ran = _travelling('found = "B.test", right = "C", repair = "6 s"')
    assert trace(ran, "found", "put right", "line-off") == lines(
        """
        13 found #1 B A.fit.fault
        26 put right #1 A.fit at C to put right A.fit.fault
        30 line-off #1
        """
    )


def test_a_fault_that_nobody_finds_escapes() -> None:
    """What is not found leaves with the job and is counted as escaped."""
    ran = _travelling('found = "B", detect = 0, repair = "6 s"')
    ledger = ran.ledger
    assert (ledger.faults_made[0], ledger.faults_found[0], ledger.faults_escaped[0]) == (1, 0, 1)
    assert (ledger.jobs_out, ledger.escaped, ledger.reworked) == (1, 1, 0)


def test_the_chance_depends_on_option_and_model() -> None:
    """The first condition met in file order gives the chance: with the option always, as a model never."""
    ran = run(
        """
        [section.line]
        pacing = "moving"
        stations = ["A"]
        [model.m]
        [option.x]
        take = 0.5
        [station.A.task.fit]
        time = "2 s"
        people = 0
        [station.A.task.fit.fault]
        chance = 0
        chance_for = { x = 1, m = 0 }
        found = "at once"
        tries = 1
        """,
        length="25 s",
        jobs=["m", "m+x"],
    )
    assert ran.ledger.faults_made.tolist() == [2]  # the second job, and its redo
    assert trace(ran, "redo") == ["12 redo #2 A.fit"]


# Bays

BAY = """
[section.line]
pacing = "free"
stations = ["A", "B"]
[station.A.task.fit]
time = "4 s"
people = 0
[station.A.task.fit.fault]
chance = 1
found = "B.test"
right = "rework"
repair = "10 s"
[station.B.task.test]
time = "2 s"
people = 0
[bay.rework]
section = "line"
rejoin = "out"
[crew.r]
people = 1
covers = ["rework"]
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
    assert ledger.faults_escaped.tolist() == [2]


#: A loop: the bay sends jobs back into the lane before the test, which is done again on every pass.
LOOP = """
flow = ["first", "lane", "second"]
[section.first]
pacing = "free"
stations = ["A"]
[section.second]
pacing = "free"
stations = ["B"]
[buffer.lane]
capacity = 2
[station.A.task.fit]
time = "4 s"
people = 0
[station.A.task.fit.fault]
chance = 1
found = "B.test"
right = "rework"
repair = "10 s"
[station.B.task]
screw = { time = "1 s", people = 0 }
test = { time = "2 s", people = 0, again = true, after = ["screw"] }
[bay.rework]
section = "second"
rejoin = "lane"
[crew.r]
people = 1
covers = ["rework"]
"""


def _loop(length: str = "100 s", jobs: int = 1, **changes: Any) -> Ran:
    raw = tables(LOOP, length=length, jobs=jobs)
    raw["bay"]["rework"] |= changes
    return run_raw(raw)


def test_a_repaired_job_rejoins_and_is_tested_again() -> None:
    """After a repair the job passes the test again; what was done stays done, the screw is not set twice.

    A 0-4, B screw 4-5, test 5-7, fault; bay 7-17; back in the lane at 17, straight to B: test 17-19, good.
    """
    ran = _loop()
    assert trace(ran, "task start", "bay in", "bay out", "buffer in", "line-off") == lines(
        """
         0 task start #1 A.fit
         4 buffer in #1 lane
         4 task start #1 B.screw
         5 task start #1 B.test
         7 bay in #1 rework
        17 bay out #1 rework
        17 buffer in #1 lane
        17 task start #1 B.test
        19 line-off #1
        """
    )
    assert (ran.ledger.reworked, ran.ledger.escaped, ran.ledger.jobs_out) == (1, 0, 1)


def test_a_repair_that_never_works_ends_in_scrap() -> None:
    """With no success the fault is found again on each pass; after max_passes the job is scrapped at the bay.

    Passes: bay 7-17, test 17-19, bay 19-29, test 29-31; the third time it would come it is scrapped, 31.
    """
    ran = _loop(success=0, max_passes=2)
    assert trace(ran, "found", "bay in", "bay out", "scrap") == lines(
        """
         7 found #1 B A.fit.fault
         7 bay in #1 rework
        17 bay out #1 rework
        19 found #1 B A.fit.fault
        19 bay in #1 rework
        29 bay out #1 rework
        31 found #1 B A.fit.fault
        31 scrap #1
        """
    )
    ledger = ran.ledger
    assert (ledger.jobs_in, ledger.jobs_out, ledger.jobs_scrapped, ledger.inside_end) == (1, 0, 1, 0)
    assert (ledger.bay_jobs[0], ledger.bay_seen[0], ledger.bay_good[0]) == (2, 1, 0)
    assert ledger.job_time == 31_000


def test_passes_count_for_each_bay() -> None:
    """A bay counts its own visits: a job that was in another bay before is not scrapped here for it.

    The first bay puts right a fault of A found at A, the second one of B found at B; each allows one pass.
    """
    ran = run(
        """
        flow = ["first", "lane", "second"]
        [section.first]
        pacing = "free"
        stations = ["A"]
        [section.second]
        pacing = "free"
        stations = ["B"]
        [buffer.lane]
        capacity = 1
        [station.A.task.fit]
        time = "1 s"
        people = 0
        fault = { chance = 1, found = "A.look", right = "one", repair = "3 s" }
        [station.A.task.look]
        time = "1 s"
        people = 0
        after = ["fit"]
        [station.B.task.fit]
        time = "1 s"
        people = 0
        fault = { chance = 1, found = "B.look", right = "two", repair = "3 s" }
        [station.B.task.look]
        time = "1 s"
        people = 0
        after = ["fit"]
        [bay.one]
        section = "first"
        rejoin = "lane"
        max_passes = 1
        [bay.two]
        section = "second"
        rejoin = "out"
        max_passes = 1
        [crew.r]
        people = 1
        covers = ["one", "two"]
        """,
        length="20 s",
        jobs=1,
    )
    assert trace(ran, "bay in", "bay out", "scrap", "line-off") == lines(
        """
         2 bay in #1 one
         5 bay out #1 one
         7 bay in #1 two
        10 bay out #1 two
        10 line-off #1
        """
    )
    assert ran.ledger.bay_seen.tolist() == [1, 1]


def test_a_bay_with_people_of_two_crews_waits_for_both() -> None:
    """A bay job of two people goes on only while both their crews are on; the other one waits meanwhile.

    Two people, one from each crew. One crew has a break from minute 2 to 3. The job comes at 1:50 = 110 s
    and needs 30 s: 110-120, pause 120-180, 180-200.
    """
    ran = run(
        """
        takt = "60 s"
        [run]
        calendar = "day"
        length = "300 s"
        [calendar.day]
        shifts = ["06:00-07:00"]
        [calendar.other]
        shifts = ["06:00-07:00"]
        breaks = ["06:02-06:03"]
        [section.line]
        pacing = "free"
        stations = ["A"]
        [station.A.task.fit]
        time = "110 s"
        people = 0
        fault = { chance = 1, found = "A.look", right = "rework", repair = "30 s" }
        [station.A.task.look]
        time = "0 s"
        people = 0
        after = ["fit"]
        [bay.rework]
        section = "line"
        people = 2
        rejoin = "out"
        [crew.early]
        people = 1
        covers = ["rework"]
        [crew.late]
        people = 1
        covers = ["rework"]
        calendar = "other"
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
        [section.line]
        pacing = "moving"
        stations = ["A"]
        [station.A.task.fit]
        time = "4 s"
        people = 0
        fault = { chance = 1, found = "at once", tries = 1, right = "rework", repair = "25 s" }
        [bay.rework]
        section = "line"
        rejoin = "out"
        [crew.r]
        people = 1
        covers = ["rework"]
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


def test_a_job_that_rejoins_further_down_is_not_waited_for() -> None:
    """A bay that sends jobs past stations does their work: what comes after it further down can begin.

    A's fault is found at A and put right 4-14; the job rejoins the lane before C, past B. C's task comes
    after that of B, and begins at 14.
    """
    ran = run(
        """
        flow = ["first", "second", "lane", "third"]
        [section.first]
        pacing = "free"
        stations = ["A"]
        [section.second]
        pacing = "free"
        stations = ["B"]
        [section.third]
        pacing = "free"
        stations = ["C"]
        [buffer.lane]
        capacity = 1
        [station.A.task.fit]
        time = "2 s"
        people = 0
        fault = { chance = 1, found = "at once", tries = 1, right = "rework", repair = "10 s" }
        [station.B.task.fit]
        time = "2 s"
        people = 0
        [station.C.task.fit]
        time = "2 s"
        people = 0
        after = ["B.fit"]
        [bay.rework]
        section = "first"
        rejoin = "lane"
        [crew.r]
        people = 1
        covers = ["rework"]
        """,
        length="20 s",
        jobs=1,
    )
    # redone 2-4, then the bay 4-14
    assert trace(ran, "enter", "bay in", "bay out", "task start", "line-off")[2:] == lines(
        """
         2 task start #1 A.fit
         4 bay in #1 rework
        14 bay out #1 rework
        14 enter #1 C
        14 task start #1 C.fit
        16 line-off #1
        """
    )
