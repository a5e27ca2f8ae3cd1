"""Every figure is checked against a ledger that one can divide in the head."""

from dataclasses import replace

import numpy as np
import pytest

from linesim.ledger.ledger import Ledger
from linesim.measures import DEFINITIONS, Value, measure
from linesim.plan.plan import Plan
from linesim.plan.tables import PlannedCalendar, Prices
from linesim.plan.words import (
    BLOCKED,
    BREAKDOWN,
    O_OFF,
    O_WAIT_JOB,
    O_WALKING,
    O_WORKING,
    OVERRUN,
    R_DOWN,
    R_OFF,
    R_WORKING,
    S_OFF,
    S_SPARE,
    S_WORKING,
    STARVED,
)
from tests.unit.measures.small_line import HOUR, MINUTE, blank_ledger, small_plan


def figures(plan: Plan, ledger: Ledger) -> dict[tuple[str, str, str], float | None]:
    """Return the measures keyed by measure, where and cause; a key that comes twice is an error."""
    rows = measure(plan, ledger)
    found = {(row.measure, row.where, row.cause): row.value for row in rows}
    assert len(found) == len(rows)
    return found


def test_rows_follow_from_the_plan_alone() -> None:
    """An empty run and a busy one of the same plan have the same rows in the same order."""
    plan = small_plan()
    quiet = blank_ledger(plan)
    busy = blank_ledger(plan, hours=8, jobs_out=400, faults_made=np.array([3, 4]), stop=quiet.stop + 7)
    assert [row[:4] for row in measure(plan, quiet)] == [row[:4] for row in measure(plan, busy)]


def test_every_row_is_defined_with_its_unit() -> None:
    """Each measure has a sentence, and its rows carry the unit that stands beside the sentence."""
    plan = small_plan()
    rows = measure(plan, blank_ledger(plan))
    assert {(row.measure, row.unit) for row in rows} <= {(name, d.unit) for name, d in DEFINITIONS.items()}
    assert all(definition.says.endswith(".") for definition in DEFINITIONS.values())


def test_order_of_rows_is_the_order_of_the_definitions() -> None:
    """The first row of each measure comes in the order in which the definitions list them."""
    plan = small_plan()
    first = list(dict.fromkeys(row.measure for row in measure(plan, blank_ledger(plan))))
    families = [name for name in DEFINITIONS if name in first]
    assert set(first) == set(families)
    assert first[:5] == ["throughput", "jobs_per_shift", "jobs_per_day", "jobs_per_week", "plan_met"]


def test_output_of_two_shifts() -> None:
    """410 jobs in 16 h are 25.625 an hour; shifts of 210 and 198 are 204 on average, one of two meets 200."""
    plan = small_plan()
    found = figures(plan, blank_ledger(plan, jobs_out=410, window_jobs=np.array([210, 198])))
    assert found["throughput", "segment", ""] == 25.625
    assert found["jobs_per_shift", "segment", ""] == 204
    assert found["plan_met", "segment", ""] == 0.5


def test_money_of_two_shifts() -> None:
    """204 jobs at 10 less 27 own minutes at 2, people 300, equipment 50; minutes passed on are free."""
    plan = replace(small_plan(), prices=Prices("EUR", 10.0, 2.0, 300.0, 50.0))
    stop = blank_ledger(plan).stop.copy()
    stop[0, 0, OVERRUN], stop[1, -1, BREAKDOWN] = 40 * MINUTE, 14 * MINUTE
    stop[0, -1, BLOCKED], stop[1, -1, STARVED] = 100 * MINUTE, 100 * MINUTE
    ledger = blank_ledger(plan, window_jobs=np.array([210, 198]), stop=stop)
    found = {k[2]: v for k, v in figures(plan, ledger).items() if k[0] == "net_money"}
    assert found == {"": 1636.0, "jobs": 2040.0, "stops": -54.0, "people": -300.0, "equipment": -50.0}


