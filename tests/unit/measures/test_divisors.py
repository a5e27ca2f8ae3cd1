"""What figures divide by: hours, jobs, places, and where a row ends."""

from dataclasses import replace

import numpy as np
import pytest

from linesim.ledger.ledger import Ledger
from linesim.measures import measure
from linesim.plan.plan import Plan
from linesim.plan.tables import AT_TASK, FREE, INDEXED, MOVING, PlannedCalendar, int_array
from linesim.plan.words import OVERRUN
from tests.unit.measures.small_line import HOUR, MINUTE, blank_ledger, small_plan


def figures(plan: Plan, ledger: Ledger) -> dict[tuple[str, str, str], float | None]:
    """Return the measures keyed by measure, where and cause."""
    return {(row.measure, row.where, row.cause): row.value for row in measure(plan, ledger)}


def test_a_shift_that_just_makes_the_plan_meets_it() -> None:
    """Of shifts with 210, 205, 200 and 198 jobs, three meet a plan of 200."""
    plan = small_plan()
    made = np.array([210, 205, 200, 198])
    found = figures(plan, blank_ledger(plan, hours=32, window_jobs=made))
    assert found["plan_met", "segment", ""] == 0.75


def test_accounts_that_open_after_a_warm_up() -> None:
    """Figures on the clock divide by the 16 h of the accounts, which begin 8 h after the run."""
    plan = small_plan()
    changes = {"start": 8 * HOUR, "end": 24 * HOUR, "job_time_clock": 30 * 16 * HOUR}
    totals = {
        "bay_waiting_clock": 24,
        "bay_working_clock": 16,
        "tool_busy_clock": 8,
        "carrier_busy_clock": 32,
    }
    held = {name: np.array([hours * HOUR]) for name, hours in totals.items()}
    found = figures(plan, blank_ledger(plan, **changes, **held))
    assert found["in_progress_clock", "segment", ""] == 30
    assert [found[name, "corner", ""] for name in ("bay_waiting_clock", "bay_working_clock")] == [1.5, 1]
    assert (found["tool_busy_clock", "gun", ""], found["carrier_busy_clock", "skid", ""]) == (0.25, 0.5)


def test_figures_of_working_time_divide_by_the_hours_of_their_place() -> None:
    """Of 24 h on the clock the segment works 8 h, the gun 4 h, the skid 10 h and the bay 12 h."""
    plan = small_plan()
    hours = {"tool_hours": 4, "carrier_hours": 10, "bay_hours": 12}
    totals = {"bay_waiting": 24, "bay_working": 6, "tool_busy": 2, "carrier_busy": 20, "carrier_short": 5}
    held = {name: np.array([ticks * HOUR]) for name, ticks in (hours | totals).items()}
    ledger = blank_ledger(plan, hours=24, **held)
    found = figures(plan, replace(ledger, job_time=30 * 8 * HOUR, working_time=8 * HOUR))
    assert found["in_progress", "segment", ""] == 30
    assert [found[name, "corner", ""] for name in ("bay_waiting", "bay_working")] == [2, 0.5]
    pieces = int(plan.equipment.tool_count[0]), int(plan.carriers.count[0])
    assert found["tool_busy", "gun", ""] == 2 / 4 / pieces[0]
    assert found["carrier_busy", "skid", ""] == 20 / 10 / pieces[1]
    assert found["carrier_short", "skid", ""] == 0.5


def test_a_place_that_never_works_has_no_share() -> None:
    """Where a tool, a carrier or a bay has no hours, its shares are undefined and not zero."""
    plan = small_plan()
    nothing = {name: np.array([0]) for name in ("tool_hours", "carrier_hours", "bay_hours")}
    found = figures(plan, blank_ledger(plan, **nothing))
    places = {"tool_busy": "gun", "carrier_busy": "skid", "carrier_short": "skid", "bay_working": "corner"}
    assert [found[name, where, ""] for name, where in places.items()] == [None] * 4


def test_faults_and_bays_count_scrapped_jobs_too() -> None:
    """Per hundred jobs that came to an end: 150 finished and 50 scrapped are 200."""
    plan = small_plan()
    counts = {"faults_made": [10, 4], "faults_found": [8, 3], "faults_escaped": [2, 1]}
    counts |= {"faults_not_put_right": [6, 0], "bay_seen": [20], "bay_carried_on": [8]}
    arrays = {name: np.array(values) for name, values in counts.items()}
    found = figures(plan, blank_ledger(plan, jobs_out=150, jobs_scrapped=50, **arrays))
    for name in ("faults_made", "faults_found", "faults_escaped", "faults_not_put_right"):
        assert [found[name, fault, ""] for fault in plan.names.fault] == [n / 2 for n in counts[name]]
    assert (found["reworked", "corner", ""], found["bay_carried_on", "corner", ""]) == (0.1, 4)


