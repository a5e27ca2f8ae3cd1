"""What each place on the line did: stations, machines, buffers, bays, faults, people."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from linesim.ledger.ledger import Ledger
from linesim.ledger.shifts import shift_hours
from linesim.measures.definitions import Value, share
from linesim.measures.output import minutes_per_shift, shifts_worked
from linesim.plan.plan import Plan
from linesim.plan.tables import AT_ONCE, AT_STATION, FREE, NONE
from linesim.plan.words import (
    O_HELPING,
    O_OFF,
    O_REPAIRING,
    O_WALKING,
    O_WORKING,
    OPERATOR_STATES,
    R_OFF,
    RESPONSE_STEPS_S,
    ROBOT_STATES,
    S_OFF,
    STATION_STATES,
    STOP_CAUSES,
)
from linesim.ticks import TICKS_PER_SECOND


def station_state_words(plan: Plan) -> tuple[str, ...]:
    """Return the states of a station in column order: every line's, then the waits for disturbances."""
    return (*STATION_STATES, *(f"waiting: {word}" for word in plan.names.cause[len(STOP_CAUSES) :]))


def station_states(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield each station's time by state, as shares of the time in which its calendar works."""
    words = station_state_words(plan)
    for index, name in enumerate(plan.names.station):
        row = ledger.station_state[index]
        on = int(row.sum()) - int(row[S_OFF])
        for state, word in enumerate(words):
            if state != S_OFF:
                yield Value("station_state", name, word, "share", share(int(row[state]), on))


def station_limits(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield overruns, open work, overload and calls of the stations of paced sections, per job."""
    for index, name in enumerate(plan.names.station):
        if plan.sections.pacing[plan.stations.section[index]] == FREE:
            continue
        jobs = int(ledger.station_jobs[index])
        per_hundred = "1/100 jobs"
        yield Value("overruns", name, "", per_hundred, share(100 * int(ledger.overruns[index]), jobs))
        overload_s = int(ledger.overload[index]) / TICKS_PER_SECOND
        yield Value("overload", name, "", "s/job", share(overload_s, jobs))
        yield Value("unfinished", name, "", per_hundred, share(100 * int(ledger.unfinished[index]), jobs))
        if plan.stations.call_at[index] == NONE:
            continue
        calls, answered = int(ledger.calls[index]), int(ledger.calls_answered[index])
        response_s = int(ledger.call_response[index]) / TICKS_PER_SECOND
        yield Value("calls", name, "", per_hundred, share(100 * calls, jobs))
        yield Value("calls_answered", name, "", "share", share(answered, calls))
        yield Value("calls_stopped", name, "", "share", share(int(ledger.calls_stopped[index]), calls))
        yield Value("call_response", name, "", "s", share(response_s, answered))
        for step, within_s in enumerate(RESPONSE_STEPS_S):
            count = int(ledger.call_within[index, step])
            yield Value("call_within", name, f"{within_s} s", "share", share(count, calls))


def robots(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield each robot's time by state, as shares of the time in which its calendar works."""
    for index, name in enumerate(plan.names.robot):
        row = ledger.robot_state[index]
        on = int(row.sum()) - int(row[R_OFF])
        for state, word in enumerate(ROBOT_STATES):
            if state != R_OFF:
                yield Value("robot_state", name, word, "share", share(int(row[state]), on))


def tools_and_carriers(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield the share of time in which a piece of each tool, or a carrier, was taken.

    They have no calendar and a break does not free them. The share is of the hours of the sections that use
    the tool, or of the one where jobs board the carrier, and in a row of its own of the clock.
    """
    clock = ledger.end - ledger.start
    for index, name in enumerate(plan.names.tool):
        pieces, hours = int(plan.equipment.tool_count[index]), int(ledger.tool_hours[index])
        busy, on_clock = int(ledger.tool_busy[index]), int(ledger.tool_busy_clock[index])
        yield Value("tool_busy", name, "", "share", share(busy, hours * pieces))
        yield Value("tool_busy_clock", name, "", "share", share(on_clock, clock * pieces))
    for index, name in enumerate(plan.names.carrier):
        pieces, hours = int(plan.carriers.count[index]), int(ledger.carrier_hours[index])
        busy, on_clock = int(ledger.carrier_busy[index]), int(ledger.carrier_busy_clock[index])
        yield Value("carrier_busy", name, "", "share", share(busy, hours * pieces))
        yield Value("carrier_busy_clock", name, "", "share", share(on_clock, clock * pieces))
        yield Value("carrier_short", name, "", "share", share(int(ledger.carrier_short[index]), hours))


MOST_LEVELS = 40  #: Buffers with more places have no row per level.


def buffers(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield each buffer's mean level, the shares of time full and empty, and of each level.

    All are weighted by time, not by jobs that look in: by the working time of the section after the buffer,
    so that they stand beside its waits, and in rows of their own by time on the clock.
    """
    for index, name in enumerate(plan.names.buffer):
        capacity = int(plan.buffers.capacity[index])
        for suffix, levels in (("", ledger.buffer_level), ("_clock", ledger.buffer_level_clock)):
            ticks, of = levels[index], int(levels[index].sum())
            content = int(ticks @ np.arange(len(ticks)))
            at = [int(t) for t in ticks[: capacity + 1]] + [0] * (capacity + 1 - len(ticks))
            yield Value(f"buffer_level{suffix}", name, "", "jobs", share(content, of))
            yield Value(f"buffer_full{suffix}", name, "", "share", share(at[capacity], of if capacity else 0))
            yield Value(f"buffer_empty{suffix}", name, "", "share", share(at[0], of if capacity else 0))
            if not suffix and capacity <= MOST_LEVELS:
                for level, spent in enumerate(at):
                    yield Value("buffer_at", name, str(level), "share", share(spent, of))


MOST_HOURS = 24  #: Of longer shifts there is no row for each hour.


def bays(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield what goes through each bay, how it copes, and what it costs the line when it is full."""
    clock = ledger.end - ledger.start
    begin, end = shift_hours(ledger.windows)
    hours = (end - begin).sum(axis=0).tolist()
    by_hour = ledger.window_bay.sum(axis=0)
    for index, name in enumerate(plan.names.bay):
        visits, good = int(ledger.bay_jobs[index]), int(ledger.bay_good[index])
        finished = ledger.jobs_out + ledger.jobs_scrapped
        yield Value("reworked", name, "", "share", share(int(ledger.bay_seen[index]), finished))
        yield Value("bay_visits", name, "", "1/shift", share(visits, shifts_worked(plan, ledger)))
        yield Value("bay_good", name, "", "share", share(good, visits))
        hours_open = int(ledger.bay_hours[index])
        yield Value("bay_waiting", name, "", "jobs", share(int(ledger.bay_waiting[index]), hours_open))
        yield Value("bay_waiting_clock", name, "", "jobs", share(int(ledger.bay_waiting_clock[index]), clock))
        yield Value("bay_working", name, "", "jobs", share(int(ledger.bay_working[index]), hours_open))
        yield Value("bay_working_clock", name, "", "jobs", share(int(ledger.bay_working_clock[index]), clock))
        held = minutes_per_shift(int(ledger.bay_hold[index]), plan, ledger)
        yield Value("bay_hold", name, "", "min/shift", held)
        passed = int(ledger.bay_carried_on[index])
        yield Value("bay_carried_on", name, "", "1/100 jobs", share(100 * passed, finished))
        if len(hours) <= MOST_HOURS:
            for hour, (spent, ticks) in enumerate(zip(by_hour[index].tolist(), hours, strict=True), 1):
                yield Value("bay_by_hour", name, f"hour {hour}", "jobs", share(spent, ticks))


NOT_FOUND = "not found"  #: ``cause`` of faults that left the segment unseen


def found_where(plan: Plan, fault: int) -> str:
    """Return the place where a fault is looked for: ``at once``, a station, or a task as ``station.task``."""
    how, at = int(plan.faults.found[fault]), int(plan.faults.found_at[fault])
    if how == AT_ONCE:
        return "at once"
    return plan.names.station[at] if how == AT_STATION else plan.names.task[at]


def faults(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield faults per hundred jobs, each by itself and as a grid of station made by place found.

    In the grid ``where`` is the station whose work left the fault and ``cause`` the place
    that found it, or ``not found`` for those that left with the job, seen by nobody.
    """
    finished = ledger.jobs_out + ledger.jobs_scrapped
    unit = "1/100 jobs"
    grid: dict[tuple[str, str], int] = {}
    for index, name in enumerate(plan.names.fault):
        made, found = int(ledger.faults_made[index]), int(ledger.faults_found[index])
        gone = int(ledger.faults_escaped[index])
        yield Value("faults_made", name, "", unit, share(100 * made, finished))
        yield Value("faults_found", name, "", unit, share(100 * found, finished))
        yield Value("faults_escaped", name, "", unit, share(100 * gone, finished))
        left_in = int(ledger.faults_not_put_right[index])
        yield Value("faults_not_put_right", name, "", unit, share(100 * left_in, finished))
        station = plan.names.station[int(plan.tasks.station[int(plan.faults.task[index])])]
        for place, count in ((found_where(plan, index), found), (NOT_FOUND, gone)):
            grid[station, place] = grid.get((station, place), 0) + count
    for (station, place), count in grid.items():
        yield Value("fault_grid", station, place, unit, share(100 * count, finished))


_BUSY = (O_WORKING, O_WALKING, O_HELPING, O_REPAIRING)


def crew_time(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield each crew's busy share and its time by state, as shares of its operators' time on duty."""
    for index, name in enumerate(plan.names.crew):
        first = int(plan.crews.first[index])
        ticks = ledger.operator_state[first : first + int(plan.crews.people[index])].sum(axis=0)
        on_duty = int(ticks.sum()) - int(ticks[O_OFF])
        yield Value("crew_busy", name, "", "share", share(sum(int(ticks[state]) for state in _BUSY), on_duty))
        for state, word in enumerate(OPERATOR_STATES):
            if state != O_OFF:
                yield Value("operator_state", name, word, "share", share(int(ticks[state]), on_duty))


def operator_load(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield how long each operator is busy per finished job, and with what; leave out what it never does."""
    for index in range(len(plan.names.crew)):
        first = int(plan.crews.first[index])
        states = _states_of(plan, index)
        for operator in range(first, first + int(plan.crews.people[index])):
            for state in states:
                busy_s = int(ledger.operator_state[operator, state]) / TICKS_PER_SECOND
                yield Value(
                    "operator_load",
                    plan.names.operator[operator],
                    OPERATOR_STATES[state],
                    "s/job",
                    share(busy_s, ledger.jobs_out),
                )


def _states_of(plan: Plan, crew: int) -> tuple[int, ...]:
    """Return what people of a crew can be busy with, as states."""
    crews = plan.crews
    can = {
        O_WORKING: True,
        O_WALKING: bool(crews.floater[crew] or crews.walk[crew] or crews.walk_speed[crew]),
        O_HELPING: bool(crews.floater[crew]),
        O_REPAIRING: crew in plan.modes.crew,
    }
    return tuple(state for state in _BUSY if can[state])
