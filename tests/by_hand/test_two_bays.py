"""Jobs that need two bays of one section, by hand."""

from tests.lines import lines, run, stations, trace

TWO_BAYS = """
[section.line]
pacing = "free"
stations = ["A"]
[station.A.task.fit]
time = "2 s"
people = 0
fault.paint = "1 at once, paint 3 s"
fault.wire = "1 at once, wire 7 s"
[bay.paint]
section = "line"
rejoin = "out"
[bay.wire]
section = "line"
rejoin = "out"
[crew.r]
people = 2
covers = ["paint", "wire"]
"""


def test_a_job_that_needs_two_bays_goes_through_both() -> None:
    """A job with faults for two bays of one section goes from the first to the second, and waits where it is.

    A: J1 0-2, redone 2-4; J2 4-8. Paint: J1 4-7, then wire 7-14. J2 paint 8-11; the wire bay is full until
    14, and J2 keeps its place in the paint bay; wire 14-21. J3 is done at 12, held in A until 14, paint
    14-17.
    """
    ran = run(TWO_BAYS, length="30 s", jobs=3)
    assert trace(ran, "bay in", "bay out", "line-off") == lines(
        """
         4 bay in #1 paint
         7 bay out #1 paint
         7 bay in #1 wire
         8 bay in #2 paint
        14 bay out #1 wire
        14 line-off #1
        14 bay out #2 paint
        14 bay in #2 wire
        14 bay in #3 paint
        21 bay out #2 wire
        21 line-off #2
        21 bay out #3 paint
        21 bay in #3 wire
        28 bay out #3 wire
        28 line-off #3
        """
    )
    assert ran.ledger.escaped == 0
    assert stations(ran)["A"] == {"working": 12, "blocked": 2, "starved": 16}


def test_a_second_bay_that_is_full_may_be_passed_by() -> None:
    """Where the second bay lets jobs carry on when it is full, the job leaves with that fault."""
    ran = run(TWO_BAYS.replace("[crew.r]", 'on_full = "carry on"\n[crew.r]'), length="12 s", jobs=2)
    assert trace(ran, "bay in", "line-off") == lines(
        """
         4 bay in #1 paint
         7 bay in #1 wire
         8 bay in #2 paint
        11 line-off #2
        """
    )
    assert ran.ledger.bay_carried_on.tolist() == [0, 1]
    assert (ran.ledger.escaped, ran.ledger.faults_not_put_right.tolist()) == (1, [0, 1])
    assert ran.ledger.faults_escaped.tolist() == [0, 0]