def test_feeders_start_and_hand_over_units_per_working_hour() -> None:
    """320 units started and 304 handed over in 16 h are 20 and 19 an hour."""
    plan = small_plan()
    plan = replace(plan, names=replace(plan.names, feeder=("doors",)))
    units = {"units_in": np.array([320]), "units_merged": np.array([304])}
    found = figures(plan, blank_ledger(plan, **units))
    assert (found["units_started", "doors", ""], found["units_merged", "doors", ""]) == (20, 19)


@pytest.mark.parametrize(("capacity", "rows"), [(40, 41), (41, 0)])
def test_buffers_of_up_to_forty_places_have_a_row_for_each_level(capacity: int, rows: int) -> None:
    """With 40 places there are 41 levels, none for 0 left out; with more there is no such row."""
    plan = small_plan()
    plan = replace(plan, buffers=replace(plan.buffers, capacity=int_array([capacity])))
    levels = [cause for name, _, cause in figures(plan, blank_ledger(plan)) if name == "buffer_at"]
    assert levels == [str(level) for level in range(rows)]


def test_levels_that_were_never_reached_have_no_time() -> None:
    """A buffer of 2 places that never held more than one was never full."""
    plan = small_plan()
    found = figures(plan, blank_ledger(plan, buffer_level=(np.array([12, 4]) * HOUR,)))
    assert [found["buffer_at", "lane", str(level)] for level in range(3)] == [0.75, 0.25, 0]
    assert found["buffer_full", "lane", ""] == 0


def test_a_day_of_one_shift() -> None:
    """One shift of 8 h with half an hour of break a day: 15 working hours are two shifts."""
    on = ((0, 4 * HOUR), (4 * HOUR + 30 * MINUTE, 8 * HOUR))
    day = PlannedCalendar(period=24 * HOUR, on=on, shifts=((0, 8 * HOUR),))
    plan = small_plan(calendars=(day,))
    plan = replace(plan, run=replace(plan.run, calendar=0))
    stop = np.zeros((3, 5, 7), dtype=np.int64)
    stop[0, 0, OVERRUN] = 30 * MINUTE
    found = figures(plan, blank_ledger(plan, stop=stop, working_time=15 * HOUR))
    assert found["line_stop", "F1", "overrun"] == 15


def test_a_calendar_without_a_shift_counts_as_one() -> None:
    """Where a calendar says when it works but names no shift, all of its hours are one shift."""
    day = PlannedCalendar(period=24 * HOUR, on=((0, 8 * HOUR),), shifts=())
    plan = small_plan(calendars=(day,))
    plan = replace(plan, run=replace(plan.run, calendar=0))
    stop = np.zeros((3, 5, 7), dtype=np.int64)
    stop[0, 0, OVERRUN] = 30 * MINUTE
    found = figures(plan, blank_ledger(plan, stop=stop, working_time=16 * HOUR))
    assert found["line_stop", "F1", "overrun"] == 15


def test_a_free_section_first_hides_no_limit_behind_it() -> None:
    """Stations of a free section have no limit and no row of one; those after them have theirs."""
    plan = small_plan()
    plan = replace(plan, sections=replace(plan.sections, pacing=int_array([FREE, MOVING, INDEXED])))
    jobs = {"station_jobs": np.full(4, 50), "overruns": np.array([1, 2, 10, 5])}
    found = figures(plan, blank_ledger(plan, **jobs))
    rows = {where: value for (name, where, _), value in found.items() if name == "overruns"}
    assert rows == {"T1": 20, "E1": 10}


@pytest.mark.parametrize(("hours", "rows"), [(24, 24), (25, 0)])
def test_shifts_of_up_to_a_day_have_a_row_for_each_hour_of_a_bay(hours: int, rows: int) -> None:
    """A shift of 24 h has an hourly row for each of them, a longer one has none."""
    plan = small_plan()
    jobs = np.arange(hours, dtype=np.int64).reshape(1, 1, hours) * HOUR
    ledger = blank_ledger(plan, windows=np.array([[0, hours * HOUR]]), window_bay=jobs)
    found = {
        cause: value for (name, _, cause), value in figures(plan, ledger).items() if name == "bay_by_hour"
    }
    assert found == {f"hour {k + 1}": k for k in range(rows)}


def test_a_fault_found_by_a_task_is_found_there() -> None:
    """In the grid a fault that a task looks for stands at that task, not at the station of its number."""
    plan = small_plan()
    last = len(plan.names.task) - 1
    looked_for = replace(plan.faults, found=int_array([AT_TASK, AT_TASK]), found_at=int_array([last, last]))
    counts = {"faults_found": np.array([10, 4]), "faults_escaped": np.array([0, 2])}
    ledger = blank_ledger(plan, jobs_out=200, **counts)
    rows = measure(replace(plan, faults=looked_for), ledger)
    grid = {(row.where, row.cause): row.value for row in rows if row.measure == "fault_grid"}
    there = plan.names.task[last]
    assert grid == {("F1", there): 5, ("F1", "not found"): 0, ("T1", there): 2, ("T1", "not found"): 1}
