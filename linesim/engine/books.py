"""The books of a run: accounts are opened after the warm-up, shifts counted, and the ledger closed."""

from __future__ import annotations

from typing import Any

import numpy as np

from linesim.engine.calendars import become, record, worked
from linesim.engine.conveyor import settle_stop
from linesim.engine.flow import change_buffer
from linesim.engine.tables import State
from linesim.ledger.ledger import Ledger, StepAccount
from linesim.ledger.shifts import shift_hours, shift_windows, working_time
from linesim.plan.plan import Plan
from linesim.plan.tables import IntArray
from linesim.plan.words import (
    OPERATOR_STATES,
    RESPONSE_STEPS_S,
    ROBOT_STATES,
    SECTION_STATES,
    STATION_STATES,
    STOP_CAUSES,
)

#: Counts that begin at nothing when the accounts are opened, by table.
_COUNTS = (
    ("w", ("jobs_in", "jobs_out", "jobs_scrapped", "first_time", "reworked", "escaped",
           "out_of_sequence", "lead_time", "lead_time_clock", "bay_put_right")),
    ("stations", ("jobs", "overruns", "overload", "unfinished", "calls", "calls_answered", "call_response",
                  "calls_stopped")),
    ("sections", ("stands",)),
    ("bays", ("jobs", "seen", "good", "carried_on")),
    ("faults", ("n_made", "n_found", "n_escaped", "n_not_put_right")),
    ("gates", ("units_in", "units_merged")),
    ("accounts", ("on_clock", "in_hours")),
)  # fmt: skip


