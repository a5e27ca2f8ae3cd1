"""Dispatch by hand across sections: how near a limit is, not what the conveyor's clock says."""

from tests.lines import lines, run, trace

#: One operator for both sections; the front stands from 12 to 25, so that its clock is 13 s behind.
APART = """
flow = ["front", "lane", "back"]
model.one = {}
model.two = {}
section.front.pacing = "moving"
section.front.stations = ["A"]
section.front.failure.chain = { every = "12 s", lasts = "13 s", per = "calendar" }
section.back = "moving: B"
buffer.lane = { capacity = 1, travel = "5 s" }
station.A.task.glue = { time = "14 s", people = 0, models = ["two"] }
station.A.task.seal = { time = "3 s", models = ["two"], after = ["glue"] }
station.B.task.fit = { time = "6 s", models = ["one"] }
station.B.task.lock = { time = "3 s", models = ["one"], after = ["fit"] }
crew.both = "1: A, B"
"""


def test_limits_are_compared_by_the_running_time_left() -> None:
    """The operator goes where the limit is nearer, though the other section's clock shows less.

    At 26 J1 at B, limit at 30 of its clock, has 4 s left; J2 at A, limit at 20, has 7: that clock shows 13.
    """
    ran = run(APART, length="35 s", jobs=["one", "two"])
    assert trace(ran, "enter", "task start", "task end", "stop", "restart") == lines(
        """
         0 enter #1 A
        10 enter #2 A
        10 task start #2 A.glue
        12 stop front breakdown
        20 enter #1 B
        20 task start #1 B.fit by both 1
        24 task end #2 A.glue
        25 restart front
        26 task end #1 B.fit by both 1
        26 task start #1 B.lock by both 1
        29 task end #1 B.lock by both 1
        29 task start #2 A.seal by both 1
        32 task end #2 A.seal by both 1
        """
    )
