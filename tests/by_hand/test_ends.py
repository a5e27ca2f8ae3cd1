"""Supply, removal, carriers, feeders, the first and the last instant, by hand."""

import pytest

from linesim.errors import LineStuck
from tests.lines import Ran, lines, paced, run, run_tables, sections, stations, stops, tables, tandem, trace

ONE = """
[section.line]
pacing = "free"
stations = ["A"]
[station.A.task.fit]
time = "4 s"
people = 0
"""


# Supply


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


# Removal


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


# Carriers

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


# Feeders

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


def test_a_feeder_of_a_free_section() -> None:
    """A free station takes a job only with its unit, and a feeder without a place hands it over then.

    F 14 s, A 5 s: A 14-19, 28-33, 42-47; F never blocked, A starved meanwhile.
    """
    text = FEEDER.replace('"moving"', '"free"', 1).replace('flow = ["side", "hook"]', 'flow = ["side"]')
    text = text.replace("[buffer.hook]\ncapacity = 1\n", "")
    ran = run(text, length="50 s")
    assert [e.time / 1000 for e in ran.events if e.what == "merge"] == [14, 28, 42]
    assert stations(ran) == {"A": {"starved": 35, "working": 15}, "F": {"working": 50}}


def test_a_job_that_comes_round_again_keeps_its_unit_and_carrier() -> None:
    """A job that a bay sends back before its section has unit and carrier already and takes none again.

    Every job is faulty: A 0-5, redone 5-10, bay 10-13, in the lane and on again at 13, fit not done again.
    Three jobs, three units, three carriers are enough.
    """
    ran = run(
        """
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
        fault = { chance = 1, found = "at once", tries = 1, right = "rework", repair = "3 s" }
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
        """,
        length="100 s",
        jobs=3,
    )
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


