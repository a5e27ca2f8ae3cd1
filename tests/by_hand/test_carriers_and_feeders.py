"""Carriers that come back empty, and feeders that join, by hand."""

from tests.lines import lines, run, stations, stops, trace

CARRIERS = """
[section.line]
pacing = "moving"
stations = ["A"]
[section.end]
pacing = "free"
stations = ["Z"]
[station.Z.task.test]
time = "3 s"
people = 0
[carrier.skillet]
count = 2
boards = "line"
leaves = "end"
returns = "12 s"
"""


def test_jobs_wait_for_a_carrier() -> None:
    """A job boards only with a carrier, which comes back a while after it was released; the section starves.

    Takt 10, two carriers. J1 boards at 0, to Z at 10, off at 13, carrier back at 25. J2 boards at 10, Z
    20-23, carrier back at 35. At 20 none is free: a gap. J3 boards at 30 (carrier of 25), J4 at 40.
    """
    ran = run(CARRIERS, length="45 s")
    assert trace(ran, "line-on", "line-off") == lines(
        """
         0 line-on #1
        10 line-on #2
        13 line-off #1
        23 line-off #2
        30 line-on #3
        40 line-on #4
        43 line-off #3
        """
    )
    assert stations(ran)["A"] == {"spare": 35, "starved": 10}
    # away: 0-25, 10-35, 30-, 40-
    assert ran.ledger.carrier_busy.tolist() == [(25 + 25 + 15 + 5) * 1000]
    # the gap of 20-30 is for want of a carrier, to its end, though one is back at 25
    assert ran.ledger.carrier_short.tolist() == [10 * 1000]


def test_where_no_job_waits_no_carrier_is_short() -> None:
    """A place that is empty because no job comes is not empty for want of a carrier."""
    assert run(CARRIERS, length="45 s", jobs=1).ledger.carrier_short.tolist() == [0]


def test_a_section_that_waits_for_carriers_stands_starved() -> None:
    """With on_gap = "wait" the section stands until a carrier is back, booked to its first station."""
    ran = run(CARRIERS.replace('["A"]', '["A"]\non_gap = "wait"', 1), length="45 s")
    # 20: nobody can board, J2 stays; J1's carrier is back at 25. J2 to Z 25-28, its carrier back at 40.
    # Mark 35: J1's is with J3, J2's on its way: until 40.
    assert trace(ran, "line-on", "stop", "restart") == lines(
        """
         0 line-on #1
        10 line-on #2
        20 stop A starved
        25 line-on #3
        25 restart line
        35 stop A starved
        40 line-on #4
        40 restart line
        """
    )
    assert stops(ran) == {"A starved": 10}
    assert ran.ledger.carrier_short.tolist() == [10 * 1000]


def test_a_place_that_cannot_be_left_is_not_empty_for_want_of_a_carrier() -> None:
    """Where gaps pass, a section whose end is blocked stands with its first place full: no carrier is short.

    Z needs 25 s. J1 is in Z 10-35, J2 in A from 10, done at once; J3 waits without a carrier. The mark of 20
    finds Z full. At 35 J2 goes on, and J1's carrier is back at 47: the place is empty for want of it until
    the end.
    """
    ran = run(CARRIERS.replace("3 s", "25 s"), length="40 s")
    assert trace(ran, "line-on", "stop", "restart", "line-off") == lines(
        """
         0 line-on #1
        10 line-on #2
        20 stop A blocked
        35 line-off #1
        35 restart line
        """
    )
    assert ran.ledger.carrier_short.tolist() == [5 * 1000]


def test_a_section_that_is_off_wants_no_carrier() -> None:
    """A free section whose chain has failed is not kept empty by carriers: nobody could move anyway.

    One carrier: J1 boards at 0, off the line at 2 + 3, the carrier back at 17. J2 could board from 2 on. The
    chain of the first section fails after 4 s, 4 to 14: short 2-4 and 14-17.
    """
    text = CARRIERS.replace("count = 2", "count = 1").replace('"moving"', '"free"', 1)
    work = """
    [station.A.task.fit]
    time = "2 s"
    people = 0
    [section.line.failure.chain]
    every = "4 s"
    lasts = "10 s"
    per = "calendar"
    """
    ran = run(text + work, length="18 s")
    assert trace(ran, "line-on", "line-off", "fail", "repaired") == lines(
        """
         0 line-on #1
         4 fail section.line.failure.chain
         5 line-off #1
        14 repaired section.line.failure.chain
        17 line-on #2
        """
    )
    assert ran.ledger.carrier_short.tolist() == [(2 + 3) * 1000]


