"""The ledger of one replication: what happened, in whole ticks, with every sum closing exactly."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from linesim.plan.tables import NONE, IntArray

#: Everything that a row can say, roughly in the order of a job's life.
WHAT = (
    "line-on", "merge", "enter", "leave", "mark", "buffer in", "buffer out", "line-off", "scrap",
    "walk", "task start", "task pause", "task resume", "task left", "task end", "redo", "open work",
    "put right",
    "fault", "found", "bay in", "bay out", "call", "help", "fail", "repaired", "stop", "restart",
    "on", "off", "station is", "operator is",
)  # fmt: skip
(
    E_LINE_ON, E_MERGE, E_ENTER, E_LEAVE, E_MARK, E_BUFFER_IN, E_BUFFER_OUT, E_LINE_OFF, E_SCRAP,
    E_WALK, E_TASK_START, E_TASK_PAUSE, E_TASK_RESUME, E_TASK_LEFT, E_TASK_END, E_REDO, E_OPEN_WORK,
    E_PUT_RIGHT,
    E_FAULT, E_FOUND, E_BAY_IN, E_BAY_OUT, E_CALL, E_HELP, E_FAIL, E_REPAIRED, E_STOP, E_RESTART,
    E_ON, E_OFF, E_STATION_IS, E_OPERATOR_IS,
) = range(32)  # fmt: skip


class Event(NamedTuple):
    """One thing that happened. Indices are the plan's; NONE where a column says nothing.

    Attributes:
        time: Tick.
        what: One of `WHAT`.
        job: Job number, counted from 0; units of a feeder have the number of their job.
        section, station, task: Where, and at which work.
        where: What else ``what`` speaks of: a buffer (``buffer in``, ``buffer out``), bay (``bay in``, ``bay
            out``), failure mode (``fail``, ``repaired``), fault (``fault``, ``found``, and ``walk`` and
            ``task …`` that put one right), calendar (``on``, ``off``), feeder (``line-on``, ``merge``,
            ``scrap``), or a state (``station is``, ``operator is``).
        who: Operators, by number.
        cause: Index of a stop's cause.
    """

    time: int
    what: str
    job: int = NONE
    section: int = NONE
    station: int = NONE
    task: int = NONE
    where: int = NONE
    who: tuple[int, ...] = ()
    cause: int = NONE


class StepAccount:
    """Every level that ``n`` quantities have been at, and from when on.

    It grows with each change: for things that change a few times an hour.
    """

    __slots__ = ("_steps",)

    def __init__(self, n: int) -> None:
        self._steps = [[(0, 0)] for _ in range(n)]

    def switch(self, i: int, level: int, now: int) -> None:
        """Note that quantity ``i`` is at ``level`` from ``now`` on."""
        self._steps[i].append((now, level))

    def restart(self, now: int) -> None:
        """Forget what was before ``now``."""
        self._steps = [[(now, steps[-1][1])] for steps in self._steps]

    def sums(self, begin: IntArray, end: IntArray) -> IntArray:
        """Return level times ticks in spans, shape ``(quantities, *shape of begin)``.

        Args:
            begin: First ticks, not before the last restart.
            end: Last ticks, of the same shape; none later than now.
        """
        rows = [_up_to(steps, end) - _up_to(steps, begin) for steps in self._steps]
        return np.array(rows, dtype=np.int64).reshape(len(self._steps), *begin.shape)


def _up_to(steps: list[tuple[int, int]], ticks: IntArray) -> IntArray:
    """Return level times ticks from the first step to each of ``ticks``."""
    at, level = np.array(steps, dtype=np.int64).T
    before = np.concatenate(([0], np.cumsum(level[:-1] * np.diff(at))))
    last = np.searchsorted(at, ticks, side="right") - 1
    return np.asarray(before[last] + level[last] * (ticks - at[last]), dtype=np.int64)


@dataclass(frozen=True, eq=False)
class Ledger:
    """Time accounts and counts of one replication, from the end of the warm-up to the end of the run.

    All times are ticks (1 ms). ``n_w`` shifts lie whole within the accounts; indices are the plan's.

    Attributes:
        start, end: First and last tick of the accounts; every state account sums to ``end - start``.
        working_time: Ticks of that span in which the scenario's calendar works (breaks and nights left out).
        windows: Start and end of each whole shift, shape ``(n_w, 2)``.
        window_jobs: Jobs finished in each shift, shape ``(n_w,)``.
        window_stop: Ticks each section stood in each shift, shape ``(n_w, sections)``.
        window_reworked: Jobs a bay put right in each shift, shape ``(n_w,)``.
        window_bay: Job-ticks inside each bay in each hour of each shift (`linesim.ledger.shifts`): waiting,
            in work, or done and not yet gone on; shape ``(n_w, bays, hours)``.
        section_state: Ticks by `SECTION_STATES`, shape ``(sections, 3)``.
        stop: Stopped ticks by the station and cause they are booked to, shape
            ``(sections, stations + 1, causes)``; the last station column is the section's own conveyor.
        stops: How often a stop was booked to each anew: begun there, or taken over from another place or
            cause; same shape.
        stands: How often each section came to a stand, shape ``(sections,)``.
        station_state: Ticks by `STATION_STATES` and then one column per disturbance word ("waiting: <word>"),
            shape ``(stations, states)``.
        station_jobs: Jobs whose work at the station ended, shape ``(stations,)``.
        overruns: Jobs that reached the station's limit with work open.
        overload: Ticks of work left at the limit, summed.
        unfinished: Jobs that went on from the station with open work.
        calls, calls_answered, call_response, calls_stopped: Calls, those of them that help reached, ticks
            from call to help summed over those, and those of them that became a stop. A call of the warm-up
            has no part in any of these.
        call_within: Calls that help reached within each of `RESPONSE_STEPS_S`, shape ``(stations, steps)``.
        operator_state: Ticks by `OPERATOR_STATES`, shape ``(operators, 10)``.
        robot_state: Ticks by `ROBOT_STATES`, shape ``(robots, 4)``.
        tool_busy: Ticks in which each piece was held, summed over the pieces, shape ``(tools,)``. Like those
            that follow it counts the working time of its place alone (`linesim.engine.calendars`); what is
            counted on the clock, nights and breaks included, ends in ``_clock``.
        carrier_busy: Ticks in which carriers were away from their rack, with a job or coming back, summed.
        carrier_short: Ticks in which the place where they board stood empty because none was free.
        tool_hours, carrier_hours, bay_hours: Ticks of working time of each tool, carrier and bay.
        buffer_level: Per buffer, ticks at each level 0, 1, 2, …
        bay_waiting, bay_working, bay_jobs, bay_seen, bay_good: Job-ticks waiting and in work, visits ended,
            different jobs, and visits that put everything right.
        bay_hold, bay_carried_on: Ticks of its section's working time in which a full bay held that section's
            end; jobs that passed it, full.
        jobs_in, jobs_out, jobs_scrapped: Jobs that came onto the segment, left it as finished, were scrapped.
        inside_start, inside_end: Jobs inside at the start and end of the accounts.
        first_time: Finished jobs on which no fault was found and nothing was redone, repaired or left open.
        reworked: Finished jobs that a bay or a later station put right.
        escaped: Finished jobs that left with a fault, found or not, or with open work.
        out_of_sequence: Finished jobs overtaken by a later one.
        lead_time: Ticks from line-on to line-off, summed over finished jobs; of each place on the way those
            in which it worked.
        job_time: Job-ticks inside while the scenario's calendar works. Little's law can be checked on the
            path: on the clock, and also here where all follow one calendar.
        faults_made, faults_found: Per fault of the plan, how often it was left and how often found.
        faults_escaped, faults_not_put_right: Those that left with a finished job, never found, and found.
        units_in, units_merged: Per feeder, units that came on and that joined a job.
    """

    start: int
    end: int
    working_time: int
    windows: IntArray
    window_jobs: IntArray
    window_stop: IntArray
    window_reworked: IntArray
    window_bay: IntArray
    section_state: IntArray
    stop: IntArray
    stops: IntArray
    stands: IntArray
    station_state: IntArray
    station_jobs: IntArray
    overruns: IntArray
    overload: IntArray
    unfinished: IntArray
    calls: IntArray
    calls_answered: IntArray
    call_response: IntArray
    calls_stopped: IntArray
    call_within: IntArray
    operator_state: IntArray
    robot_state: IntArray
    tool_busy: IntArray
    tool_busy_clock: IntArray
    tool_hours: IntArray
    carrier_busy: IntArray
    carrier_busy_clock: IntArray
    carrier_short: IntArray
    carrier_hours: IntArray
    buffer_level: tuple[IntArray, ...]
    buffer_level_clock: tuple[IntArray, ...]
    bay_waiting: IntArray
    bay_waiting_clock: IntArray
    bay_working: IntArray
    bay_working_clock: IntArray
    bay_hours: IntArray
    bay_jobs: IntArray
    bay_seen: IntArray
    bay_good: IntArray
    bay_hold: IntArray
    bay_carried_on: IntArray
    jobs_in: int
    jobs_out: int
    jobs_scrapped: int
    inside_start: int
    inside_end: int
    first_time: int
    reworked: int
    escaped: int
    out_of_sequence: int
    lead_time: int
    lead_time_clock: int
    job_time: int
    job_time_clock: int
    faults_made: IntArray
    faults_found: IntArray
    faults_escaped: IntArray
    faults_not_put_right: IntArray
    units_in: IntArray
    units_merged: IntArray