def test_a_unit_that_is_scrapped_is_no_job() -> None:
    """A feeder's unit that its bay gives up is not counted among the jobs."""
    ran = run(
        FEEDER
        + """
        again = true
        fault = { chance = 1, found = "at once", tries = 1, right = "rework", repair = "3 s" }
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


# The first instant, and the last


def test_a_listed_sequence_ends() -> None:
    """After the last order nobody comes; the line empties itself and starves."""
    ran = run_tables(paced([(3, 3)] * 2, takt=10, length=60))
    assert ran.ledger.jobs_out == 2
    assert ran.ledger.inside_end == 0
    assert stations(ran)["S1"] == {"working": 6, "spare": 14, "starved": 40}


def test_a_job_that_leaves_as_the_run_ends_is_inside() -> None:
    """The run ends before its last tick: a job that would leave in it is still inside."""
    assert run_tables(tandem([(3, 4)], (0,), length=7)).ledger.jobs_out == 0
    assert run_tables(tandem([(3, 4)], (0,), length=7.001)).ledger.jobs_out == 1


def test_accounts_open_when_the_warm_up_ends() -> None:
    """What lies before the end of the warm-up is not counted; what goes on through it is counted from there.

    One station of 10 s a job: 0-10, 10-20, ... Warm-up 14 s: the second job is inside and comes out at 20. An
    end at 34: jobs out at 20 and 30, working all 20 s.
    """
    ran = run(
        ONE.replace("4 s", "10 s") + '[run]\nwarm_up = "14 s"\nlength = "20 s"\n',
    )
    ledger = ran.ledger
    assert (ledger.start, ledger.end, ledger.inside_start, ledger.inside_end) == (14_000, 34_000, 1, 1)
    assert (ledger.jobs_in, ledger.jobs_out, ledger.job_time) == (2, 2, 20_000)
    assert ledger.lead_time == 20_000  # of both jobs in full: 10-20 and 20-30
    assert stations(ran) == {"A": {"working": 20}}


def test_a_stop_through_the_end_of_the_warm_up() -> None:
    """A stop that goes on as the accounts open has its minutes from there on, and counts as begun before."""
    raw = paced([(15,)], takt=10, length=10)
    raw["run"]["warm_up"] = "12 s"
    ran = run_tables(raw)
    assert stops(ran) == {"S1 overrun": 3}
    assert int(ran.ledger.stops.sum()) == 0
    assert sections(ran) == {"line": {"stopped": 3, "running": 7}}


def test_a_change_in_the_instant_of_opening_is_counted() -> None:
    """What happens in the very tick in which the accounts open is counted."""
    ran = run(ONE + '[run]\nwarm_up = "4 s"\nlength = "4 s"\n')
    assert (ran.ledger.inside_start, ran.ledger.jobs_in, ran.ledger.jobs_out, ran.ledger.inside_end) == (
        1,
        1,
        1,
        1,
    )


def test_shifts_count_what_leaves_in_them() -> None:
    """Shift-long windows share the jobs and the stopped time; a job at the border counts in the later one."""
    raw = paced([(12,), (3,), (3,)], takt=10, length=33)
    raw["run"]["shift"] = "11 s"
    ran = run_tables(raw)
    # J1 0-12 (stopped 10-12), J2 12-22, J3 22-32
    assert ran.ledger.windows.tolist() == [[0, 11_000], [11_000, 22_000], [22_000, 33_000]]
    assert ran.ledger.window_jobs.tolist() == [0, 1, 2]
    assert ran.ledger.window_stop.tolist() == [[1_000], [1_000], [0]]


FULL = """
takt = "10 s"
flow = ["line", "lane", "end"]
[run]
start = "full"
[section.line]
pacing = "moving"
stations = ["A", "B"]
[section.end]
pacing = "free"
stations = ["Z"]
[buffer.lane]
capacity = 3
level = 2
[station.A.task.fit]
time = "3 s"
people = 0
[station.B.task.fit]
time = "4 s"
people = 0
after = ["A.fit"]
[station.Z.task.test]
time = "9 s"
people = 0
"""


def _full(more: str = "", **keys: str) -> Ran:
    return run(FULL + more, length="25 s", **keys)  # type: ignore[arg-type]


def test_a_run_that_starts_full() -> None:
    """At the start every place has a job and every buffer its level, with what lies behind them done.

    Z: J1 0-9; lane: J2, J3; B: J4 0-4, A: J5 0-3. Mark 10: J4 to the lane, J6 boards.
    """
    ran = _full()
    assert trace(ran, "line-on", "buffer in", "buffer out", "task start", "mark", "line-off") == lines(
        """
         0 line-on #1
         0 line-on #2
         0 buffer in #2 lane
         0 line-on #3
         0 buffer in #3 lane
         0 line-on #4
         0 line-on #5
         0 task start #4 B.fit
         0 task start #5 A.fit
         0 task start #1 Z.test
         9 line-off #1
         9 buffer out #2 lane
         9 task start #2 Z.test
        10 mark line
        10 line-on #6
        10 buffer in #4 lane
        10 task start #5 B.fit
        10 task start #6 A.fit
        18 line-off #2
        18 buffer out #3 lane
        18 task start #3 Z.test
        20 mark line
        20 line-on #7
        20 buffer in #5 lane
        20 task start #6 B.fit
        20 task start #7 A.fit
        """
    )
    assert stations(ran)["A"] == {"working": 9, "spare": 16}
    assert ran.ledger.jobs_in == 7


def test_a_full_start_takes_no_notice_of_the_supply_gate() -> None:
    """The jobs of a full start are there already; supply brings the next ones as it would."""
    ran = _full('[supply]\nevery = "7 s"\n')
    on = [e.time / 1000 for e in ran.events if e.what == "line-on"]
    assert on == [0, 0, 0, 0, 0, 10, 20]  # the sixth came at 7 and boards at the mark


def test_a_full_start_puts_jobs_in_buffers_on_their_carriers() -> None:
    """Jobs that start in a buffer inside a carrier's round have a carrier like those at stations.

    Five jobs and six carriers: one is left for the mark of 10; another comes back at 9 + 5 = 14, for that
    of 20.
    """
    carrier = '[carrier.skillet]\ncount = 6\nboards = "line"\nleaves = "end"\nreturns = "5 s"\n'
    ran = _full(carrier)
    assert [e.time / 1000 for e in ran.events if e.what == "line-on"] == [0, 0, 0, 0, 0, 10, 20]
    # 5 away from 0, 6 from 10 to 14, 5 to 20 (J1's), 6 from 20; J2's back at 18 + 5 = 23: 5 from 23
    assert ran.ledger.carrier_busy.tolist() == [(5 * 10 + 6 * 4 + 5 * 6 + 6 * 3 + 5 * 2) * 1000]
    five = _full(carrier.replace("6", "5"))
    assert [e.time / 1000 for e in five.events if e.what == "line-on"] == [0, 0, 0, 0, 0, 20]


# A line that can no longer move


def test_a_loop_that_locks_itself_is_told() -> None:
    """A bay that cannot give back, a section held by it and a full lane hold each other: the run says so.

    Every job is faulty on every pass, the bay has one place and gives back to a lane of one place before the
    section: J1 in the bay at 2, J2 held in A, J3 in the lane; J1 is done and finds no room.
    """
    raw = tables(
        """
        flow = ["pre", "lane", "line"]
        [section.pre]
        pacing = "free"
        stations = ["P"]
        [section.line]
        pacing = "free"
        stations = ["A"]
        [buffer.lane]
        capacity = 1
        [station.P.task.put]
        time = "1 s"
        people = 0
        [station.A.task.test]
        time = "1 s"
        people = 0
        again = true
        fault = { chance = 1, found = "at once", tries = 1, right = "rework", repair = "5 s" }
        [bay.rework]
        section = "line"
        rejoin = "lane"
        [crew.r]
        people = 1
        covers = ["rework"]
        """,
        length="60 s",
    )
    with pytest.raises(LineStuck) as stuck:
        run_tables(raw)
    assert stuck.value.at == 60_000
    assert "buffer lane holds 1 of 1" in str(stuck.value)


def test_an_empty_line_is_not_stuck() -> None:
    """A line that is merely empty, or waits for a job that will come, runs to its end."""
    assert run_tables(tandem([(1, 1)], (0,), length=60)).ledger.jobs_out == 1
    ran = run(ONE + '[supply]\nat_s = [50.0]\n[run]\nshift = "10 s"\n', length="60 s")
    assert ran.ledger.jobs_out == 1


def test_a_line_without_work_is_told() -> None:
    """Where no work takes any time jobs come and go in one instant without end; the run says so and ends."""
    with pytest.raises(LineStuck, match="came and went in one instant"):
        run(ONE.replace("4 s", "0 s"), length="60 s")
    assert run(ONE.replace("4 s", "0 s"), length="60 s", jobs=50).ledger.jobs_out == 50
