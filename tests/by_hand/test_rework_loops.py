"""Jobs that come round again, by hand: rejoining, passes, scrap."""

from typing import Any

import pytest

from tests.lines import Ran, lines, run, tables, trace
from tests.lines import run_tables as run_raw

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
fault = "1 at B.test, rework 10 s"
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


def test_a_job_past_its_passes_needs_no_room_in_the_bay() -> None:
    """A job that has had its passes is scrapped at once, though the bay is full.

    J1 as above; J2 is tested at 11 and goes into the bay when J1 leaves it, 17-27. J1 fails again at 19.
    """
    ran = _loop(jobs=2, success=0, max_passes=1)
    assert trace(ran, "bay in", "bay out", "scrap") == lines(
        """
         7 bay in #1 rework
        17 bay out #1 rework
        17 bay in #2 rework
        19 scrap #1
        27 bay out #2 rework
        29 scrap #2
        """
    )


def test_passes_count_for_each_bay() -> None:
    """A bay counts its own visits: a job that was in another bay before is not scrapped here for it.

    The first bay puts right a fault of A found at A, the second one of B found at B; each allows one pass.
    """
    ran = run(
        """
        flow = ["first", "lane", "second"]
        section.first = "free: A"
        section.second = "free: B"
        buffer.lane = { capacity = 1 }
        station.A.task.fit = { time = "1 s", people = 0, fault = "1 at A.look, one 3 s" }
        station.A.task.look = { time = "1 s", people = 0, after = ["fit"] }
        station.B.task.fit = { time = "1 s", people = 0, fault = "1 at B.look, two 3 s" }
        station.B.task.look = { time = "1 s", people = 0, after = ["fit"] }
        bay.one = { section = "first", rejoin = "lane", max_passes = 1 }
        bay.two = { section = "second", rejoin = "out", max_passes = 1 }
        crew.r = "1: one, two"
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


@pytest.mark.parametrize("pacing", ["free", "moving"])
def test_a_job_that_rejoins_further_down_is_not_waited_for(pacing: str) -> None:
    """A bay that sends jobs past stations does their work: what comes after it further down can begin.

    A's fault is found at A and put right 4-14; the job rejoins the lane before D, past a hall, B and C. D's
    task comes after those of both, and begins at 14.
    """
    ran = run(
        f"""
        flow = ["first", "hall", "second", "third", "lane", "last"]
        section.first = "free: A"
        section.second = "{pacing}: B"
        section.third = "{pacing}: C"
        section.last = "free: D"
        buffer.hall = {{ capacity = 1 }}
        buffer.lane = {{ capacity = 1 }}
        station.A.task.fit = {{ time = "2 s", people = 0, fault = "1 at once, rework 10 s" }}
        station.B.task.fit = "2 s, nobody"
        station.C.task.fit = "2 s, nobody"
        station.D.task.fit = {{ time = "2 s", people = 0, after = ["B.fit", "C.fit"] }}
        bay.rework = {{ section = "first", rejoin = "lane" }}
        crew.r = "1: rework"
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
        14 enter #1 D
        14 task start #1 D.fit
        16 line-off #1
        """
    )


def test_what_is_done_again_is_waited_for_again() -> None:
    """Work further up that a second pass does again is open until then, and what comes after it waits.

    Takt 10; B reaches half a takt up. P 0-1; A 10-18, and B's test, in reach from 15, 18-22 and again 22-26.
    Bay 30-35. A 40-48, the test in reach from 45.
    """
    ran = run(
        """
        flow = ["pre", "lane", "line"]
        section.pre = "free: P"
        section.line = "moving: A, B"
        buffer.lane = { capacity = 1 }
        station.P.task.put = "1 s, nobody"
        station.A.task.fit = { time = "8 s", people = 0, again = true }
        station.B.early = 0.5
        station.B.task.test.time = "4 s"
        station.B.task.test.people = 0
        station.B.task.test.after = ["A.fit"]
        station.B.task.test.again = true
        station.B.task.test.fault = "1 at once, rework 5 s"
        bay.rework = { section = "line", rejoin = "lane" }
        crew.r = "1: rework"
        """,
        length="50 s",
        jobs=1,
    )
    assert trace(ran, "task start", "bay in", "bay out") == lines(
        """
         0 task start #1 P.put
        10 task start #1 A.fit
        18 task start #1 B.test
        22 task start #1 B.test
        30 bay in #1 rework
        35 bay out #1 rework
        40 task start #1 A.fit
        48 task start #1 B.test
        """
    )


def test_what_is_done_again_keeps_its_order() -> None:
    """Tasks done again on a second pass wait for each other as on the first.

    A 0-4; B: screw 4-5, test 5-7, look 7-8; bay 8-18; again the test 18-20 and, after it, the look 20-21.
    """
    raw = tables(LOOP, length="30 s", jobs=1)
    raw["station"]["B"]["task"]["look"] = {"time": "1 s", "people": 0, "again": True, "after": ["test"]}
    assert trace(run_raw(raw), "task start", "bay in", "bay out", "line-off") == lines(
        """
         0 task start #1 A.fit
         4 task start #1 B.screw
         5 task start #1 B.test
         7 task start #1 B.look
         8 bay in #1 rework
        18 bay out #1 rework
        18 task start #1 B.test
        20 task start #1 B.look
        21 line-off #1
        """
    )
    raw["station"]["B"]["task"]["look"]["again"] = False
    assert trace(run_raw(raw), "task start", "line-off")[-2:] == ["18 task start #1 B.test", "20 line-off #1"]


def test_a_carrier_left_before_the_bay_is_not_left_again() -> None:
    """A job that left its carrier with its section comes round without one, and leaves none the next time.

    One carrier, back 3 s after it was left. J1 has it 0-7, J2 from 10: A 10-14, B 14-17. J1 rejoins at 17.
    """
    ring = '[carrier.ring]\ncount = 1\nboards = "first"\nleaves = "second"\nreturns = "3 s"\n'
    ran = run(LOOP + ring, length="40 s", jobs=2)
    assert trace(ran, "line-on", "bay in", "bay out", "line-off") == lines(
        """
         0 line-on #1
         7 bay in #1 rework
        10 line-on #2
        17 bay out #1 rework
        17 bay in #2 rework
        19 line-off #1
        27 bay out #2 rework
        29 line-off #2
        """
    )
    assert ran.ledger.carrier_busy.tolist() == [20_000]


def test_a_carrier_goes_round_with_its_job() -> None:
    """A job that comes back with its carrier boards with it again; one that is scrapped leaves it behind.

    The carrier boards at B at 4 and is left behind Z: B to 7, bay to 17, B again to 19, Z to 20. Where no
    repair helps the job is scrapped at 19, and the carrier is back 3 s later.
    """
    more = '[section.third]\npacing = "free"\nstations = ["Z"]\n[station.Z.task]\n'
    more += 'pack = { time = "1 s", people = 0 }\n'
    more += '[carrier.ring]\ncount = 1\nboards = "second"\nleaves = "third"\nreturns = "3 s"\n'
    text = LOOP.replace('"lane", "second"]', '"lane", "second", "third"]') + more
    ran = run(text, length="40 s", jobs=1)
    assert trace(ran, "line-off", "scrap") == ["20 line-off #1"]
    assert ran.ledger.carrier_busy.tolist() == [19_000]  # 4-23
    gone = run(
        text.replace("[bay.rework]", "[bay.rework]\nsuccess = 0\nmax_passes = 1"), length="40 s", jobs=1
    )
    assert trace(gone, "line-off", "scrap") == ["19 scrap #1"]
    assert gone.ledger.carrier_busy.tolist() == [18_000]  # 4-22
