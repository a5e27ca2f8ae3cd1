"""Tasks by hand: order, options, times."""

from tests.lines import lines, operators, run, stations, trace

ORDER = """
takt = "20 s"
section.line = "moving: A, B"
model.m = {}
option.rack = { take = 0.5 }
station.A.task.base = "3 s"
station.A.task.rack = { time = "4 s", after = ["base"], options = ["rack"] }
station.A.task.lid = { time = "2 s", after = ["rack"] }
station.B.task.seal = { time = "1 s", after = ["A.lid"] }
station.B.task.label = { time = "1 s", unless = ["rack"] }
crew.a = "2: A"
crew.b = "1: B"
"""


def test_tasks_wait_for_earlier_tasks() -> None:
    """A task starts when all that come before it are done, however many people are idle."""
    ran = run(ORDER, length="39 s", jobs=["m+rack"])
    assert trace(ran, "task start", "task end") == lines(
        """
         0 task start #1 A.base by a 1
         3 task end #1 A.base by a 1
         3 task start #1 A.rack by a 1
         7 task end #1 A.rack by a 1
         7 task start #1 A.lid by a 1
         9 task end #1 A.lid by a 1
        20 task start #1 B.seal by b 1
        21 task end #1 B.seal by b 1
        """
    )
    assert operators(ran)["a 2"] == {"waiting: earlier work": 9, "waiting: job": 30}


def test_a_task_that_is_not_there_is_bridged() -> None:
    """Without the rack the lid comes after the base; and the label, barred by the rack, is done."""
    ran = run(ORDER, length="39 s", jobs=["m"])
    assert trace(ran, "task start") == lines(
        """
         0 task start #1 A.base by a 1
         3 task start #1 A.lid by a 1
        20 task start #1 B.seal by b 1
        21 task start #1 B.label by b 1
        """
    )


def test_work_waits_for_a_task_at_an_earlier_station() -> None:
    """A station waits for earlier work that a late crew upstream still does on its job.

    A reaches half a takt past its border and needs 26 s; B waits for it from 20 to 26.
    """
    ran = run(
        """
        takt = "20 s"
        section.line = "moving: A, B"
        station.A.late = 0.5
        station.A.task.frame = "26 s, nobody"
        station.B.task.bolt = { time = "5 s", after = ["A.frame"] }
        crew.b = "1: B"
        """,
        length="38 s",
        jobs=1,
    )
    assert trace(ran, "task start", "task end") == lines(
        """
         0 task start #1 A.frame
        26 task end #1 A.frame
        26 task start #1 B.bolt by b 1
        31 task end #1 B.bolt by b 1
        """
    )
    assert stations(ran)["B"] == {"starved": 20, "waiting: earlier work": 6, "working": 5, "spare": 7}
    assert operators(ran)["b 1"] == {"waiting: job": 27, "waiting: earlier work": 6, "working": 5}


def test_the_first_time_that_fits_holds() -> None:
    """Times by option and model are tried in file order; the first that fits the job holds."""
    ran = run(
        """
        section.line = "indexed: A"
        model.big = {}
        model.small = {}
        option.gold = { take = 0.5 }
        station.A.task.fit = { time = "1 s", time_for = { gold = "2 s", big = "3 s" }, people = 0 }
        """,
        length="45 s",
        jobs=["big+gold", "big", "small+gold", "small"],
    )
    ends = [e.time for e in ran.events if e.what == "task end"]
    assert ends == [2_000, 13_000, 22_000, 31_000]


def test_a_job_without_tasks_at_a_station_is_spare_there() -> None:
    """A job that needs nothing at a station is spare until the next mark, and counts as done there."""
    ran = run(
        """
        section.line = "moving: A"
        model.m = {}
        option.x = { take = 0.5 }
        station.A.task.fit = { time = "6 s", options = ["x"], people = 0 }
        """,
        length="25 s",
        jobs=["m", "m+x"],
    )
    assert stations(ran) == {"A": {"spare": 14, "working": 6, "starved": 5}}
    assert ran.ledger.station_jobs.tolist() == [2]


def test_a_task_of_no_time_is_done_at_once() -> None:
    """A task of 0 s starts and ends in its instant, and what comes after it begins there and then."""
    ran = run(
        """
        section.line = "moving: A"
        station.A.task.scan = "0 s"
        station.A.task.fit = { time = "4 s", after = ["scan"] }
        station.A.task.look = { time = "0 s", after = ["fit"] }
        crew.a = "1: A"
        """,
        length="9 s",
        jobs=1,
    )
    assert trace(ran, "task start", "task end") == lines(
        """
        0 task start #1 A.scan by a 1
        0 task end #1 A.scan by a 1
        0 task start #1 A.fit by a 1
        4 task end #1 A.fit by a 1
        4 task start #1 A.look by a 1
        4 task end #1 A.look by a 1
        """
    )
    assert stations(ran) == {"A": {"working": 4, "spare": 5}}


def test_a_station_that_still_waits_is_not_working_any_more() -> None:
    """When a task that needs nobody is done and another still waits for people, the station waits.

    The operator fits at B to 6, then at A, 6-9. A's curing takes 0-4: working, waiting for the crew, working.
    """
    ran = run(
        """
        section.line = "free: A, B"
        station.A.task.cure = { time = "4 s", people = 0, models = ["two"] }
        station.A.task.fit = { time = "3 s", models = ["two"] }
        station.B.task.fit = "6 s"
        crew.all = "1: A, B"
        model.one = {}
        model.two = {}
        """,
        length="9 s",
        jobs=["one", "two"],
    )
    assert stations(ran)["A"] == {"working": 7, "waiting: crew": 2}


MOVED = """
takt = "20 s"
[section.line]
pacing = "moving"
stations = ["A", "B"]
[station.A.task]
base = { time = "3 s" }
lid = { time = { shape = "uniform", low = "4 s", high = "9 s" }, after = ["base"], at = "B" }
[station.B.task]
seal = { time = "1 s", after = ["A.lid"] }
[crew.all]
people = 1
covers = ["A", "B"]
"""


def test_a_task_is_done_where_it_was_moved_to() -> None:
    """A task that stands under A and is done at B keeps its name and draws there, and what follows waits."""
    moved = run(MOVED, length="39 s", jobs=["standard"])
    at_home = run(MOVED.replace(', at = "B"', ""), length="39 s", jobs=["standard"])
    times = {}
    for ran, begin, where in ((moved, 20.0, "A.lid at B"), (at_home, 3.0, "A.lid")):
        start, end = (row for row in trace(ran, "task start", "task end") if "A.lid" in row)
        assert start == f"{begin:g} task start #1 {where} by all 1"
        times[begin] = float(end.split()[0]) - begin
    assert times[20.0] == times[3.0]
    assert [row.split()[4] for row in trace(moved, "task start")] == ["A.base", "A.lid", "B.seal"]
    assert moved.plan.tasks.station.tolist() == [0, 1, 1]
