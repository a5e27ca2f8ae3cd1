"""How much work is over at a limit, by hand."""

from tests.lines import counts, run, stops


def test_work_that_waits_for_other_work_is_over_too() -> None:
    """At the limit of B all that is left counts: what is in work, and open work that waits for it.

    A: 0-7, then 3 of 15 s; 12 s are left for B, 10-22, and the third task of 2 s after them. At 20 that is
    4 s.
    """
    ran = run(
        """
        section.line = "moving: A, B"
        station.A.on_limit = "pass"
        station.A.open_to = "B"
        station.A.task.first = "7 s"
        station.A.task.second = { time = "15 s", after = ["first"] }
        station.A.task.third = { time = "2 s", after = ["second"] }
        crew.a = "1: A"
        crew.b = "1: B"
        """,
        length="30 s",
        jobs=1,
    )
    assert stops(ran) == {"B overrun": 4}
    assert counts(ran, "overload") == {"A": 14_000, "B": 4_000}
