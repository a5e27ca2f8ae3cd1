"""The books of a run: accounts are opened after the warm-up, shifts counted, and the ledger closed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from linesim.engine.calendars import worked
from linesim.engine.tables import BOOK, State
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

    def __init__(self, s: State, plan: Plan, ask: Callable[[int], None]) -> None:
        self._s = s
        self._plan = plan
        self._ask = ask
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
            for field in fields:
                _clear(getattr(s, name), field)
        _clear(s.ticks)
        for buffer in s.buffers:
            buffer.highest = buffer.n
        self.start = w.now
        self._inside_start = w.n_inside
        self._worked = [worked(s, h) for h in range(len(s.hours))]
        w.epoch += 1

    def fetch(self) -> None:
        """Fetch the levels of bays that were noted down."""
        s, w = self._s, self._s.w[0]
        steps = [column(s.levels, field, w.n_steps).tolist() for field in ("bay", "level", "time")]
        for bay, level, time in zip(*steps, strict=True):
            self._inside.switch(bay, level, time)
        w.n_steps = 0

    def begin_shift(self) -> None:
        """Begin the next shift's window now."""
        s, w = self._s, self._s.w[0]
        self._ask(BOOK)
        self._counted = (w.jobs_out, w.bay_put_right)
        for section in s.sections:
            section.stopped_before = section.stopped

    def end_shift(self) -> None:
        """End the shift's window now."""
        s, w = self._s, self._s.w[0]
        self._ask(BOOK)
        jobs, reworked = self._counted
        self._window_counts.append((w.jobs_out - jobs, w.bay_put_right - reworked))
        self._window_stop.append([section.stopped - section.stopped_before for section in s.sections])

    # The ledger

    def _settle(self) -> None:
        """Book everything up to now."""
        self.fetch()
        self._ask(BOOK)

    def close(self) -> Ledger:
        """Return the ledger of everything from the opening of the accounts to now."""
        self._settle()
        s, w, plan = self._s, self._s.w[0], self._plan
        n_windows = len(self._window_counts)
        windows = np.array(self.windows[:n_windows], dtype=np.int64).reshape(-1, 2)
        ticks = np.array(s.ticks, dtype=np.int64) if isinstance(s.ticks, list) else s.ticks.array
        accounts = {side: column(s.accounts, side) for side in ("in_hours", "on_clock", "hours")}
        lasted = np.array([worked(s, h) for h in range(len(s.hours))], dtype=np.int64) - self._worked

        def spans(things: Any, words: int, field: str = "ticks") -> IntArray:
            found: IntArray = ticks[column(things, field)[:, None] + np.arange(words)]
            return found

        def stops(field: str) -> IntArray:
            n_places, n_causes = len(plan.names.station) + 1, len(plan.names.cause)
            return spans(s.sections, n_places * n_causes, field).reshape(-1, n_places, n_causes)

        def booked(things: Any, field: str, side: str = "in_hours") -> IntArray:
            return accounts[side][column(things, field)]

        def hours(things: Any, field: str) -> IntArray:
            return lasted[booked(things, field, "hours")]

        def levels(field: str) -> tuple[IntArray, ...]:
            return tuple(ticks[getattr(b, field) :][: b.highest + 1].copy() for b in s.buffers)

        n_states = len(STATION_STATES) + len(plan.names.cause) - len(STOP_CAUSES)
        return Ledger(
            start=self.start,
            end=w.now,
            working_time=working_time(plan),
            windows=windows,
            window_jobs=np.array([jobs for jobs, _ in self._window_counts], dtype=np.int64),
            window_stop=np.array(self._window_stop, dtype=np.int64).reshape(n_windows, w.n_sections),
            window_reworked=np.array([n for _, n in self._window_counts], dtype=np.int64),
            window_bay=self._inside.sums(*shift_hours(windows)).swapaxes(0, 1),
            section_state=spans(s.sections, len(SECTION_STATES)),
            stop=stops("stop"),
            stops=stops("stops"),
            stands=column(s.sections, "stands"),
            station_state=spans(s.stations, n_states),
            operator_state=spans(s.operators, len(OPERATOR_STATES)),
            robot_state=spans(s.robots, len(ROBOT_STATES)),
            tool_busy=booked(s.tools, "busy"),
            tool_busy_clock=booked(s.tools, "busy", "on_clock"),
            tool_hours=hours(s.tools, "busy"),
            carrier_busy=booked(s.carriers, "busy"),
            carrier_busy_clock=booked(s.carriers, "busy", "on_clock"),
            carrier_short=booked(s.carriers, "short"),
            carrier_hours=hours(s.carriers, "busy"),
            buffer_level=levels("levels"),
            buffer_level_clock=levels("levels_clock"),
            bay_waiting=booked(s.bays, "waiting"),
            bay_waiting_clock=booked(s.bays, "waiting", "on_clock"),
            bay_working=booked(s.bays, "working"),
            bay_working_clock=booked(s.bays, "working", "on_clock"),
            bay_hours=hours(s.bays, "waiting"),
            bay_hold=booked(s.bays, "holding"),
            bay_jobs=column(s.bays, "jobs"),
            bay_seen=column(s.bays, "seen"),
            bay_good=column(s.bays, "good"),
            bay_carried_on=column(s.bays, "carried_on"),
            inside_start=self._inside_start,
            inside_end=w.n_inside,
            job_time=int(accounts["in_hours"][w.inside]),
            job_time_clock=int(accounts["on_clock"][w.inside]),
            station_jobs=column(s.stations, "jobs"),
            overruns=column(s.stations, "overruns"),
            overload=column(s.stations, "overload"),
            unfinished=column(s.stations, "unfinished"),
            calls=column(s.stations, "calls"),
            calls_answered=column(s.stations, "calls_answered"),
            call_response=column(s.stations, "call_response"),
            calls_stopped=column(s.stations, "calls_stopped"),
            call_within=spans(s.stations, len(RESPONSE_STEPS_S), "call_within"),
            jobs_in=w.jobs_in,
            jobs_out=w.jobs_out,
            jobs_scrapped=w.jobs_scrapped,
            first_time=w.first_time,
            reworked=w.reworked,
            escaped=w.escaped,
            out_of_sequence=w.out_of_sequence,
            lead_time=w.lead_time,
            lead_time_clock=w.lead_time_clock,
            faults_made=column(s.faults, "n_made"),
            faults_found=column(s.faults, "n_found"),
            faults_escaped=column(s.faults, "n_escaped"),
            faults_not_put_right=column(s.faults, "n_not_put_right"),
            units_in=column(s.gates, "units_in", w.n_feeders),
            units_merged=column(s.gates, "units_merged", w.n_feeders),
        )


def column(table: Any, field: str, n: int | None = None) -> IntArray:
    """Return a field of every row of a table, or of its first ``n`` slots."""
    if isinstance(table, list):
        return np.array([getattr(row, field) for row in table[:n]], dtype=np.int64)
    whole: IntArray = table.array[field][: len(table) if n is None else n].astype(np.int64)
    return whole


def _clear(table: Any, field: str | None = None) -> None:
    """Set a field of every row of a table, or every number, to 0."""
    if not isinstance(table, list):
        table.array[slice(None) if field is None else field] = 0
    elif field is None:
        table[:] = [0] * len(table)
    else:
        for row in table:
            setattr(row, field, 0)