def test_only_what_has_a_price_has_a_row_of_money() -> None:
    """Without the margin of a job there is no sum; without a whole shift neither the jobs nor the sum."""
    plan = replace(small_plan(), prices=Prices("EUR", None, 2.0, None, None))
    rows = [row for row in measure(plan, blank_ledger(plan)) if row.measure == "net_money"]
    assert rows == [Value("net_money", "segment", "stops", "EUR/shift", 0.0)]
    plan = replace(small_plan(), prices=Prices("EUR", 10.0, None, 300.0, None))
    found = figures(plan, blank_ledger(plan, hours=4, window_jobs=np.array([], dtype=np.int64)))
    assert {k[2]: v for k, v in found.items() if k[0] == "net_money"} == {
        "": None,
        "jobs": None,
        "people": -300,
    }


def test_no_target_no_plan_met() -> None:
    """A plan that asks for no number of jobs has no row about meeting it."""
    plan = small_plan(target=None)
    assert ("plan_met", "segment", "") not in figures(plan, blank_ledger(plan))


def test_a_run_without_a_whole_shift_has_no_shift_figure() -> None:
    """Four hours give a throughput and leave jobs per shift undefined instead of made up."""
    plan = small_plan()
    found = figures(plan, blank_ledger(plan, hours=4, jobs_out=100))
    assert found["throughput", "segment", ""] == 25
    assert found["jobs_per_shift", "segment", ""] is None


def test_stops_add_up_to_the_sections_total() -> None:
    """Minutes per shift of a section are its own and its stations', each by cause, and nothing else."""
    plan = small_plan()
    stop, stops = np.zeros((3, 5, 7), dtype=np.int64), np.zeros((3, 5, 7), dtype=np.int64)
    stop[0, 1, OVERRUN], stop[0, -1, BREAKDOWN], stop[1, 2, 6] = 12 * MINUTE, 4 * MINUTE, 3 * MINUTE
    stops[0, 1, OVERRUN], stops[0, -1, BREAKDOWN] = 5, 2
    stands = np.array([6, 0, 0])
    found = figures(plan, blank_ledger(plan, stop=stop, stops=stops, stands=stands))
    assert found["line_stop", "frame", ""] == 8
    assert found["line_stop", "F2", "overrun"] == 6
    assert found["line_stop", "frame", "breakdown"] == 2
    assert found["line_stop", "T1", "parts"] == 1.5
    assert (found["stop_turns", "F2", "overrun"], found["stop_turns", "frame", "breakdown"]) == (2.5, 1)
    assert found["line_stops", "frame", ""] == 3
    booked = sum(v for (m, w, c), v in found.items() if m == "line_stop" and c and w in {"frame", "F1", "F2"})
    assert booked == found["line_stop", "frame", ""]


def test_a_disturbance_word_has_rows_only_where_it_can_happen() -> None:
    """Only T1 can lack parts, so only T1 has a row for it."""
    plan = small_plan()
    places = {w for m, w, c in figures(plan, blank_ledger(plan)) if m == "line_stop" and c == "parts"}
    assert places == {"T1"}


def test_availability_leaves_nights_out() -> None:
    """9 h running and 1 h stopped are 0.9, whatever the 6 h outside its shifts."""
    plan = small_plan()
    state = np.array([[9 * HOUR, HOUR, 6 * HOUR]] * 3)
    assert figures(plan, blank_ledger(plan, section_state=state))["availability", "trim", ""] == 0.9


def test_station_shares_leave_the_off_time_out_and_add_up_to_one() -> None:
    """6 h working, 2 h spare and 8 h off are three quarters and one quarter of the working hours."""
    plan = small_plan()
    state = np.zeros((4, 13), dtype=np.int64)
    state[:, S_WORKING], state[:, S_SPARE], state[:, S_OFF] = 6 * HOUR, 2 * HOUR, 8 * HOUR
    found = figures(plan, blank_ledger(plan, station_state=state))
    assert found["station_state", "F1", "working"] == 0.75
    assert found["station_state", "F1", "spare"] == 0.25
    assert found["station_state", "F1", "waiting: parts"] == 0
    assert sum(v for (m, w, _), v in found.items() if (m, w) == ("station_state", "F1")) == 1


