"""Sections that fail as a whole, by hand."""

from tests.lines import lines, run, sections, stations, stops, trace

CONVEYOR = """
[section.line]
pacing = "moving"
stations = ["A", "B"]
[section.line.failure.chain]
every = "15 s"
lasts = "4 s"
[station.A.task.fit]
time = "6 s"
people = 0
[station.B.task.fit]
time = "3 s"
people = 0
"""


def test_a_failed_conveyor_stops_the_section_and_work_goes_on() -> None:
    """While the chain is down work goes on, and marks come later by just that; who is done is down.

    Chain fails after 15 s of running: 15-19. Mark 10; J2 at A 10-16 goes on, J1 at B 10-13. Mark 24, when the
    chain has run 20 s. After 15 s of running more it fails at 34, where the next mark is due, too: a failure
    comes before a mark, and that is passed after the repair, at 38.
    """
    ran = run(CONVEYOR, length="40 s", jobs=2)
    assert trace(ran, "mark", "fail", "repaired", "stop", "restart", "task end") == lines(
        """
         0 mark line
         6 task end #1 A.fit
        10 mark line
        13 task end #1 B.fit
        15 fail section.line.failure.chain
        15 stop line breakdown
        16 task end #2 A.fit
        19 repaired section.line.failure.chain
        19 restart line
        24 mark line
        27 task end #2 B.fit
        34 fail section.line.failure.chain
        34 stop line breakdown
        38 repaired section.line.failure.chain
        38 mark line
        38 restart line
        """
    )
    assert stops(ran) == {"(line) breakdown": 8}
    assert sections(ran) == {"line": {"running": 32, "stopped": 8}}
    assert stations(ran) == {
        # J1 6, spare 4; J2 6, down 16-19, spare 19-24; empty 24-34, down 34-38, empty 38-40
        "A": {"working": 12, "spare": 9, "down": 7, "starved": 12},
        # empty 0-10; J1 3, spare 13-15, down 15-19, spare 19-24; J2 3, spare 27-34, down 4; empty 38-40
        "B": {"working": 6, "spare": 14, "down": 8, "starved": 12},
    }


def test_marks_are_counted_by_the_chain() -> None:
    """A conveyor that fails every so many jobs fails as that job leaves, just after the mark."""
    text = CONVEYOR.replace('every = "15 s"', 'every = 2\nper = "jobs"')
    ran = run(text, length="50 s", jobs=3)
    assert trace(ran, "mark", "fail", "leave", "repaired") == lines(
        """
         0 mark line
        10 mark line
        20 mark line
        20 leave #1 B
        30 mark line
        30 leave #2 B
        30 fail section.line.failure.chain
        34 repaired section.line.failure.chain
        44 mark line
        44 leave #3 B
        """
    )


def test_a_free_section_that_fails_passes_nothing_on() -> None:
    """A free section that fails as a whole hands nothing on and takes nothing; work goes on meanwhile.

    Fails after 7 s of running for 5 s: 7-12. A 0-6 J1; at 6 J1 to B (6-9), J2 at A 6-12. B is done at 9 and
    down until 12, when J1 leaves and J2 passes on.
    """
    ran = run(
        """
        section.cell.pacing = "free"
        section.cell.stations = ["A", "B"]
        section.cell.failure.power = { every = "7 s", lasts = "5 s" }
        station.A.task.fit = "6 s, nobody"
        station.B.task.fit = "3 s, nobody"
        """,
        length="18 s",
        jobs=2,
    )
    assert trace(ran, "fail", "repaired", "leave", "task end") == lines(
        """
         6 task end #1 A.fit
         6 leave #1 A
         7 fail section.cell.failure.power
         9 task end #1 B.fit
        12 task end #2 A.fit
        12 repaired section.cell.failure.power
        12 leave #1 B
        12 leave #2 A
        15 task end #2 B.fit
        15 leave #2 B
        """
    )
    assert stops(ran) == {"(cell) breakdown": 5}
    assert stations(ran) == {
        "A": {"working": 12, "starved": 6},
        "B": {"starved": 9, "working": 6, "down": 3},  # starved 0-6, 15-18
    }


def test_two_failures_of_one_conveyor_make_one_stop() -> None:
    """A conveyor that fails in a second way while it is down runs when both are mended: one stop, one cause.

    The belt is down 10-18, the drive 12-22.
    """
    ran = run(
        """
        takt = "100 s"
        section.line.pacing = "moving"
        section.line.stations = ["A"]
        section.line.failure.belt = { per = "calendar", every = "10 s", lasts = "8 s" }
        section.line.failure.drive = { per = "calendar", every = "12 s", lasts = "10 s" }
        """,
        length="25 s",
        jobs=1,
    )
    assert trace(ran, "fail", "repaired", "stop", "restart") == lines(
        """
        10 fail section.line.failure.belt
        10 stop line breakdown
        12 fail section.line.failure.drive
        18 repaired section.line.failure.belt
        22 repaired section.line.failure.drive
        22 restart line
        """
    )
    assert stops(ran) == {"(line) breakdown": 12}
    assert int(ran.ledger.stops.sum()) == 1


def test_a_conveyor_that_stands_and_then_goes_off_counts_once() -> None:
    """Running time to the next failure ends with the stop; the break within it takes nothing more away.

    Takt 60. A's curing takes 200 s and goes on in the break. The section runs 0-60, stands to the break, and
    runs from 240 on; the chain fails after 100 s of that, at 280.
    """
    ran = run(
        """
        takt = "60 s"
        run = { calendar = "day" }
        calendar.day = { shifts = ["06:00-06:10"], breaks = ["06:03-06:04"] }
        section.line.pacing = "moving"
        section.line.stations = ["A"]
        section.line.failure.chain = { every = "100 s", lasts = "5 s" }
        station.A.task.cure = { time = "200 s", people = 0, models = ["long"] }
        model.long = {}
        model.short = {}
        """,
        length="290 s",
        jobs=["long", "short"],
    )
    assert trace(ran, "stop", "restart", "off", "on", "fail", "repaired")[1:] == lines(
        """
         60 stop A overrun
        180 off day
        180 restart line
        240 on day
        280 fail section.line.failure.chain
        280 stop line breakdown
        285 repaired section.line.failure.chain
        285 restart line
        """
    )


def test_a_free_section_that_fails_takes_nobody_in() -> None:
    """A job that comes to an empty free section while that has failed waits above it until the repair.

    The chain of the second section fails at 5 by the calendar, 5-15; J1 is done at A at 8.
    """
    ran = run(
        """
        section.first = "free: A"
        section.second.pacing = "free"
        section.second.stations = ["B"]
        section.second.failure.chain = { every = "5 s", per = "calendar", lasts = "10 s" }
        station.A.task.fit = "8 s, nobody"
        station.B.task.fit = "2 s, nobody"
        """,
        length="18 s",
        jobs=1,
    )
    assert trace(ran, "enter", "fail", "repaired", "line-off") == lines(
        """
         0 enter #1 A
         5 fail section.second.failure.chain
        15 repaired section.second.failure.chain
        15 enter #1 B
        17 line-off #1
        """
    )
