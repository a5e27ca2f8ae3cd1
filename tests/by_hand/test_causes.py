"""Which cause has the minutes of a stop, by hand: disturbances, overruns, breakdowns one after the other."""

from tests.lines import counts, lines, run, stations, stops, trace


def test_a_disturbance_holds_work_not_begun() -> None:
    """While parts are missing nothing new begins, what runs goes on, and the stop has their word.

    Parts are missing 4-13 and 17-26. Two tasks of 6 s, takt 10: J1's one 0-6; two cannot begin until 13,
    13-19. Limit 10: stop for parts, 10-19. Mark 19: J2's one cannot begin until 26, and is in progress at
    the limit of 29: an overrun.
    """
    ran = run(
        """
        section.line = "moving: A"
        station.A.disturbance.parts = { every = "4 s", lasts = "9 s", per = "calendar" }
        station.A.task.one = "6 s"
        station.A.task.two = { time = "6 s", after = ["one"] }
        crew.a = "1: A"
        """,
        length="30 s",
        jobs=2,
    )
    assert trace(ran, "mark", "fail", "repaired", "task start", "stop", "restart") == lines(
        """
         0 mark line
         0 task start #1 A.one by a 1
         4 fail station.A.parts
        10 stop A parts
        13 repaired station.A.parts
        13 task start #1 A.two by a 1
        17 fail station.A.parts
        19 mark line
        19 restart line
        26 repaired station.A.parts
        26 task start #2 A.one by a 1
        29 stop A overrun
        """
    )
    assert stations(ran) == {"A": {"working": 16, "waiting: parts": 14}}
    assert stops(ran) == {"A parts": 9, "A overrun": 1}


def test_a_disturbance_by_jobs() -> None:
    """Kits that run out every two jobs are missing after the second job is done."""
    ran = run(
        """
        section.line = "moving: A"
        station.A.disturbance.kit = { every = 2, per = "jobs", lasts = "7 s" }
        station.A.task.fit = "4 s, nobody"
        """,
        length="45 s",
        jobs=4,
    )
    # J2 is done at 14; the kit is missing 14-21: J3 begins at 21. J4 is done at 34.
    assert trace(ran, "fail", "repaired", "task start") == lines(
        """
         0 task start #1 A.fit
        10 task start #2 A.fit
        14 fail station.A.kit
        21 repaired station.A.kit
        21 task start #3 A.fit
        30 task start #4 A.fit
        34 fail station.A.kit
        41 repaired station.A.kit
        """
    )
    assert stations(ran) == {"A": {"working": 16, "spare": 23, "waiting: kit": 1, "starved": 5}}


def test_the_cause_that_began_keeps_the_minutes_until_it_clears() -> None:
    """A breakdown during an overrun waits its turn; when the overrun is over it has what is left.

    B overruns 20-26; the chain fails by the calendar at 22 for 8 s: 26-30 is the breakdown's.
    A, done, is stopped 20-26 and down 26-30, as the minutes are booked; B works until 26 and is down then.
    """
    ran = run(
        """
        section.line.pacing = "moving"
        section.line.stations = ["A", "B"]
        section.line.failure.chain = { every = "22 s", lasts = "8 s", per = "calendar" }
        station.A.task.fit = "2 s, nobody"
        station.B.task.fit = "16 s, nobody"
        """,
        length="32 s",
        jobs=2,
    )
    assert trace(ran, "stop", "restart") == lines(
        """
        20 stop B overrun
        26 stop line breakdown
        30 restart line
        """
    )
    assert stops(ran) == {"B overrun": 6, "(line) breakdown": 4}
    assert stations(ran) == {
        "A": {"working": 4, "spare": 16, "stopped": 6, "down": 4, "starved": 2},  # spare 2-10, 12-20
        "B": {"working": 18, "starved": 10, "down": 4},
    }


def test_a_breakdown_that_began_keeps_the_minutes() -> None:
    """An overrun during a breakdown has the minutes only after the repair.

    The chain fails at conveyor clock 18 for 5 s: 18-23. B needs 14 s from 10: done at 24; its limit, clock
    20, comes at 25: no overrun at all. With 17 s it overruns 25-27.
    """
    text = """
        [section.line]
        pacing = "moving"
        stations = ["A", "B"]
        [section.line.failure.chain]
        every = "18 s"
        lasts = "5 s"
        [station.B.task.fit]
        time = "14 s"
        people = 0
        """
    assert stops(run(text, length="28 s", jobs=1)) == {"(line) breakdown": 5}
    assert stops(run(text.replace("14 s", "17 s"), length="28 s", jobs=1)) == {
        "(line) breakdown": 5,
        "B overrun": 2,
    }


