"""Lines that can no longer move say so; those that merely wait do not."""

import pytest

from linesim.errors import LineStuck
from tests.lines import run, run_tables, tables, tandem, trace

ONE = """
[section.line]
pacing = "free"
stations = ["A"]
[station.A.task.fit]
time = "4 s"
people = 0
"""
#: The same where work takes time only on an option that no job has.
NO_TIME = "[option.rare]\ntake = 0.0\n" + ONE.replace('"4 s"', '"0 s"\ntime_for = { rare = "4 s" }')


@pytest.mark.parametrize("waiting", [0, 1])
def test_a_loop_that_locks_itself_is_told(waiting: int) -> None:
    """A bay that cannot give back, a section held by it and a full lane hold each other: the run says so.

    Every job is faulty on every pass, the bay has one place and gives back to a lane of one place before the
    section: J1 in the bay at 2, J2 held in A, J3 in the lane; J1 is done and finds no room. Nor does a place
    to wait in the bay help, for the work place stays taken. A needs 1 s and a second try of 1 s: J1 1-3, and
    its repair 3-8 is the last that happens, though it is seen only at the end of the run.
    """
    raw = tables(
        """
        flow = ["pre", "lane", "line"]
        section.pre = "free: P"
        section.line = "free: A"
        buffer.lane = { capacity = 1 }
        station.P.task.put = "1 s, nobody"
        station.A.task.test = { time = "1 s", people = 0, again = true, fault = "1 at once, rework 5 s" }
        bay.rework = { section = "line", rejoin = "lane" }
        crew.r = "1: rework"
        """,
        length="60 s",
    )
    raw["bay"]["rework"]["waiting"] = waiting
    with pytest.raises(LineStuck) as stuck:
        run_tables(raw)
    assert (stuck.value.at, stuck.value.since) == (60_000, 8_000)
    assert "buffer lane holds 1 of 1" in str(stuck.value)


def test_an_empty_line_is_not_stuck() -> None:
    """A line that is merely empty, or waits for a job that will come, runs to its end."""
    assert run_tables(tandem([(1, 1)], (0,), length=60)).ledger.jobs_out == 1
    ran = run(ONE + '[supply]\nat_s = [50.0]\n[run]\nshift = "10 s"\n', length="60 s")
    assert ran.ledger.jobs_out == 1


def test_a_line_without_work_is_told() -> None:
    """Where no work takes any time jobs come and go in one instant without end; the run says so and ends."""
    with pytest.raises(LineStuck, match="came and went in one instant"):
        run(NO_TIME, length="60 s")
    assert run(NO_TIME, length="60 s", jobs=50).ledger.jobs_out == 50


def test_a_line_that_scraps_all_it_gets_in_no_time_is_told() -> None:
    """Jobs that are given up in the instant in which they came have no end either, and the run says so."""
    scrap = NO_TIME + 'fault = { chance = 1, found = "at once", right = "scrap" }\n'
    with pytest.raises(LineStuck, match="came and went in one instant"):
        run(scrap, length="60 s")
    assert run(scrap, length="60 s", jobs=50).ledger.jobs_scrapped == 50


MENDER = """
[section.line]
pacing = "free"
stations = ["A", "B"]
[crew.c]
people = 1
covers = ["A", "B"]
[robot.R.failure.jam]
per = "running"
every = "5 s"
lasts = "3 s"
repaired_by = "c"
[station.A.task.fit]
people = 1
time = "2 s"
[station.B.task.weld]
robot = "R"
people = 1
time = "8 s"
"""


def test_who_holds_whom_is_told() -> None:
    """The only mender stands at the robot that waits for a mender; the job behind waits for the same person.

    J1: A 0-2, B from 2. It fails at 7, and its task, paused, keeps the person who should mend it.
    """
    with pytest.raises(LineStuck) as stuck:
        run(MENDER, length="60 s")
    assert str(stuck.value).splitlines()[1:] == [
        "  job 2 at A: waiting: crew (A.fit, held by c 1 on job 1)",
        "  job 1 at B: down (B.weld)",
    ]


