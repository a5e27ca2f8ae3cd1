"""Tools, zones and robots by hand."""

from tests.lines import lines, operators, robots, run, stations, stops, trace


def test_a_tool_is_held_for_the_whole_task() -> None:
    """Stations that share one tool take turns, the one further down first; the other waits for the tool.

    Mark 10: J1 at B and J2 at A both need the gun: B 10-16, A 16-19. Mark 20: J2 at B 20-26.
    """
    ran = run(
        """
        section.line = "moving: A, B"
        tool.gun = {}
        station.A.task.fix = { time = "3 s", tool = "gun" }
        station.B.task.fix = { time = "6 s", tool = "gun" }
        crew.a = "1: A"
        crew.b = "1: B"
        """,
        length="30 s",
        jobs=2,
    )
    assert trace(ran, "task start", "task end") == lines(
        """
         0 task start #1 A.fix by a 1
         3 task end #1 A.fix by a 1
        10 task start #1 B.fix by b 1
        16 task end #1 B.fix by b 1
        16 task start #2 A.fix by a 1
        19 task end #2 A.fix by a 1
        20 task start #2 B.fix by b 1
        26 task end #2 B.fix by b 1
        """
    )
    assert stations(ran)["A"] == {"working": 6, "waiting: tool": 6, "spare": 8, "starved": 10}
    assert operators(ran)["a 1"] == {"working": 6, "waiting: tool": 6, "waiting: job": 18}
    assert ran.ledger.tool_busy.tolist() == [18_000]


def test_a_task_waits_for_every_tool_it_needs() -> None:
    """A task with two tools begins when both are free: A, which needs gun and bench, when B is done."""
    ran = run(
        """
        section.pair = "free: A, B"
        tool.bench = {}
        tool.gun = {}
        station.A.task.fix = { time = "3 s", tool = ["gun", "bench"], people = 0 }
        station.B.task.fix = { time = "6 s", tool = "gun", people = 0 }
        """,
        length="20 s",
        jobs=2,
    )
    assert trace(ran, "task start") == lines(
        """
         0 task start #1 A.fix
         3 task start #1 B.fix
         9 task start #2 A.fix
        12 task start #2 B.fix
        """
    )


def test_nobody_takes_a_tool_without_the_people() -> None:
    """A task takes all it needs together: a tool stays free for others while people are missing.

    A needs two people of whom one is busy until 5, and the gun; B needs one and the gun: B first, 0-4.
    """
    ran = run(
        """
        section.pre = "free: A, B"
        tool.gun = {}
        station.A.places = 2
        station.A.task.hold = { time = "5 s", crew = ["a"] }
        station.A.task.lift = { time = "3 s", people = 2, tool = "gun", crew = ["a"] }
        station.A.task.mark = { time = "4 s", tool = "gun", crew = ["b"] }
        station.B.task.end = "1 s, nobody"
        crew.a = "2: A"
        crew.b = "1: A"
        """,
        length="20 s",
        jobs=1,
    )
    assert trace(ran, "task start") == lines(
        """
        0 task start #1 A.hold by a 1
        0 task start #1 A.mark by b 1
        5 task start #1 A.lift by a 1, a 2
        8 task start #1 B.end
        """
    )


def test_a_zone_has_room_for_few() -> None:
    """A third person waits for room on the left of the job, while there is some on the right.

    Left has room for 2: lift (2 people) 0-4; plug (1, left) waits until 4; wipe (1, right) 0-3.
    """
    ran = run(
        """
        section.line = "moving: A"
        zone.left = { people = 2 }
        zone.right = { people = 1 }
        station.A.task.lift = { time = "4 s", people = 2, zone = "left" }
        station.A.task.plug = { time = "3 s", zone = "left" }
        station.A.task.wipe = { time = "2 s", zone = "right" }
        crew.a = "4: A"
        """,
        length="9 s",
        jobs=1,
    )
    assert trace(ran, "task start", "task end") == lines(
        """
        0 task start #1 A.lift by a 1, a 2
        0 task start #1 A.wipe by a 3
        2 task end #1 A.wipe by a 3
        4 task end #1 A.lift by a 1, a 2
        4 task start #1 A.plug by a 1
        7 task end #1 A.plug by a 1
        """
    )
    # a 4 waits for room from 0 to 4, then for work that others do, 4-7
    assert operators(ran)["a 4"] == {"waiting: zone": 4, "waiting: earlier work": 3, "waiting: job": 2}