def test_a_stop_for_a_robot_that_is_down_is_a_breakdown() -> None:
    """A station that stands at its limit because its robot is down stops the section as a breakdown.

    The robot runs 0-6, is down 6-13, and has 2 s left: stop 10-15, all of it the breakdown's.
    """
    ran = run(
        """
        section.line = "moving: A"
        station.A.task.weld = { time = "8 s", robot = "r" }
        robot.r = { failure = { jam = { every = "6 s", lasts = "7 s" } } }
        """,
        length="17 s",
        jobs=1,
    )
    assert stops(ran) == {"A breakdown": 5}
    assert stations(ran) == {"A": {"working": 8, "down": 7, "starved": 2}}


def test_a_disturbance_that_ends_under_way_counts_on() -> None:
    """A disturbance by running time counts again from its end if the work it did not touch still goes on.

    Every 3 s of work, for 2 s: the task of 10 s goes on through 3-5 and 8-10; the next one through 13-15.
    """
    ran = run(
        """
        section.line = "free: A"
        station.A.disturbance.parts = { every = "3 s", lasts = "2 s", per = "running" }
        station.A.task.fit = "10 s, nobody"
        """,
        length="20 s",
        jobs=2,
    )
    assert trace(ran, "fail", "repaired", "task start", "task end") == lines(
        """
         0 task start #1 A.fit
         3 fail station.A.parts
         5 repaired station.A.parts
         8 fail station.A.parts
        10 task end #1 A.fit
        10 repaired station.A.parts
        10 task start #2 A.fit
        13 fail station.A.parts
        15 repaired station.A.parts
        18 fail station.A.parts
        """
    )
    assert stations(ran) == {"A": {"working": 20}}


def test_the_end_of_one_cause_at_a_due_mark_leaves_the_other() -> None:
    """A section that stands blocked and without a job stands for the job alone once it is no longer blocked.

    Z is at J1 10-40. At 20 J2 cannot go and no job waits: blocked first, until 40; the third comes at 45.
    """
    ran = run(
        """
        supply = { at_s = [0.0, 10.0, 45.0] }
        section.line = { pacing = "moving", stations = ["A"], on_gap = "wait" }
        section.end = "free: Z"
        station.Z.task.test = "30 s, nobody"
        """,
        length="50 s",
    )
    assert trace(ran, "mark", "stop", "restart", "line-off") == lines(
        """
         0 mark line
        10 mark line
        20 stop A blocked
        40 line-off #1
        40 stop A starved
        45 mark line
        45 restart line
        """
    )
    assert stops(ran) == {"A blocked": 20, "A starved": 5}


def test_work_that_ends_in_the_break_stops_nothing() -> None:
    """A limit met as the break begins is an overrun, but no stop if the work is over when the break is.

    J3's weld of 70 s: 120-190. The limit is at 180, and so is the break; at 240 the section goes on.
    """
    ran = run(
        """
        takt = "60 s"
        run = { calendar = "day" }
        calendar.day = { shifts = ["06:00-06:10"], breaks = ["06:03-06:04"] }
        model.short = {}
        model.long = {}
        section.line = "moving: A"
        station.A.task.weld = { time = "50 s", time_for = { long = "70 s" }, robot = "r" }
        robot.r = {}
        """,
        length="300 s",
        jobs=["short", "short", "long"],
    )
    assert trace(ran, "mark", "task end", "stop", "restart", "line-off") == lines(
        """
          0 mark line
         50 task end #1 A.weld
         60 mark line
         60 line-off #1
        110 task end #2 A.weld
        120 mark line
        120 line-off #2
        190 task end #3 A.weld
        240 mark line
        240 line-off #3
        """
    )
    assert (stops(ran), counts(ran, "overruns"), counts(ran, "overload")) == ({}, {"A": 1}, {"A": 10_000})


def test_a_station_that_waits_for_a_tool_waits_for_people_when_these_are_taken() -> None:
    """B waits for the tool from 35 on; when its crew repairs A's parts from 40 to 60, it waits for people.

    One crew for A (10 s) and B (5 s, with the gun, which C holds for 30 s): J1 A 0-10, B 10-15, C 15-45;
    J2 A 15-25, then at B; J3 A 25-35. The gun is back at 45, the crew at 60: B 60-65.
    """
    ran = run(
        """
        section.line = "free: A, B, C"
        station.A.disturbance.parts.every = "40 s"
        station.A.disturbance.parts.lasts = "20 s"
        station.A.disturbance.parts.per = "calendar"
        station.A.disturbance.parts.repaired_by = "a"
        station.A.task.fit = "10 s"
        station.B.task.bolt = { time = "5 s", tool = "gun" }
        station.C.task.press = { time = "30 s", people = 0, tool = "gun" }
        tool.gun = {}
        crew.a = "1: A, B"
        """,
        length="65 s",
        jobs=3,
    )
    assert stations(ran)["B"] == {
        "starved": 20, "working": 10, "waiting: crew": 30, "waiting: tool": 5,
    }  # fmt: skip