def test_limits_are_per_job_and_only_where_a_limit_is() -> None:
    """Of 50 jobs 10 overran with 100 s in all: 20 in a hundred, 2 s a job; a free station has no limit."""
    plan = small_plan()
    counts = {"station_jobs": 50, "overruns": 10, "overload": 100_000, "unfinished": 5, "calls": 20}
    counts |= {"calls_answered": 16, "call_response": 16 * 30_000, "calls_stopped": 4}
    within = np.tile([0, 8, 16, 16, 16], (4, 1))
    each = {key: np.full(4, n) for key, n in counts.items()}
    found = figures(plan, blank_ledger(plan, **each, call_within=within))
    assert [found["call_within", "T1", f"{s} s"] for s in (15, 30, 60, 120, 300)] == [0, 0.4, 0.8, 0.8, 0.8]
    expected = {"overruns": 20, "overload": 2, "unfinished": 10, "calls": 40, "calls_answered": 0.8}
    expected |= {"calls_stopped": 0.2, "call_response": 30}
    assert {name: found[name, "T1", ""] for name in expected} == expected
    assert ("overruns", "E1", "") not in found
    assert ("calls", "F1", "") not in found


def test_crew_shares_are_of_the_time_on_duty() -> None:
    """5 h and 3 h of work and 1 h of walking of two people who are 12 h on duty: busy 0.75."""
    plan = small_plan()
    state = np.zeros((3, 10), dtype=np.int64)
    state[0, [O_WORKING, O_WALKING, O_OFF]] = 5 * HOUR, HOUR, 10 * HOUR
    state[1, [O_WORKING, O_WAIT_JOB, O_OFF]] = 3 * HOUR, 3 * HOUR, 10 * HOUR
    found = figures(plan, blank_ledger(plan, operator_state=state))
    assert found["crew_busy", "frame-crew", ""] == 0.75
    assert found["operator_state", "frame-crew", "walking"] == pytest.approx(1 / 12)
    assert found["crew_busy", "trim-crew", ""] is None


def test_robots_tools_and_carriers() -> None:
    """A robot's shares are of its hours; two guns taken 8 h in all over 16 h are 0.25 busy."""
    plan = small_plan()
    robot = np.zeros((1, 4), dtype=np.int64)
    robot[0, [R_WORKING, R_DOWN, R_OFF]] = 6 * HOUR, 2 * HOUR, 8 * HOUR
    held = {"tool_busy": np.array([8 * HOUR]), "carrier_busy": np.array([32 * HOUR])}
    held["carrier_short"] = np.array([4 * HOUR])
    found = figures(plan, blank_ledger(plan, robot_state=robot, **held))
    assert found["robot_state", "R1", "down"] == 0.25
    assert found["tool_busy", "gun", ""] == 0.25
    assert found["carrier_busy", "skid", ""] == 0.5
    assert found["carrier_short", "skid", ""] == 0.25


def test_buffer_shares_are_of_time() -> None:
    """4 h empty, 8 h with one, 4 h with two jobs: level 1, full a quarter; 24 h more empty on the clock."""
    plan = small_plan()
    levels = {
        "buffer_level": (np.array([4, 8, 4]) * HOUR,),
        "buffer_level_clock": (np.array([28, 8, 4]) * HOUR,),
    }
    found = figures(plan, blank_ledger(plan, **levels))
    assert found["buffer_level_clock", "lane", ""] == 0.4
    assert (found["buffer_empty_clock", "lane", ""], found["buffer_full_clock", "lane", ""]) == (0.7, 0.1)
    assert found["buffer_level", "lane", ""] == 1
    assert found["buffer_full", "lane", ""] == found["buffer_empty", "lane", ""] == 0.25
    assert [found["buffer_at", "lane", str(level)] for level in range(3)] == [0.25, 0.5, 0.25]


def test_a_buffer_without_places_is_neither_full_nor_empty() -> None:
    """With direct handover there is nothing to fill, so full and empty are undefined."""
    plan = small_plan()
    plan = replace(plan, buffers=replace(plan.buffers, capacity=np.array([0])))
    found = figures(plan, blank_ledger(plan, buffer_level=(np.array([16 * HOUR]),)))
    assert found["buffer_level", "lane", ""] == 0
    assert found["buffer_full", "lane", ""] is None and found["buffer_empty", "lane", ""] is None


