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
