"""Pauses by hand that have more than one reason, or meet somebody who is still on the way."""

from tests.lines import counts, lines, operators, robots, run, stations, stops, trace

STEPS = ("repaired", "task start", "task pause", "task resume", "task end")

#: Ten minutes of work with a break in the fourth, 180 to 240.
HOURS = """
takt = "60 s"
[run]
calendar = "day"
[calendar.day]
shifts = ["06:00-06:10"]
breaks = ["06:03-06:04"]
"""


def test_work_goes_on_when_the_last_reason_is_gone() -> None:
    """A task whose robot fails just before the break goes on after both, not with the robot's repair.

    It runs 0-170; the robot is down 170-210, its operator off 180-240. 30 s are left: 240-270.
    """
    ran = run(
        HOURS
        + """
        [section.line]
        pacing = "free"
        stations = ["A"]
        [station.A.task.weld]
        time = "200 s"
        people = 1
        robot = "r"
        [robot.r.failure.jam]
        every = "170 s"
        lasts = "40 s"
        [crew.a]
        people = 1
        covers = ["A"]
        """,
        length="300 s",
        jobs=1,
    )
    assert trace(ran) == lines(
        """
          0 on day
          0 line-on #1
          0 enter #1 A
          0 task start #1 A.weld by a 1
        170 fail robot.r.jam
        170 task pause #1 A.weld by a 1
        180 off day
        210 repaired robot.r.jam
        240 task resume #1 A.weld by a 1
        240 on day
        270 task end #1 A.weld by a 1
        270 leave #1 A
        270 line-off #1
        """
    )
    assert stations(ran) == {"A": {"working": 200, "down": 10, "off": 60, "starved": 30}}
    assert operators(ran) == {"a 1": {"working": 200, "waiting: tool": 10, "off": 60, "waiting: job": 30}}
    assert robots(ran) == {"r": {"working": 200, "down": 40, "waiting": 60}}


def test_a_disturbance_does_not_count_down_to_its_next_while_it_lasts() -> None:
    """Work that goes on after a break does not start the clock of a disturbance that is still going on.

    The search strikes after 20 s of work and lasts to 270. The work, begun before, is paused 180-240 by the
    break and done at 280; from 270 on it counts again, to the next search at 290.
    """
    ran = run(
        HOURS
        + """
        [section.line]
        pacing = "free"
        stations = ["A"]
        [station.A.task.fit]
        time = "220 s"
        [station.A.disturbance.search]
        every = "20 s"
        lasts = "250 s"
        [crew.a]
        people = 1
        covers = ["A"]
        """,
        length="300 s",
        jobs=2,
    )
    assert trace(ran, "fail", *STEPS) == lines(
        """
          0 task start #1 A.fit by a 1
         20 fail station.A.search
        180 task pause #1 A.fit by a 1
        240 task resume #1 A.fit by a 1
        270 repaired station.A.search
        280 task end #1 A.fit by a 1
        280 task start #2 A.fit by a 1
        290 fail station.A.search
        """
    )


#: The operator walks 3 s to the next job; the robot fails at 11, on its way there.
WALK = """
[section.line]
pacing = "moving"
stations = ["A"]
[station.A.task.weld]
time = "4 s"
people = 1
robot = "r"
[robot.r.failure.jam]
every = "11 s"
per = "calendar"
lasts = "5 s"
[crew.a]
people = 1
covers = ["A"]
walk = "3 s"
"""


def test_a_robot_that_fails_while_they_walk_to_it_is_waited_for() -> None:
    """Who arrives at a robot that has failed meanwhile has begun the task and waits there.

    J2 at 10: walk 10-13. The robot is down 11-16; 16-20, just in time for the mark of 20.
    """
    ran = run(WALK, length="22 s", jobs=2)
    assert trace(
        ran, "walk", "fail", "repaired", "task start", "task pause", "task resume", "task end"
    ) == lines(
        """
         0 task start #1 A.weld by a 1
         4 task end #1 A.weld by a 1
        10 walk #2 A.weld by a 1
        11 fail robot.r.jam
        13 task start #2 A.weld by a 1
        13 task pause #2 A.weld by a 1
        16 repaired robot.r.jam
        16 task resume #2 A.weld by a 1
        20 task end #2 A.weld by a 1
        """
    )
    assert operators(ran) == {"a 1": {"working": 8, "walking": 3, "waiting: tool": 3, "waiting: job": 8}}
    assert robots(ran) == {"r": {"working": 8, "down": 5, "waiting": 9}}
    assert stops(ran) == {}


