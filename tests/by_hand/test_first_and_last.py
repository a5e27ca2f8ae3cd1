"""The first and the last instant by hand: full starts, warm-up, shift-long windows, the end."""

from tests.lines import Ran, lines, paced, run, run_tables, sections, stations, stops, tandem, trace

ONE = """
[section.line]
pacing = "free"
stations = ["A"]
[station.A.task.fit]
time = "4 s"
people = 0
"""


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


def test_a_stop_from_before_a_shift_counts_from_its_beginning() -> None:
    """A shift has the part of a stop that lies in it, also where the stop began in measured time before it.

    The warm-up ends at 60; the first whole shift is 120 to 240. The section stands from 60 to 130.
    """
    raw = paced([(130,)], takt=60, length=180)
    raw["run"] |= {"warm_up": "60 s", "calendar": "day"}
    raw["calendar"] = {"day": {"shifts": ["06:00-06:02", "06:02-06:04"]}}
    ran = run_tables(raw)
    assert stops(ran) == {"S1 overrun": 70}
    assert ran.ledger.windows.tolist() == [[120_000, 240_000]]
    assert ran.ledger.window_stop.tolist() == [[10_000]]


def test_shifts_count_what_bays_put_right_in_them() -> None:
    """Every job goes wrong and is put right in 10 s: at 16, 26 and 36 a bay is done with one."""
    ran = run(
        """
        run = { shift = "20 s" }
        section.line = "free: A"
        station.A.task.fit = { time = "3 s", people = 0, fault = "1 at once, rework 10 s" }
        bay.rework = { section = "line", waiting = 9, rejoin = "out" }
        crew.r = "1: rework"
        """,
        length="40 s",
        jobs=3,
    )
    assert trace(ran, "bay out") == [f"{t} bay out #{j} rework" for t, j in ((16, 1), (26, 2), (36, 3))]
    assert ran.ledger.window_reworked.tolist() == [1, 2]


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


def _full(more: str = "", jobs: int = 0) -> Ran:
    return run(FULL + more, length="25 s", jobs=jobs or ())


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
    # with four, none is left for A: the first back, at 14, boards at 20
    four = _full(carrier.replace("6", "4"))
    assert [e.time / 1000 for e in four.events if e.what == "line-on"] == [0, 0, 0, 0, 20]


def test_a_full_start_takes_no_more_jobs_than_are_ordered() -> None:
    """With three jobs ordered the places furthest down are filled and the others stay empty."""
    ran = _full(jobs=3)
    assert trace(ran, "line-on", "buffer in", "enter", "line-off") == lines(
        """
         0 line-on #1
         0 enter #1 Z
         0 line-on #2
         0 buffer in #2 lane
         0 line-on #3
         0 buffer in #3 lane
         9 line-off #1
         9 enter #2 Z
        18 line-off #2
        18 enter #3 Z
        """
    )
    assert stations(ran) == {"A": {"starved": 25}, "B": {"starved": 25}, "Z": {"working": 25}}


def test_a_full_start_leaves_carriers_where_they_are_left() -> None:
    """At the start jobs have a carrier up to the last station of the section that they leave it in."""
    ran = run(
        """
        flow = ["line", "cell", "post"]
        run = { start = "full" }
        section.line = "moving: A"
        section.cell = "free: Y, Z"
        section.post = "free: V, W"
        station.A.task.fit = "9 s, nobody"
        station.Y.task.fit = "9 s, nobody"
        station.Z.task.fit = "9 s, nobody"
        station.V.task.fit = "9 s, nobody"
        station.W.task.fit = "9 s, nobody"
        carrier.skillet = { count = 6, boards = "line", leaves = "cell", returns = "5 s" }
        """,
        length="5 s",
    )
    assert ran.ledger.inside_end == 5
    assert ran.ledger.carrier_busy.tolist() == [3 * 5 * 1000]  # A, Y and Z