FEEDER = """
flow = ["line"]
[section.line]
pacing = "moving"
stations = ["A"]
[section.side]
pacing = "free"
stations = ["F"]
[buffer.hook]
capacity = 1
[feeder.axle]
flow = ["side", "hook"]
joins = "line"
[station.A.task.fit]
time = "5 s"
people = 0
[station.F.task.build]
time = "14 s"
people = 0
"""


def test_a_job_takes_a_unit_of_the_feeder() -> None:
    """A job boards with one unit of the feeder; while none is ready a gap passes.

    Units are ready at 14, 28, 42 (the hook has one place). Marks 0, 10: no unit; 20: J1 with the first; 30:
    J2; 40: gap; 50: J3.
    """
    ran = run(FEEDER, length="55 s")
    assert trace(ran, "merge", "line-on")[:7] == lines(
        """
         0 line-on #1 axle
        14 line-on #2 axle
        20 line-on #1
        20 merge #1 axle
        28 line-on #3 axle
        30 line-on #2
        30 merge #2 axle
        """
    )
    assert [e.time / 1000 for e in ran.events if e.what == "merge"] == [20, 30, 50]
    ledger = ran.ledger
    assert (ledger.units_in[0], ledger.units_merged[0], ledger.jobs_in) == (4, 3, 3)
    assert stations(ran)["A"] == {"starved": 30, "working": 15, "spare": 10}
    assert stations(ran)["F"] == {"working": 55}  # 0-14, 14-28, 28-42, 42-


def test_faults_of_a_unit_go_on_with_the_job() -> None:
    """What went wrong on a unit is found on the job that took it."""
    faulty = (
        FEEDER + 'fault = { chance = 1, found = "A", repair = "1 s" }\n[crew.a]\npeople = 1\ncovers = ["A"]\n'
    )
    ran = run(faulty, length="25 s")
    assert trace(ran, "merge", "found") == ["20 merge #1 axle", "20 found #1 A F.build.fault"]


def test_a_feeder_of_a_free_section() -> None:
    """A free station takes a job only with its unit, and a feeder without a place hands it over then.

    F 14 s, A 5 s: A 14-19, 28-33, 42-47; F never blocked, A starved meanwhile.
    """
    text = FEEDER.replace('"moving"', '"free"', 1).replace('flow = ["side", "hook"]', 'flow = ["side"]')
    text = text.replace("[buffer.hook]\ncapacity = 1\n", "")
    ran = run(text, length="50 s")
    assert [e.time / 1000 for e in ran.events if e.what == "merge"] == [14, 28, 42]
    assert stations(ran) == {"A": {"starved": 35, "working": 15}, "F": {"working": 50}}


#: Every job goes wrong at A, and the bay sends it into the lane before its section again.
ROUND = """
flow = ["pre", "lane", "line"]
[section.pre]
pacing = "free"
stations = ["P"]
[section.line]
pacing = "free"
stations = ["A", "B"]
[section.side]
pacing = "free"
stations = ["F"]
[buffer.lane]
capacity = 3
[feeder.axle]
flow = ["side"]
joins = "line"
[carrier.skillet]
count = 1
boards = "line"
leaves = "line"
returns = "0 s"
[station.P.task.put]
time = "20 s"
people = 0
[station.A.task.fit]
time = "5 s"
people = 0
fault = "1 at once, rework 3 s"
[station.B.task.look]
time = "0 s"
people = 0
[station.F.task.build]
time = "4 s"
people = 0
[bay.rework]
section = "line"
rejoin = "lane"
[crew.r]
people = 1
covers = ["rework"]
"""