def test_who_holds_a_robot_is_told() -> None:
    """A job that waits for the robot itself, which is down, is told who has it; nobody else is named."""
    text = MENDER.replace("[station.A.task.fit]\npeople = 1", '[station.A.task.fit]\nrobot = "R"')
    with pytest.raises(LineStuck) as stuck:
        run(text, length="60 s")
    told = str(stuck.value).splitlines()[1:]
    assert told[0] == "  job 2 at A: down (A.fit, held by R on job 1)"
    assert told[1] == "  job 1 at B: down (B.weld)"


def test_nobody_holds_a_robot_that_failed_idle() -> None:
    """A robot that failed with nothing to do is down, and nobody has it: J2, which comes at 20, waits."""
    text = MENDER.replace("[station.A.task.fit]\npeople = 1", '[station.A.task.fit]\nrobot = "S"\npeople = 0')
    idle = '[robot.S.failure.jam]\nper = "calendar"\nevery = "15 s"\nlasts = "3 s"\nrepaired_by = "c"\n'
    with pytest.raises(LineStuck) as stuck:
        run(text + idle + "[supply]\nat_s = [0.0, 20.0]\n", length="60 s")
    assert str(stuck.value).splitlines()[1] == "  job 2 at A: down (A.fit)"


def test_what_a_section_stands_for_is_told() -> None:
    """On a conveyor: every hold of the section is told, that of the conveyor itself too.

    J1: A 0-2, B from 10, the robot jams at 15. J2 is in A from 10. At 20 both hold it; the belt fails at 30.
    """
    text = MENDER.replace('"free"', '"moving"') + (
        '[section.line.failure.belt]\nper = "calendar"\nevery = "30 s"\nlasts = "1 s"\nrepaired_by = "c"\n'
    )
    with pytest.raises(LineStuck) as stuck:
        run(text, length="60 s")
    assert str(stuck.value).splitlines()[3:] == [
        "  section line stands for B: breakdown",
        "  section line stands for A: waiting",
        "  section line stands for its conveyor: breakdown",
    ]


def test_work_that_waits_for_earlier_work_is_told() -> None:
    """A job in reach of the next station, whose task comes after one that will never end, waits for that.

    The robot of A fails at 5, when B reaches J1; its task keeps the only person who could mend it.
    """
    with pytest.raises(LineStuck) as stuck:
        run(
            """
            section.line = "moving: A, B"
            station.A.task.weld = { robot = "R", people = 1, time = "8 s" }
            station.B.early = 0.5
            station.B.task.look = { people = 0, time = "1 s", after = ["A.weld"] }
            robot.R.failure.jam = { per = "running", every = "5 s", lasts = "3 s", repaired_by = "c" }
            crew.c = "1: A"
            """,
            length="60 s",
        )
    assert str(stuck.value).splitlines()[1:] == [
        "  job 1 at A: down (A.weld)",
        "  job 1 at B: waiting: earlier work (work that waits for earlier work)",
        "  section line stands for A: breakdown",
    ]


def test_carriers_that_are_all_away_are_told() -> None:
    """The loop that locks itself, its section on the only tray: that is told too.

    The empty yard is not, and the empty conveyor behind it, which runs, is no reason to go on.
    """
    raw = tables(
        """
        flow = ["pre", "lane", "line", "yard", "post"]
        section.pre = "free: P"
        section.line = "free: A"
        section.post = "moving: Z"
        buffer.lane = { capacity = 1 }
        buffer.yard = { capacity = 1 }
        carrier.tray = { count = 1, boards = "line", leaves = "line", returns = "0 s" }
        station.P.task.put = "1 s, nobody"
        station.Z.task.pack = "1 s, nobody"
        station.A.task.test = { time = "1 s", people = 0, again = true, fault = "1 at once, rework 5 s" }
        bay.rework = { section = "line", rejoin = "lane" }
        crew.r = "1: rework"
        """,
        length="60 s",
    )
    with pytest.raises(LineStuck) as stuck:
        run_tables(raw)
    assert str(stuck.value).splitlines()[1:] == [
        "  buffer lane holds 1 of 1",
        "  every carrier tray is with a job or on its way back",
    ]