def test_a_zone_belongs_to_its_job() -> None:
    """Room is counted on each job: two jobs beside each other have a left side each."""
    ran = run(
        """
        section.line = "indexed: A, B"
        zone.left = { people = 1 }
        station.A.task.fit = { time = "4 s", zone = "left" }
        station.B.task.fit = { time = "4 s", zone = "left" }
        crew.a = "2: A, B"
        """,
        length="15 s",
        jobs=2,
    )
    assert trace(ran, "task start")[1:] == [
        "10 task start #1 B.fit by a 1",
        "10 task start #2 A.fit by a 2",
    ]


def test_a_station_waits_for_a_zone() -> None:
    """A station with nobody at work for want of room on the job waits for the zone.

    A's crew still works on the left (late reach, 0-14) when the job is at B: B waits 10 to 14.
    """
    ran = run(
        """
        section.line = "moving: A, B"
        zone.left = { people = 1 }
        station.A.late = 0.5
        station.A.task.fit = { time = "14 s", zone = "left" }
        station.B.task.fit = { time = "3 s", zone = "left" }
        crew.a = "1: A"
        crew.b = "1: B"
        """,
        length="19 s",
        jobs=1,
    )
    assert stations(ran)["B"] == {"starved": 10, "waiting: zone": 4, "working": 3, "spare": 2}
    assert operators(ran)["b 1"] == {"waiting: job": 12, "waiting: zone": 4, "working": 3}


def test_robots_work_together() -> None:
    """A task of two robots starts when both are free, and each waits for the other.

    r1 alone 0-3 (left), r2 alone 0-5 (right), then both 5-9.
    """
    ran = run(
        """
        section.cell = "free: A"
        robot.r1 = {}
        robot.r2 = {}
        station.A.task.left = { time = "3 s", robot = "r1" }
        station.A.task.right = { time = "5 s", robot = "r2" }
        station.A.task.both = { time = "4 s", robot = ["r1", "r2"] }
        """,
        length="12 s",
        jobs=1,
    )
    assert trace(ran, "task start", "task end") == lines(
        """
        0 task start #1 A.left
        0 task start #1 A.right
        3 task end #1 A.left
        5 task end #1 A.right
        5 task start #1 A.both
        9 task end #1 A.both
        """
    )
    assert robots(ran) == {"r1": {"working": 7, "waiting": 5}, "r2": {"working": 9, "waiting": 3}}
    assert stations(ran) == {"A": {"working": 9, "starved": 3}}


def test_a_robot_serves_two_stations() -> None:
    """A robot that two stations share takes turns; the station that goes without waits for the robot."""
    ran = run(
        """
        section.line = "indexed: A, B"
        robot.r = {}
        station.A.task.weld = { time = "3 s", robot = "r" }
        station.B.task.weld = { time = "4 s", robot = "r" }
        """,
        length="20 s",
        jobs=2,
    )
    assert trace(ran, "task start")[1:] == ["10 task start #1 B.weld", "14 task start #2 A.weld"]
    assert stations(ran)["A"] == {"working": 6, "waiting: robot": 4, "spare": 10}


def test_a_robot_with_an_operator_needs_both() -> None:
    """A task of a robot and a person waits for both; the person waits for the robot as for a tool."""
    ran = run(
        """
        section.line = "moving: A"
        robot.r = {}
        station.A.task.weld = { time = "4 s", robot = "r" }
        station.A.task.load = { time = "3 s", robot = "r", people = 1 }
        crew.a = "1: A"
        """,
        length="10 s",
        jobs=1,
    )
    assert trace(ran, "task start") == ["0 task start #1 A.weld", "4 task start #1 A.load by a 1"]
    assert operators(ran) == {"a 1": {"waiting: tool": 4, "working": 3, "waiting: job": 3}}
    assert robots(ran) == {"r": {"working": 7, "waiting": 3}}
    assert stops(ran) == {}