class Books:
    """What is counted over a run and not by the rules themselves."""

    def __init__(self, s: State, plan: Plan) -> None:
        self._s = s
        self._plan = plan
        self.windows = shift_windows(plan)
        self.start = 0
        self._inside_start = 0
        self._counted = (0, 0)
        self._worked: list[int] = []
        self._window_counts: list[tuple[int, int]] = []
        self._window_stop: list[list[int]] = []
        self._inside = StepAccount(len(s.bays))

    def open(self) -> None:
        """Begin the accounts now: what was before is warm-up and forgotten."""
        s, w = self._s, self._s.w[0]
        self._settle()
        self._inside.restart(w.now)
        for name, fields in _COUNTS:
            for row in getattr(s, name):
                for field in fields:
                    setattr(row, field, 0)
        s.ticks[:] = [0] * len(s.ticks)
        for buffer in s.buffers:
            buffer.highest = buffer.n
        self.start = w.now
        self._inside_start = w.n_inside
        self._worked = [worked(s, h) for h in range(len(s.hours))]
        w.epoch += 1

    def fetch(self) -> None:
        """Fetch the levels of bays that were noted down."""
        s, w = self._s, self._s.w[0]
        for i in range(w.n_steps):
            row = s.levels[i]
            self._inside.switch(int(row.bay), int(row.level), int(row.time))
        w.n_steps = 0

    def begin_shift(self) -> None:
        """Begin the next shift's window now."""
        s, w = self._s, self._s.w[0]
        self._counted = (w.jobs_out, w.bay_put_right)
        for x, section in enumerate(s.sections):
            settle_stop(s, x)
            section.stopped_before = section.stopped

    def end_shift(self) -> None:
        """End the shift's window now."""
        s, w = self._s, self._s.w[0]
        jobs, reworked = self._counted
        for x in range(w.n_sections):
            settle_stop(s, x)
        self._window_counts.append((w.jobs_out - jobs, w.bay_put_right - reworked))
        self._window_stop.append([section.stopped - section.stopped_before for section in s.sections])

    # The ledger

    def _settle(self) -> None:
        """Book everything up to now."""
        s, w = self._s, self._s.w[0]
        self.fetch()
        for table in (s.stations, s.operators, s.robots, s.sections):
            for thing in table:
                become(s, thing, thing.state)
        for x in range(w.n_sections):
            settle_stop(s, x)
        for b in range(len(s.buffers)):
            change_buffer(s, b, 0)
        for a, account in enumerate(s.accounts):
            record(s, a, account.level)

    def _states(self, things: Any, words: int) -> IntArray:
        rows = [self._s.ticks[thing.ticks : thing.ticks + words] for thing in things]
        return np.array(rows, dtype=np.int64).reshape(len(rows), words)

    def _stops(self, field: str) -> IntArray:
        names = self._plan.names
        shape = (len(names.section), len(names.station) + 1, len(names.cause))
        n = shape[1] * shape[2]
        rows = [self._s.ticks[getattr(x, field) : getattr(x, field) + n] for x in self._s.sections]
        return np.array(rows, dtype=np.int64).reshape(shape)

    def close(self) -> Ledger:
        """Return the ledger of everything from the opening of the accounts to now."""
        self._settle()
        s, w, plan = self._s, self._s.w[0], self._plan
        n_windows = len(self._window_counts)
        windows = np.array(self.windows[:n_windows], dtype=np.int64).reshape(-1, 2)

        def counts(things: Any, field: str) -> IntArray:
            return np.array([getattr(thing, field) for thing in things], dtype=np.int64)

        def booked(things: Any, field: str, side: str = "in_hours") -> IntArray:
            return counts([s.accounts[getattr(thing, field)] for thing in things], side)

        def hours(accounts: list[int]) -> IntArray:
            of = [s.accounts[a].hours for a in accounts]
            return np.array([worked(s, h) - self._worked[h] for h in of], dtype=np.int64)

        def levels(field: str) -> tuple[IntArray, ...]:
            first = [(getattr(b, field), b.highest + 1) for b in s.buffers]
            return tuple(np.array(s.ticks[at : at + n], dtype=np.int64) for at, n in first)

        n_within = len(RESPONSE_STEPS_S)
        within = [s.ticks[st.call_within : st.call_within + n_within] for st in s.stations]
        n_states = len(STATION_STATES) + len(plan.names.cause) - len(STOP_CAUSES)
        feeders = s.gates[: w.n_feeders]
        return Ledger(
            start=self.start,
            end=w.now,
            working_time=working_time(plan),
            windows=windows,
            window_jobs=np.array([jobs for jobs, _ in self._window_counts], dtype=np.int64),
            window_stop=np.array(self._window_stop, dtype=np.int64).reshape(n_windows, w.n_sections),
            window_reworked=np.array([n for _, n in self._window_counts], dtype=np.int64),
            window_bay=self._inside.sums(*shift_hours(windows)).swapaxes(0, 1),
            section_state=self._states(s.sections, len(SECTION_STATES)),
            stop=self._stops("stop"),
            stops=self._stops("stops"),
            stands=counts(s.sections, "stands"),
            station_state=self._states(s.stations, n_states),
            operator_state=self._states(s.operators, len(OPERATOR_STATES)),
            robot_state=self._states(s.robots, len(ROBOT_STATES)),
            tool_busy=booked(s.tools, "busy"),
            tool_busy_clock=booked(s.tools, "busy", "on_clock"),
            tool_hours=hours([tool.busy for tool in s.tools]),
            carrier_busy=booked(s.carriers, "busy"),
            carrier_busy_clock=booked(s.carriers, "busy", "on_clock"),
            carrier_short=booked(s.carriers, "short"),
            carrier_hours=hours([carrier.busy for carrier in s.carriers]),
            buffer_level=levels("levels"),
            buffer_level_clock=levels("levels_clock"),
            bay_waiting=booked(s.bays, "waiting"),
            bay_waiting_clock=booked(s.bays, "waiting", "on_clock"),
            bay_working=booked(s.bays, "working"),
            bay_working_clock=booked(s.bays, "working", "on_clock"),
            bay_hours=hours([bay.waiting for bay in s.bays]),
            bay_hold=booked(s.bays, "holding"),
            bay_jobs=counts(s.bays, "jobs"),
            bay_seen=counts(s.bays, "seen"),
            bay_good=counts(s.bays, "good"),
            bay_carried_on=counts(s.bays, "carried_on"),
            inside_start=self._inside_start,
            inside_end=w.n_inside,
            job_time=s.accounts[w.inside].in_hours,
            job_time_clock=s.accounts[w.inside].on_clock,
            station_jobs=counts(s.stations, "jobs"),
            overruns=counts(s.stations, "overruns"),
            overload=counts(s.stations, "overload"),
            unfinished=counts(s.stations, "unfinished"),
            calls=counts(s.stations, "calls"),
            calls_answered=counts(s.stations, "calls_answered"),
            call_response=counts(s.stations, "call_response"),
            calls_stopped=counts(s.stations, "calls_stopped"),
            call_within=np.array(within, dtype=np.int64),
            jobs_in=w.jobs_in,
            jobs_out=w.jobs_out,
            jobs_scrapped=w.jobs_scrapped,
            first_time=w.first_time,
            reworked=w.reworked,
            escaped=w.escaped,
            out_of_sequence=w.out_of_sequence,
            lead_time=w.lead_time,
            lead_time_clock=w.lead_time_clock,
            faults_made=counts(s.faults, "n_made"),
            faults_found=counts(s.faults, "n_found"),
            faults_escaped=counts(s.faults, "n_escaped"),
            faults_not_put_right=counts(s.faults, "n_not_put_right"),
            units_in=counts(feeders, "units_in"),
            units_merged=counts(feeders, "units_merged"),
        )