#: A shift of ten minutes with a break in the fourth, and one that ends after two.
HOURS = """
[run]
calendar = "day"
[calendar.day]
shifts = ["06:00-06:10"]
breaks = ["06:03-06:04"]
[calendar.short]
shifts = ["06:00-06:02"]
"""


def test_a_line_in_its_break_is_not_stuck() -> None:
    """A run that ends in a break, with the only job paused and nothing else going on, merely waits."""
    text = HOURS + ONE.replace("people = 0", "people = 1").replace("4 s", "300 s")
    ran = run(text + '[crew.c]\npeople = 1\ncovers = ["A"]\n', length="200 s")
    assert (ran.ledger.jobs_out, ran.ledger.inside_end) == (0, 1)
    assert trace(ran, "task pause") == ["180 task pause #1 A.fit by c 1"]


def test_a_line_that_waits_for_a_technician_off_duty_is_not_stuck() -> None:
    """A failed robot whose technicians have gone home will be mended when they are back.

    The robot fails at 170; the technicians went at 120, the section works on.
    """
    ran = run(
        HOURS
        + ONE.replace("people = 0", 'robot = "r"').replace("4 s", "400 s")
        + """
        [robot.r.failure.jam]
        every = "170 s"
        lasts = "10 s"
        repaired_by = "tech"
        [crew.tech]
        people = 1
        calendar = "short"
        """,
        length="300 s",
    )
    assert trace(ran, "fail", "repaired") == ["170 fail robot.r.jam"]
    assert (ran.ledger.jobs_out, ran.ledger.inside_end) == (0, 1)


def test_a_line_whose_technician_is_at_work_is_not_stuck() -> None:
    """A run that ends in a repair, with nothing else going on, merely waits for its end."""
    failing = """
    [robot.r.failure.jam]
    every = "6 s"
    lasts = "90 s"
    repaired_by = "tech"
    [crew.tech]
    people = 1
    """
    ran = run(ONE.replace("people = 0", 'robot = "r"').replace("4 s", "40 s") + failing, length="50 s")
    assert trace(ran, "fail", "repaired") == ["6 fail robot.r.jam"]


@pytest.mark.parametrize(("fit", "comes"), [("70 s", 140), ("55 s", 110)])
def test_a_bay_whose_people_have_gone_home_is_not_stuck(fit: str, comes: int) -> None:
    """Work that waits in a bay whose people went at 120, begun or not, goes on when they are back."""
    ran = run(
        HOURS
        + ONE.replace("4 s", fit)
        + """
        fault = "1 at once, rework 20 s"
        [bay.rework]
        section = "line"
        rejoin = "out"
        [crew.r]
        people = 1
        covers = ["rework"]
        calendar = "short"
        """,
        length="300 s",
        jobs=1,
    )
    assert trace(ran, "bay in", "bay out") == [f"{comes} bay in #1 rework"]
    assert (ran.ledger.jobs_out, ran.ledger.inside_end) == (0, 1)


def test_an_empty_bay_that_is_off_duty_excuses_nothing() -> None:
    """A line that locks itself is stuck, though some bay's people are at home: nobody waits for them."""
    bay = '[bay.rework]\nsection = "line"\nrejoin = "out"\n[crew.r]\npeople = 1\ncovers = ["rework"]\n'
    with pytest.raises(LineStuck):
        run(HOURS + MENDER + bay + 'calendar = "short"\n', length="150 s")


