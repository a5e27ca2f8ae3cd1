"""Jobs given up, by hand: a fault whose job is scrapped leaves the line at the end of its section."""

from tests.lines import lines, run, stations, trace


def test_a_job_with_a_fault_past_mending_is_given_up() -> None:
    """A job on which the test finds a crack leaves the line where the test ends, and is no finished job.

    A 0-4, 4-8, 8-12; the test takes 2 s. J2 is cracked: found at 10, gone at 10. J3 is tested 12-14.
    """
    ran = run(
        """
        flow = ["make", "check", "pack"]
        model.good = {}
        model.bad = {}
        section.make = "free: A"
        section.check = "free: T"
        section.pack = "free: P"
        station.A.task.cast = { time = "4 s", people = 0, fault = "bad at T.test, scrap" }
        station.T.task.test = "2 s, nobody"
        station.P.task.box = "1 s, nobody"
        """,
        length="20 s",
        jobs=["good", "bad", "good"],
    )
    assert trace(ran, "found", "scrap", "line-off") == lines(
        """
         7 line-off #1
        10 found #2 T A.cast.fault
        10 scrap #2
        15 line-off #3
        """
    )
    ledger = ran.ledger
    assert (ledger.jobs_in, ledger.jobs_out, ledger.jobs_scrapped, ledger.inside_end) == (3, 2, 1, 0)
    assert (ledger.first_time, ledger.reworked, ledger.escaped) == (2, 0, 0)
    assert (ledger.faults_found[0], ledger.faults_escaped[0], ledger.faults_not_put_right[0]) == (1, 0, 0)
    assert ledger.lead_time == 7_000 + 7_000  # of the finished ones: 0-7 and 8-15
    assert stations(ran)["P"] == {"working": 2, "starved": 18}


def test_a_job_given_up_is_not_carried_past_a_bay() -> None:
    """A job with a dent for a bay that is full and a crack past mending is scrapped, and not carried on.

    J1 has a dent only and is in the bay 6-36; J2, with both, is tested at 10.
    """
    ran = run(
        """
        model.dented = {}
        model.both = {}
        section.line = "free: A, T"
        station.A.task.cast = { time = "2 s", people = 0, fault = "both at T.test, scrap" }
        station.A.task.trim.time = "2 s"
        station.A.task.trim.people = 0
        station.A.task.trim.after = ["cast"]
        station.A.task.trim.fault = "1 at T.test, rework 30 s"
        station.T.task.test = "2 s, nobody"
        bay.rework = { section = "line", rejoin = "out", on_full = "carry on" }
        crew.r = "1: rework"
        """,
        length="20 s",
        jobs=["dented", "both"],
    )
    assert trace(ran, "bay in", "scrap", "line-off") == ["6 bay in #1 rework", "10 scrap #2"]
    assert ran.ledger.bay_carried_on.tolist() == [0]


#: The first section finds two faults at its last station; the second one waits for jobs.
BELT = """
model.good = {}
model.bad = {}
section.first = "moving: A, B"
section.second = { pacing = "moving", stations = ["C"], on_gap = "wait" }
carrier.plate = { count = 3, boards = "first", leaves = "second", returns = "0 s" }
station.A.task.fit.time = "2 s"
station.A.task.fit.people = 0
station.A.task.fit.fault.crack = "bad at B, scrap"
station.A.task.fit.fault.dirt = "bad at B, wash 30 s"
station.B.task.fit = "3 s, nobody"
bay.wash = { section = "first", rejoin = "out", on_full = "carry on" }
crew.r = "1: wash"
"""


def test_on_a_conveyor_it_travels_to_the_end_of_its_section() -> None:
    """A job to be given up keeps its place and its work to the end of its section, where no bay takes it.

    Crack and dirt are found at B at 20, when J2 comes there; B works on it all the same, 20-23. At 30 it is
    at the end: scrapped, its carrier is back. J1, at C since 20, would have been kept there until the next
    job comes; now none is left to come.
    """
    ran = run(BELT, length="70 s", jobs=["good", "bad"])
    assert trace(ran, "enter", "found", "scrap", "bay in", "stop", "restart", "line-off") == lines(
        """
         0 enter #1 A
         0 stop C starved
        10 enter #1 B
        10 enter #2 A
        20 found #2 B A.fit.crack
        20 found #2 B A.fit.dirt
        20 enter #2 B
        20 enter #1 C
        20 restart second
        30 scrap #2
        30 line-off #1
        """
    )
    ledger = ran.ledger
    assert (ledger.bay_jobs[0], ledger.bay_carried_on[0], ledger.jobs_scrapped) == (0, 0, 1)
    assert ledger.carrier_busy.tolist() == [50_000]  # 0-30 with J1, 10-30 with J2
    assert stations(ran)["B"]["working"] == 6


def test_a_task_redone_in_vain_may_cost_the_job() -> None:
    """Where a fault is found at once, the job is given up when the last try has failed."""
    ran = run(
        """
        section.line = "free: A"
        station.A.task.weld.time = "4 s"
        station.A.task.weld.people = 0
        station.A.task.weld.fault = { chance = 1, found = "at once", tries = 2, right = "scrap" }
        """,
        length="13 s",
        jobs=1,
    )
    assert trace(ran, "redo", "found", "scrap") == lines(
        """
         4 found #1 A A.weld.fault
         4 redo #1 A.weld
         8 found #1 A A.weld.fault
         8 redo #1 A.weld
        12 found #1 A A.weld.fault
        12 scrap #1
        """
    )


def test_a_unit_of_a_feeder_is_given_up_alone() -> None:
    """A unit that its feeder scraps never joins; the job takes the next one, and is not scrapped itself.

    Units have the model of the order with their number. Each takes 3 s, a bad one is redone once. Unit 1
    is given up at 6, unit 2 joins J1 at 9; unit 3 is there at 12, when J2 takes it. M takes 1 s.
    """
    ran = run(
        """
        flow = ["main"]
        model.bad = {}
        model.good = {}
        section.main = "free: M"
        section.side = "free: F"
        feeder.side = { flow = ["side"], joins = "main" }
        station.F.task.press.time = "3 s"
        station.F.task.press.people = 0
        station.F.task.press.fault.chance = 0
        station.F.task.press.fault.found = "at once"
        station.F.task.press.fault.right = "scrap"
        station.F.task.press.fault.chance_for = { bad = 1 }
        station.M.task.fit = "1 s, nobody"
        """,
        length="20 s",
        jobs=["bad", "good", "good"],
    )
    assert trace(ran, "scrap", "merge", "line-off") == lines(
        """
         6 scrap #1 side
         9 merge #1 side
        10 line-off #1
        12 merge #2 side
        13 line-off #2
        """
    )
    assert (ran.ledger.jobs_scrapped, ran.ledger.units_in[0], ran.ledger.units_merged[0]) == (0, 3, 2)
