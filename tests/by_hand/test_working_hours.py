"""Figures of time count the working time of their place; on the clock they stand in rows of their own."""

import pytest

from linesim.measures import measure
from tests.lines import Ran, run, stations

#: Two free stations with a lane between them: A 30 s a job, B 40 s with a tool, six jobs on skids.
LINE = """
takt = "60 s"
flow = ["first", "lane", "second"]
[section.first]
pacing = "free"
stations = ["A"]
[buffer.lane]
capacity = 2
[section.second]
pacing = "free"
stations = ["B"]
[station.A.task.fit]
time = "30 s"
[station.B.task.bolt]
time = "40 s"
tool = "gun"
[tool.gun]
[carrier.skid]
count = 4
boards = "first"
leaves = "second"
returns = "0 s"
[crew.a]
people = 1
covers = ["A"]
[crew.b]
people = 1
covers = ["B"]
"""
#: Six minutes of working time in shifts of two: one shift a day, two shifts a day; and the clock round.
HOURS = {
    "one shift": '[calendar.day]\nshifts = ["06:00-06:02"]\n[run]\ncalendar = "day"\nlength = "3 shifts"\n',
    "two shifts": (
        '[calendar.day]\nshifts = ["06:00-06:02", "18:00-18:02"]\n[run]\ncalendar = "day"\n'
        'length = "3 shifts"\n'
    ),
    "round the clock": '[run]\nlength = "6 min"\n',
}
NIGHT_S = {"one shift": 86_400 - 120, "two shifts": 43_200 - 120, "round the clock": 0}


def figures(ran: Ran) -> dict[str, float | None]:
    """Return the figures of a run that have no cause, by measure and, but of the segment, by place."""
    return {
        value.measure if value.where == "segment" else f"{value.measure} {value.where}": value.value
        for value in measure(ran.plan, ran.ledger)
        if not value.cause
    }


@pytest.mark.parametrize("shifts", HOURS)
def test_the_same_work_has_the_same_figures_in_any_shifts(shifts: str) -> None:
    """One shift, two shifts and the clock round agree in working time; rows on the clock hold the nights.

    In working time: A 0-30, 30-60, ... 150-180; B 30-70, 70-110, ... 230-270, so the jobs need 70, 80, 90,
    100, 110 and 120 s. In the lane J2 60-70, J3 90-110, J4 120-150, J5 150-190, J6 180-230: none for 220 s,
    one for 130 s, two for 10 s. The nights come at 120, with J3 in B and J4, just done, in A, and at 240,
    with J6 in B; the tool is held through both, and the lane is empty.
    """
    ran = run(LINE + HOURS[shifts], jobs=6)
    night, found = NIGHT_S[shifts], figures(ran)
    clock = 360 + 2 * night
    assert (ran.ledger.end - ran.ledger.start, ran.ledger.working_time) == (clock * 1000, 360_000)
    expected = {
        "lead_time": 570 / 6 / 60, "in_progress": 570 / 360, "throughput": 60,
        "tool_busy gun": 240 / 360, "carrier_busy skid": 570 / 360 / 4, "carrier_short skid": 0,
        "buffer_level lane": 150 / 360, "buffer_empty lane": 220 / 360, "buffer_full lane": 10 / 360,
        "lead_time_clock": (570 + 3 * night) / 6 / 60, "in_progress_clock": (570 + 3 * night) / clock,
        "tool_busy_clock gun": (240 + 2 * night) / clock,
        "carrier_busy_clock skid": (570 + 3 * night) / clock / 4,
        "buffer_level_clock lane": 150 / clock, "buffer_empty_clock lane": (220 + 2 * night) / clock,
        "buffer_full_clock lane": 10 / clock,
    }  # fmt: skip
    assert {name: found[name] for name in expected} == pytest.approx(expected, rel=1e-12)


def test_every_stretch_counts_by_the_hours_of_its_place() -> None:
    """A works 0-60, B 60-180; the lane belongs to B, the skids to A, a tool to all that use it.

    A: J1 0-25, J2 25-50. In the lane J1 25-60 (not B's hours), J2 50-100. B: J1 60-100, J2 100-140.
    """
    ran = run(
        LINE.replace('stations = ["A"]', 'stations = ["A"]\ncalendar = "early"')
        .replace('stations = ["B"]', 'stations = ["B"]\ncalendar = "late"')
        .replace('time = "30 s"', 'time = "25 s"\ntool = "cart"')
        .replace('tool = "gun"', 'tool = ["gun", "cart"]')
        + """
        [tool.cart]
        [calendar.day]
        shifts = ["06:00-06:03"]
        [calendar.early]
        shifts = ["06:00-06:01"]
        [calendar.late]
        shifts = ["06:01-06:03"]
        [run]
        calendar = "day"
        length = "180 s"
        """,
        jobs=2,
    )
    found, ledger = figures(ran), ran.ledger
    assert stations(ran)["B"] == {"off": 60, "working": 80, "starved": 40}
    assert ledger.buffer_level[0].tolist() == [80_000, 40_000, 0]
    assert ledger.buffer_level_clock[0].tolist() == [105_000, 65_000, 10_000]
    assert (ledger.lead_time, ledger.lead_time_clock) == (25_000 + 40_000 + 105_000, 100_000 + 115_000)
    assert ledger.job_time == ledger.job_time_clock == 215_000
    expected = {
        "tool_busy gun": 80 / 120, "tool_busy_clock gun": 80 / 180, "tool_busy cart": 130 / 180,
        "carrier_busy skid": (60 + 35) / 60 / 4, "carrier_busy_clock skid": 215 / 180 / 4,
    }  # fmt: skip
    assert {name: found[name] for name in expected} == pytest.approx(expected, rel=1e-12)


def test_a_job_that_travels_by_night_needs_no_working_time_for_it() -> None:
    """J1 leaves A at 110 and is 50 s under way, of which the night from 120 on counts for nothing.

    B begins on it in the morning, 120 of working time, and is done at 160.
    """
    ran = run(
        LINE.replace('time = "30 s"', 'time = "110 s"').replace(
            "capacity = 2", 'capacity = 2\ntravel = "50 s"'
        )
        + HOURS["one shift"],
        jobs=1,
    )
    assert (ran.ledger.lead_time, ran.ledger.jobs_out) == (160_000, 1)
    assert ran.ledger.lead_time_clock == 160_000 + NIGHT_S["one shift"] * 1000
    assert ran.ledger.buffer_level[0].tolist() == [350_000, 10_000]


def test_a_full_bay_holds_up_nobody_at_night() -> None:
    """J2 waits for room in the bay from 180 on, over the night that begins at 240, until 285.

    A needs 45 s a job, and as much again for the second try: J1 0-90, J2 90-180. The bay puts J1 right 90-285
    and J2 from then to the end, 360 of working time.
    """
    ran = run(
        """
        [section.line]
        pacing = "free"
        stations = ["A"]
        [station.A.task.fit]
        time = "45 s"
        fault = "1 at once, corner 195 s"
        [bay.corner]
        section = "line"
        rejoin = "out"
        [crew.a]
        people = 1
        covers = ["A"]
        [crew.b]
        people = 1
        covers = ["corner"]
        """
        + HOURS["one shift"],
        jobs=2,
    )
    assert ran.ledger.bay_hold.tolist() == [105_000]
    assert ran.ledger.bay_working.tolist() == [(195 + 75) * 1000]
