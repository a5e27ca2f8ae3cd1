"""Disturbances by hand: what they count down while nobody works."""

from tests.lines import lines, run, trace


def test_a_disturbance_that_counts_work_rests_when_the_station_does() -> None:
    """Six seconds of work lie before each search: 4 with J1 and 2 with J2, though ten seconds pass."""
    ran = run(
        """
        section.line = "moving: A"
        station.A.disturbance.search = { every = "6 s", lasts = "1 s" }
        station.A.task.fit = "4 s, nobody"
        """,
        length="30 s",
        jobs=3,
    )
    assert trace(ran, "task start", "task end", "fail", "repaired") == lines(
        """
         0 task start #1 A.fit
         4 task end #1 A.fit
        10 task start #2 A.fit
        12 fail station.A.search
        13 repaired station.A.search
        14 task end #2 A.fit
        20 task start #3 A.fit
        24 task end #3 A.fit
        """
    )


def test_a_disturbance_counts_on_while_any_work_goes_on() -> None:
    """Of two tasks side by side one ends at 4; the six seconds of work are over at 6 all the same."""
    ran = run(
        """
        section.line = "moving: A"
        station.A.disturbance.search = { every = "6 s", lasts = "1 s" }
        station.A.task.fit = "4 s, nobody"
        station.A.task.cure = "8 s, nobody"
        """,
        length="10 s",
        jobs=1,
    )
    assert trace(ran, "fail") == ["6 fail station.A.search"]