def test_a_technician_off_duty_whom_nobody_needs_excuses_nothing() -> None:
    """The mender's line is stuck, though a technician will come back who could mend a sound conveyor."""
    belt = '[section.line.failure.belt]\nevery = "900 s"\nlasts = "1 s"\nrepaired_by = "tech"\n'
    with pytest.raises(LineStuck):
        run(HOURS + MENDER + belt + '[crew.tech]\npeople = 1\ncalendar = "short"\n', length="150 s")


def test_a_repair_in_a_bay_is_waited_for() -> None:
    """A run that ends while a bay works on the only job, 8-98, with nothing else going on, merely waits."""
    fault = 'fault = "1 at once, rework 90 s"\n'
    bay = '[bay.rework]\nsection = "line"\nrejoin = "out"\n[crew.r]\npeople = 1\ncovers = ["rework"]\n'
    assert run(ONE + fault + bay, length="60 s", jobs=1).ledger.inside_end == 1


def test_a_carrier_on_its_way_is_waited_for() -> None:
    """A run whose last job stands before a section until a carrier is back, at 95, merely waits.

    P 1 s, A 4 s: J1 leaves at 5 and its tray is back 90 s later; J2 is in the lane from 2 on.
    """
    ran = run(
        """
        flow = ["pre", "lane", "line"]
        section.pre = "free: P"
        section.line = "free: A"
        buffer.lane = { capacity = 1 }
        station.P.task.put = "1 s, nobody"
        station.A.task.fit = "4 s, nobody"
        carrier.tray = { count = 1, boards = "line", leaves = "line", returns = "90 s" }
        """,
        length="60 s",
        jobs=2,
    )
    assert (ran.ledger.jobs_out, ran.ledger.inside_end) == (1, 1)


def test_a_floater_on_the_way_is_waited_for() -> None:
    """The mender's conveyor would be stuck, but J2's station called at 19: help is there at 69."""
    text = MENDER.replace('"free"', '"moving"').replace("[robot", "[station.A]\ncall_at = 0.9\n[robot")
    help_comes = '[crew.help]\npeople = 1\ncovers = ["A"]\nfloater = true\nresponse = "50 s"\n'
    ran = run(text + help_comes, length="60 s")
    assert trace(ran, "call", "fail", "help") == ["15 fail robot.R.jam", "19 call #2 A"]


def test_a_job_that_arrives_as_the_run_ends_is_not_stuck() -> None:
    """A way of 20 s from 4 on is over as the run ends, and until then it was something that happens."""
    text = (
        ONE
        + '[buffer.lane]\ncapacity = 1\ntravel = "20 s"\n[section.belt]\npacing = "free"\nstations = ["B"]\n'
    )
    ran = run('flow = ["line", "lane", "belt"]\n' + text, length="24 s", jobs=1)
    assert ran.ledger.inside_end == 1


def test_a_job_that_waits_for_the_next_mark_is_not_stuck() -> None:
    """A job that is ready to board an empty conveyor, which runs, will do so at the mark of 100."""
    text = ONE + '[section.belt]\npacing = "moving"\nstations = ["B"]\ntakt = "100 s"\n'
    ran = run(text, length="50 s", jobs=1)
    assert trace(ran, "task end", "mark", "leave") == ["0 mark belt", "4 task end #1 A.fit"]
    assert ran.ledger.inside_end == 1


def test_a_supply_that_has_brought_its_last_job_excuses_nothing() -> None:
    """The mender's line is stuck with its two jobs inside, also where a schedule brought them and no more."""
    with pytest.raises(LineStuck):
        run(MENDER + "[supply]\nat_s = [0.0, 1.0]\n", length="60 s")
    # nor does one that is still to come where another stands before the line already
    with pytest.raises(LineStuck):
        run(MENDER + "[supply]\nat_s = [0.0, 1.0, 2.0, 70.0]\n", length="60 s")
    # the next to come is something that will happen
    assert run(MENDER + "[supply]\nat_s = [0.0, 1.0, 70.0]\n", length="60 s").ledger.inside_end == 2
