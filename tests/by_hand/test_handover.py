"""Direct handover between sections by hand: who waits for whom, and who is named."""

from tests.lines import lines, run, sections, stations, stops, trace

TWO = """
takt = "10 s"
[section.first]
pacing = "moving"
stations = ["A"]
[section.second]
pacing = "moving"
stations = ["B"]
[station.A.task.fit]
time = "4 s"
people = 0
[station.B.task.fit]
time = "6 s"
time_for = { long = "13 s" }
people = 0
[model.short]
[model.long]
"""


def test_two_moving_sections_hand_over_at_a_common_mark() -> None:
    """Two sections of one takt pass their marks in the same instant, and the job goes straight across."""
    ran = run(TWO, length="25 s", jobs=["short", "short"])
    assert trace(ran, "mark", "leave", "enter", "stop") == lines(
        """
         0 mark second
         0 mark first
         0 enter #1 A
        10 mark second
        10 mark first
        10 leave #1 A
        10 enter #2 A
        10 enter #1 B
        20 mark second
        20 leave #1 B
        20 mark first
        20 leave #2 A
        20 enter #2 B
        """
    )
    assert stops(ran) == {}


def test_a_section_that_stands_holds_the_one_before_it() -> None:
    """An overrun downstream blocks the section upstream from its mark on; both pass on when it is over.

    J1 (13 s) at B from 10: limit 20, done at 23. The first section is due at 20 with J2 and stands, blocked,
    until 23.
    """
    ran = run(TWO, length="35 s", jobs=["long", "short"])
    assert trace(ran, "mark", "stop", "restart") == lines(
        """
         0 mark second
         0 mark first
        10 mark second
        10 mark first
        20 stop A blocked
        20 stop B overrun
        23 mark second
        23 mark first
        23 restart first
        23 restart second
        33 mark second
        33 mark first
        """
    )
    assert stops(ran) == {"A blocked": 3, "B overrun": 3}
    assert stations(ran) == {
        "A": {"working": 8, "spare": 12, "blocked": 3, "starved": 12},
        "B": {"starved": 12, "working": 19, "spare": 4},
    }


def test_a_section_of_a_longer_takt_sets_the_pace() -> None:
    """A section that takes a job every 15 s keeps one of 10 s waiting at its marks.

    Marks of the second: 0, 15, 30, 45. The first is due at 10 with J1 and blocked until 15; its next is due
    at 25, passed at 30; 40, passed at 45.
    """
    ran = run(
        TWO.replace('stations = ["B"]', 'stations = ["B"]\ntakt = "15 s"'), length="50 s", jobs=["short"] * 6
    )
    assert [e.time / 1000 for e in ran.events if e.what == "mark" and e.section == 0] == [0, 15, 30, 45]
    assert stops(ran) == {"A blocked": 15}
    assert sections(ran) == {"first": {"running": 35, "stopped": 15}, "second": {"running": 50}}


def test_a_section_of_a_shorter_takt_lets_gaps_pass() -> None:
    """A section of 10 s behind one of 15 s gets a job when there is one at its mark, else a gap.

    The first passes marks at 0; J1 is due at its end at 15. The second's marks are 10, 20: the job is taken
    at 20, so the first is blocked 15-20. Next due 35, taken at 40.
    """
    text = TWO.replace('stations = ["A"]', 'stations = ["A"]\ntakt = "15 s"')
    ran = run(text, length="45 s", jobs=["short"] * 3)
    assert trace(ran, "enter") == lines(
        "0 enter #1 A\n20 enter #2 A\n20 enter #1 B\n40 enter #3 A\n40 enter #2 B"
    )
    assert stops(ran) == {"A blocked": 10}


def test_a_section_that_waits_for_a_job_takes_it_at_once() -> None:
    """With on_gap = "wait" the second section stands starved and takes the job the moment it is there."""
    text = TWO.replace('stations = ["A"]', 'stations = ["A"]\ntakt = "15 s"').replace(
        'stations = ["B"]', 'stations = ["B"]\non_gap = "wait"'
    )
    ran = run(text, length="40 s", jobs=["short"] * 3)
    assert trace(ran, "enter", "stop", "restart") == lines(
        """
         0 enter #1 A
         0 stop B starved
        15 enter #2 A
        15 enter #1 B
        15 restart second
        25 stop B starved
        30 enter #3 A
        30 enter #2 B
        30 restart second
        """
    )
    assert stops(ran) == {"B starved": 20}
    # J1 stays at B, done at 21, spare until 25 and starved 25-30 with the section
    assert stations(ran)["B"] == {"starved": 20, "working": 12, "spare": 8}


def test_a_free_section_hands_over_at_the_mark() -> None:
    """A finished job in a free station before a moving section waits for the mark, blocked."""
    ran = run(
        """
        section.first = "free: A"
        section.second = "moving: B"
        station.A.task.fit = "7 s, nobody"
        station.B.task.fit = "3 s, nobody"
        """,
        length="25 s",
    )
    assert trace(ran, "leave", "enter") == lines(
        """
         0 enter #1 A
        10 leave #1 A
        10 enter #1 B
        10 enter #2 A
        20 leave #1 B
        20 leave #2 A
        20 enter #2 B
        20 enter #3 A
        """
    )
    assert stations(ran)["A"] == {"working": 19, "blocked": 6}


def test_a_moving_section_hands_over_to_a_free_station_when_that_is_free() -> None:
    """A free station behind a moving section is free or not when the mark comes; else the section stands."""
    ran = run(
        """
        section.first = "moving: A"
        section.second = "free: B"
        station.A.task.fit = "3 s, nobody"
        station.B.task.fit = "12 s, nobody"
        """,
        length="40 s",
    )
    # J1 to B at 10-22; J2 due at 20, passes at 22; J3 due at 32, B free at 34
    assert stops(ran) == {"A blocked": 4}
    assert trace(ran, "stop", "restart") == lines(
        "20 stop A blocked\n22 restart first\n32 stop A blocked\n34 restart first"
    )


def test_three_sections_in_a_row_step_in_one_instant() -> None:
    """A chain of sections without buffers passes its jobs on all at once, the last first."""
    ran = run(
        """
        section.s1 = "moving: A"
        section.s2 = { pacing = "indexed", stations = ["B"], transfer = "2 s" }
        section.s3 = "moving: C"
        """,
        length="31 s",
        jobs=2,
    )
    assert trace(ran, "enter") == lines(
        """
         0 enter #1 A
        10 enter #2 A
        10 enter #1 B
        20 enter #2 B
        20 enter #1 C
        30 enter #2 C
        """
    )
    assert stops(ran) == {}


def test_a_section_waits_for_a_job_still_in_the_section_above() -> None:
    """With on_gap = "wait" the last job is waited for while it is in work upstream, and nobody after it.

    A works 15 s a job. J1 boards at 15 and is due at 25; J2 comes at 30. At 40 nobody can come any more.
    """
    ran = run(
        """
        section.first = "free: A"
        section.second = { pacing = "moving", stations = ["B"], on_gap = "wait" }
        station.A.task.fit = "15 s, nobody"
        """,
        length="50 s",
        jobs=2,
    )
    assert trace(ran, "stop", "restart", "line-off") == lines(
        """
         0 stop B starved
        15 restart second
        25 stop B starved
        30 line-off #1
        30 restart second
        40 line-off #2
        """
    )