def test_way_through_and_quality() -> None:
    """100 jobs out after 500 min each, 96 right first time, 3 reworked, 1 escaped; 25 scrapped."""
    plan = small_plan()
    counts = {"jobs_out": 100, "jobs_scrapped": 25, "first_time": 96, "reworked": 3, "escaped": 1}
    ledger = blank_ledger(
        plan, lead_time=100 * 500 * MINUTE, lead_time_clock=100 * 900 * MINUTE, job_time=16 * HOUR * 30,
        out_of_sequence=2, **counts,
    )  # fmt: skip
    found = figures(plan, ledger)
    expected = {
        "lead_time": 500,
        "lead_time_clock": 900,
        "in_progress": 30,
        "out_of_sequence": 0.02,
        "first_time_through": 0.96,
    }
    expected |= {"reworked": 0.03, "scrapped": 0.2, "escaped": 0.01}
    assert {name: found[name, "segment", ""] for name in expected} == expected


def test_shares_of_no_jobs_are_undefined() -> None:
    """With nothing finished, a share of the finished jobs is not zero and not one: there is none."""
    plan = small_plan()
    found = figures(plan, blank_ledger(plan))
    assert all(found[name, "segment", ""] is None for name in ("first_time_through", "scrapped", "lead_time"))


def test_bays() -> None:
    """8 visits of 5 jobs in two shifts, 6 of them good, 24 job-hours waiting, 16 in work, 10 min of hold."""
    plan = small_plan()
    counts = {"bay_jobs": 8, "bay_seen": 5, "bay_good": 6, "bay_waiting": 24 * HOUR, "bay_working": 16 * HOUR}
    counts |= {"bay_hold": 10 * MINUTE, "bay_carried_on": 2}
    found = figures(
        plan, blank_ledger(plan, jobs_out=100, **{key: np.array([n]) for key, n in counts.items()})
    )
    expected = {"reworked": 0.05, "bay_visits": 4, "bay_good": 0.75, "bay_waiting": 1.5, "bay_working": 1}
    expected |= {"bay_hold": 5, "bay_carried_on": 2, "bay_waiting_clock": 0, "bay_working_clock": 0}
    assert {m: v for (m, w, _), v in found.items() if w == "corner"} == expected


def test_faults_by_place_made_and_found() -> None:
    """Faults of T1 are found at E1 or not at all; those of F1 at once; all per hundred finished jobs."""
    plan = small_plan()
    counts = {"faults_made": [10, 4], "faults_found": [10, 3], "faults_escaped": [0, 1]}
    counts["faults_not_put_right"] = [0, 2]
    found = figures(plan, blank_ledger(plan, jobs_out=200, **{k: np.array(v) for k, v in counts.items()}))
    assert found["faults_made", "T1.bolt", ""] == 2
    assert found["faults_not_put_right", "T1.bolt", ""] == 1
    grid = {(w, c): v for (m, w, c), v in found.items() if m == "fault_grid"}
    assert grid == {("F1", "at once"): 5, ("F1", "not found"): 0, ("T1", "E1"): 1.5, ("T1", "not found"): 0.5}


def test_per_shift_counts_working_time_of_the_calendar() -> None:
    """Two shifts of 7.5 working hours a day: 30 min of stop in 15 working hours are 15 min a shift."""
    day = PlannedCalendar(
        period=24 * HOUR,
        on=(
            (0, 4 * HOUR),
            (4 * HOUR + 30 * MINUTE, 8 * HOUR),
            (8 * HOUR, 12 * HOUR),
            (12 * HOUR + 30 * MINUTE, 16 * HOUR),
        ),
        shifts=((0, 8 * HOUR), (8 * HOUR, 16 * HOUR)),
    )
    plan = small_plan(calendars=(day,))
    plan = replace(plan, run=replace(plan.run, calendar=0))
    stop = np.zeros((3, 5, 7), dtype=np.int64)
    stop[0, 0, OVERRUN] = 30 * MINUTE
    found = figures(plan, blank_ledger(plan, stop=stop, working_time=15 * HOUR))
    assert found["line_stop", "F1", "overrun"] == 15


def test_values_read_like_rows() -> None:
    """A value unpacks into the columns of the table in their order."""
    name, where, cause, unit, value = Value("throughput", "segment", "", "jobs/h", 25.0)
    assert (name, where, cause, unit, value) == ("throughput", "segment", "", "jobs/h", 25.0)
