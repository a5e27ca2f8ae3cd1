"""What people wait for, by hand, where some of what waits at their station is not theirs."""

from tests.lines import operators, run


def test_people_wait_for_their_own_work() -> None:
    """Work that waits for another crew does not hide that this crew's work waits for a tool.

    Both crews of A have work there: the lifting waits for its crew, which is at B until 6, the bolting for
    the gun, which B has until 6. Crew two then bolts 6-9, and is idle to the end.
    """
    ran = run(
        """
        section.cell = "free: A, B"
        tool.gun = {}
        station.A.task.lift = { time = "2 s", crew = ["one"], models = ["both"] }
        station.A.task.bolt = { time = "3 s", crew = ["two"], tool = "gun", models = ["both"] }
        station.B.task.hold = { time = "6 s", crew = ["one"], tool = "gun" }
        crew.one = "1: A, B"
        crew.two = "1: A"
        model.first = {}
        model.both = {}
        """,
        length="10 s",
        jobs=["first", "both"],
    )
    assert operators(ran)["two 1"] == {"waiting: tool": 6, "working": 3, "waiting: job": 1}


def test_what_people_wait_for_changes_as_another_station_takes_the_tool() -> None:
    """Bolting on the second job waits for room in the zone from 2, and from 4 for the gun too, which B takes.

    Of the two a missing tool is told. Plugging and driving both end at 8; then one of the crew bolts 8-11.
    """
    ran = run(
        """
        section.cell = "free: A, B"
        tool.gun = {}
        zone.side = { people = 1 }
        station.A.task.wipe = { time = "2 s", models = ["first"] }
        station.A.task.plug = { time = "6 s", zone = "side", models = ["second"] }
        station.A.task.bolt = { time = "3 s", zone = "side", tool = "gun", models = ["second"] }
        station.B.task.look = "2 s"
        station.B.task.drive = { time = "4 s", tool = "gun", after = ["look"] }
        crew.a = "2: A"
        crew.b = "1: B"
        model.first = {}
        model.second = {}
        """,
        length="11 s",
        jobs=["first", "second"],
    )
    assert operators(ran)["a 1"] == {"working": 11}
    assert operators(ran)["a 2"] == {"waiting: earlier work": 5, "waiting: zone": 2, "waiting: tool": 4}