def test_a_job_that_comes_round_again_keeps_its_unit_and_carrier() -> None:
    """A job that a bay sends back before its section has unit and carrier already and takes none again.

    Every job is faulty: A 0-5, redone 5-10, bay 10-13, in the lane and on again at 13, fit not done again.
    Three jobs, three units, three carriers are enough.
    """
    ran = run(ROUND, length="100 s", jobs=3)
    assert trace(ran, "merge", "bay in", "bay out", "line-off") == lines(
        """
        20 merge #1 axle
        30 bay in #1 rework
        33 bay out #1 rework
        33 line-off #1
        40 merge #2 axle
        50 bay in #2 rework
        53 bay out #2 rework
        53 line-off #2
        60 merge #3 axle
        70 bay in #3 rework
        73 bay out #3 rework
        73 line-off #3
        """
    )
    assert ran.ledger.units_merged.tolist() == [3]


def test_a_job_that_comes_round_wants_no_carrier_that_it_has() -> None:
    """A job that is on its hook and waits for a tray leaves its place empty for want of the tray alone.

    One of each. P 0-1, A 1-3 and again 3-5, the bay 5-8. The tray was left at 5 and is back at 17.
    """
    ran = run(
        """
        flow = ["pre", "lane", "line", "end"]
        section.pre = "free: P"
        section.line = "free: A"
        section.end = "free: Z"
        buffer.lane = { capacity = 1 }
        carrier.tray = { count = 1, boards = "line", leaves = "line", returns = "12 s" }
        carrier.hook = { count = 1, boards = "line", leaves = "end", returns = "0 s" }
        station.P.task.put = "1 s, nobody"
        station.A.task.fit = { time = "2 s", people = 0, fault = "1 at once, rework 3 s" }
        station.Z.task.test = "1 s, nobody"
        bay.rework = { section = "line", rejoin = "lane" }
        crew.r = "1: rework"
        """,
        length="20 s",
        jobs=1,
    )
    assert trace(ran, "enter", "bay in", "bay out", "line-off") == lines(
        """
         0 enter #1 P
         1 enter #1 A
         5 bay in #1 rework
         8 bay out #1 rework
        17 enter #1 A
        17 enter #1 Z
        18 line-off #1
        """
    )
    assert ran.ledger.carrier_short.tolist() == [9 * 1000, 0]
    assert ran.ledger.carrier_busy.tolist() == [(16 + 3) * 1000, 17 * 1000]


def test_a_full_start_fills_feeders() -> None:
    """A unit stands in the hook and another at F when a run starts full: for the jobs of 10 and of 20."""
    full = FEEDER.replace("capacity = 1", "capacity = 1\nlevel = 1") + '[run]\nstart = "full"\n'
    assert trace(run(full, length="25 s"), "merge") == ["10 merge #2 axle", "20 merge #3 axle"]


def test_a_job_of_a_full_start_has_its_unit() -> None:
    """A job that stands beyond the join at the start takes no unit when it comes round again.

    J1 begins at B: look 0-2, again 2-4, bay 4-7, back through A, which has nothing to do; B 7-11, and so on.
    """
    fault = 'fault = "1 at once, rework 3 s"\n'
    look = '[station.B.task.look]\ntime = "0 s"\npeople = 0\n'
    assert fault + look in ROUND
    at_b = ROUND.replace(fault + look, look.replace("0 s", "2 s") + "again = true\n" + fault)
    ran = run(at_b + '[run]\nstart = "full"\n', length="20 s", jobs=1)
    assert trace(ran, "merge", "bay in") == [f"{t} bay in #1 rework" for t in (4, 11, 18)]


def test_a_unit_that_is_scrapped_is_no_job() -> None:
    """A feeder's unit that its bay gives up is not counted among the jobs."""
    ran = run(
        FEEDER
        + """
        again = true
        fault = "1 at once, rework 3 s"
        [bay.rework]
        section = "side"
        rejoin = "hook"
        max_passes = 1
        success = 0
        [crew.r]
        people = 1
        covers = ["rework"]
        """,
        length="100 s",
    )
    ledger = ran.ledger
    assert (ledger.jobs_scrapped, ledger.jobs_in - ledger.jobs_out) == (0, ledger.inside_end)
    assert ledger.units_in[0] > 0
