"""The two ends of the segment by hand: rates, schedules, outages."""

from tests.lines import lines, paced, run, run_tables, stations, stops, trace

ONE = """
[section.line]
pacing = "free"
stations = ["A"]
[station.A.task.fit]
time = "4 s"
people = 0
"""


def test_supply_at_a_rate() -> None:
    """Jobs come one gap apart, the first after one gap, and wait before the line while it is full.

    Every 3 s: 3, 6, 9, 12; A takes 4 s: 3-7, 7-11, 11-15, 15-19.
    """
    ran = run(ONE + '[supply]\nevery = "3 s"\n', length="16 s")
    assert trace(ran, "line-on") == lines("3 line-on #1\n7 line-on #2\n11 line-on #3\n15 line-on #4")
    assert stations(ran) == {"A": {"starved": 3, "working": 13}}
    slow = run(ONE + '[supply]\nevery = "6 s"\n', length="20 s")
    assert trace(slow, "line-on") == lines("6 line-on #1\n12 line-on #2\n18 line-on #3")
    assert stations(slow) == {"A": {"starved": 10, "working": 10}}


def test_supply_by_a_schedule() -> None:
    """Jobs come at the moments given, two at once where it says so, and none after the last."""
    ran = run(ONE + "[supply]\nat_s = [2.0, 2.0, 20.0]\n", length="30 s")
    assert trace(ran, "line-on", "line-off") == lines(
        """
         2 line-on #1
         6 line-off #1
         6 line-on #2
        10 line-off #2
        20 line-on #3
        24 line-off #3
        """
    )


def test_an_outage_of_supply() -> None:
    """While supply is out nothing comes on; jobs that came due meanwhile wait outside.

    Every 5 s; out 7-17 and from 24 on. Due at 5, 10, 15, 20, 25: the first comes on at 5, the second at 17,
    the third when A is free of that at 21, the fourth would at 25.
    """
    ran = run(
        ONE + '[supply]\nevery = "5 s"\n[supply.outage.paint]\nevery = "7 s"\nlasts = "10 s"\n', length="30 s"
    )
    assert trace(ran, "line-on", "fail", "repaired") == lines(
        """
         5 line-on #1
         7 fail supply.paint
        17 repaired supply.paint
        17 line-on #2
        21 line-on #3
        24 fail supply.paint
        """
    )


def test_an_outage_of_endless_supply() -> None:
    """While endless supply is out the first station starves, and the next job comes as it is back.

    Out after 6 s for 5 s: 6-11. A: 0-4, 4-8, then nobody until 11; the next outage is at 17.
    """
    ran = run(ONE + '[supply.outage.paint]\nevery = "6 s"\nlasts = "5 s"\n', length="16 s")
    assert trace(ran, "line-on") == lines("0 line-on #1\n4 line-on #2\n11 line-on #3\n15 line-on #4")
    assert stations(ran) == {"A": {"working": 13, "starved": 3}}


def test_removal_at_a_rate_takes_one_each_time() -> None:
    """A finished job waits for the gate; a gate that opened for nobody waits for one job, not for more.

    A 4 s a job, removal every 10 s: done at 4, taken at 10; 14, 20; 24, 30.
    """
    ran = run(ONE + '[removal]\nevery = "10 s"\n', length="33 s")
    assert trace(ran, "line-off") == lines("10 line-off #1\n20 line-off #2\n30 line-off #3")
    assert stations(ran) == {"A": {"working": 15, "blocked": 18}}  # 0-4, 10-14, 20-24, 30-33


def test_removal_does_not_save_up() -> None:
    """Openings that nobody used do not add up: after a long gap one job is taken at once, the next waits.

    Jobs come at 35, 36 and 37 s; removal opens at 10, 20, 30 for nobody, and stands open: J1, done at 39, is
    taken at once. The gate of 40 takes J2 at 43; J3 is done at 47 and waits until 50.
    """
    ran = run(ONE + '[removal]\nevery = "10 s"\n[supply]\nat_s = [35.0, 36.0, 37.0]\n', length="70 s")
    assert trace(ran, "line-off") == lines("39 line-off #1\n43 line-off #2\n50 line-off #3")


def test_an_outage_of_removal() -> None:
    """While removal is out the end of the line is blocked."""
    ran = run(ONE + '[removal.outage.yard]\nevery = "6 s"\nlasts = "5 s"\n', length="16 s")
    # J1 out at 4; J2 done at 8, out from 6 to 11; J3 11-15
    assert trace(ran, "line-off") == lines("4 line-off #1\n11 line-off #2\n15 line-off #3")
    assert stations(ran) == {"A": {"working": 13, "blocked": 3}}


def test_removal_blocks_a_moving_section() -> None:
    """A moving section whose last job nobody takes stands as blocked; everyone on it is blocked."""
    raw = paced([(3, 3)] * 3, takt=10, length=38)
    raw["removal"] = {"at_s": [25.0, 30.0, 90.0]}
    ran = run_tables(raw)
    assert trace(ran, "mark", "stop", "restart", "line-off") == lines(
        """
         0 mark line
        10 mark line
        20 stop S2 blocked
        25 mark line
        25 line-off #1
        25 restart line
        35 mark line
        35 line-off #2
        """
    )
    assert stops(ran) == {"S2 blocked": 5}
    assert stations(ran)["S1"] == {"working": 9, "spare": 21, "blocked": 5, "starved": 3}


def test_a_listed_sequence_ends() -> None:
    """After the last order nobody comes; the line empties itself and starves."""
    ran = run_tables(paced([(3, 3)] * 2, takt=10, length=60))
    assert ran.ledger.jobs_out == 2
    assert ran.ledger.inside_end == 0
    assert stations(ran)["S1"] == {"working": 6, "spare": 14, "starved": 40}


def test_a_section_waits_for_a_supply_that_goes_on() -> None:
    """With on_gap = "wait" a section stands until the next job of a supply by rate, which has no last one."""
    ran = run(
        """
        supply = { every = "25 s" }
        section.line = { pacing = "moving", stations = ["A"], on_gap = "wait" }
        """,
        length="60 s",
    )
    assert trace(ran, "line-on", "stop", "restart") == lines(
        """
         0 stop A starved
        25 line-on #1
        25 restart line
        35 stop A starved
        50 line-on #2
        50 restart line
        """
    )


def test_a_section_waits_for_the_last_job_of_a_supply_that_is_out() -> None:
    """With on_gap = "wait" a section stands for a job that came due and stands before the gate.

    Jobs come at 0 and 5 and no more. The mark of 10 finds supply out, 8-15. That of 25 finds nobody left.
    """
    ran = run(
        """
        supply.at_s = [0.0, 5.0]
        supply.outage.road = { every = "8 s", lasts = "7 s", per = "calendar" }
        section.line = { pacing = "moving", stations = ["A"], on_gap = "wait" }
        """,
        length="28 s",
    )
    assert trace(ran, "line-on", "stop", "restart", "line-off") == lines(
        """
         0 line-on #1
        10 stop A starved
        15 line-on #2
        15 line-off #1
        15 restart line
        25 line-off #2
        """
    )