def test_a_robot_that_is_back_before_they_arrive_costs_nothing() -> None:
    """A repair that ends while they are still walking starts nothing early and delays nothing."""
    ran = run(WALK.replace('"5 s"', '"1 s"'), length="22 s", jobs=2)
    assert trace(ran, "walk", *STEPS)[2:] == lines(
        """
        10 walk #2 A.weld by a 1
        12 repaired robot.r.jam
        13 task start #2 A.weld by a 1
        17 task end #2 A.weld by a 1
        """
    )


def test_who_is_still_walking_at_the_limit_turns_back() -> None:
    """Work whose operator is on the way when the job passes on is left whole, and the arrival is void.

    Walk 12 s. J1 0-5. J2 at 10: walk until 22, but the limit is at 20: all 5 s go to B, 20-25.
    """
    ran = run(
        """
        section.line = "moving: A, B"
        station.A.on_limit = "pass"
        station.A.open_to = "B"
        station.A.task.fit = "5 s"
        crew.a = { people = 1, covers = ["A"], walk = "12 s" }
        crew.b = "1: B"
        """,
        length="28 s",
        jobs=2,
    )
    assert trace(ran, "walk", "task start", "task left", "task end", "open work") == lines(
        """
         0 task start #1 A.fit by a 1
         5 task end #1 A.fit by a 1
        10 walk #2 A.fit by a 1
        20 task left #2 A.fit by a 1
        20 open work #2 A
        20 task start #2 A.fit at B by b 1
        25 task end #2 A.fit at B by b 1
        """
    )
    assert operators(ran) == {
        "a 1": {"working": 5, "walking": 10, "waiting: job": 13},
        "b 1": {"working": 5, "waiting: job": 23},
    }
    assert (counts(ran, "overruns"), counts(ran, "overload")) == ({"A": 1}, {"A": 5_000})


def test_work_that_needs_nobody_begins_in_working_time_only() -> None:
    """In the break a robot finishes its task, and what needs neither people nor robot waits for its end."""
    ran = run(
        HOURS
        + """
        [section.line]
        pacing = "free"
        stations = ["A"]
        [station.A.task.weld]
        time = "200 s"
        robot = "r"
        [station.A.task.cool]
        time = "20 s"
        people = 0
        after = ["weld"]
        [robot.r]
        """,
        length="280 s",
        jobs=1,
    )
    assert trace(ran, "task start", "task end", "line-off") == lines(
        """
          0 task start #1 A.weld
        200 task end #1 A.weld
        240 task start #1 A.cool
        260 task end #1 A.cool
        260 line-off #1
        """
    )
    assert stations(ran) == {"A": {"working": 220, "off": 40, "starved": 20}}


def test_who_arrives_in_the_break_begins_after_it() -> None:
    """Who is on the way as the break begins goes on to the job, and begins when working time does.

    Work 82 s, walk 10 s: J1 0-82; J2 92-174; J3 is reached at 184, in the break of 180-240: 240-322.
    """
    ran = run(
        HOURS
        + """
        [section.line]
        pacing = "free"
        stations = ["A"]
        [station.A.task.fit]
        time = "82 s"
        [crew.a]
        people = 1
        covers = ["A"]
        walk = "10 s"
        """,
        length="330 s",
        jobs=3,
    )
    assert trace(ran, "walk", "off", "on", *STEPS)[4:] == lines(
        """
         92 task start #2 A.fit by a 1
        174 task end #2 A.fit by a 1
        174 walk #3 A.fit by a 1
        180 off day
        184 task start #3 A.fit by a 1
        184 task pause #3 A.fit by a 1
        240 task resume #3 A.fit by a 1
        240 on day
        322 task end #3 A.fit by a 1
        """
    )
    assert operators(ran) == {"a 1": {"working": 246, "walking": 20, "off": 56, "waiting: job": 8}}
