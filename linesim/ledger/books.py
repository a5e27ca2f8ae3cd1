"""The books an engine writes into while a line runs, and from which the ledger is closed.

They know nothing of engines: everything is an index of the plan and a tick.
"""

from __future__ import annotations

import numpy as np

from linesim.ledger.accounts import LevelAccount, StateAccount
from linesim.ledger.counts import Counts
from linesim.ledger.ledger import Ledger
from linesim.ledger.shifts import shift_hours, shift_windows, working_time
from linesim.ledger.steps import StepAccount
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE
from linesim.plan.words import (
    OPERATOR_STATES,
    R_WAITING,
    ROBOT_STATES,
    S_STARVED,
    SECTION_STATES,
    STATION_STATES,
    STOP_CAUSES,
)


class Books:
    """Everything that is counted or timed on one line."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        names = plan.names
        n_words = len(names.cause) - len(STOP_CAUSES)
        self.start = 0
        self.stations = StateAccount(len(names.station), len(STATION_STATES) + n_words, S_STARVED)
        self.operators = StateAccount(len(names.operator), len(OPERATOR_STATES))
        self.robots = StateAccount(len(names.robot), len(ROBOT_STATES), R_WAITING)
        self.sections = StateAccount(len(names.section), len(SECTION_STATES))
        self.tools = LevelAccount(len(names.tool))
        self.carriers = LevelAccount(len(names.carrier))
        self.carrier_short = LevelAccount(len(names.carrier))
        self.buffers = LevelAccount(len(names.buffer))
        self.bay_waiting = LevelAccount(len(names.bay))
        self.bay_working = LevelAccount(len(names.bay))
        self.bay_holding = LevelAccount(len(names.bay))
        self.bay_inside = StepAccount(len(names.bay))
        self.inside = LevelAccount(1)
        self.n_inside = 0
        self._inside_start = 0
        self.counts = Counts.of(plan)
        self.windows = shift_windows(plan)
        self._window_counts: list[tuple[int, int]] = []
        self._window_stop: list[list[int]] = []
        self._counted = (0, 0)
        self._stop_before = [0] * len(names.section)
        shape = (len(names.section), len(names.station) + 1, len(names.cause))
        self._stop = np.zeros(shape, dtype=np.int64)
        self._stops = np.zeros(shape, dtype=np.int64)
        self._booked: list[tuple[int, int] | None] = [None] * len(names.section)
        self._booked_since = [0] * len(names.section)
        self._stopped = [0] * len(names.section)  #: ticks stopped so far

    def _timed(self) -> list[StateAccount | LevelAccount | StepAccount]:
        return [
            self.stations, self.operators, self.robots, self.sections, self.tools, self.carriers,
            self.carrier_short, self.buffers, self.bay_waiting, self.bay_working, self.bay_holding,
            self.bay_inside, self.inside,
        ]  # fmt: skip

    def open(self, now: int) -> None:
        """Begin the accounts at ``now``: what was before is warm-up and forgotten."""
        self.start = now
        for account in self._timed():
            account.restart(now)
        self.counts = Counts.of(self._plan)
        self._inside_start = self.n_inside
        self._stop[:] = 0
        self._stops[:] = 0
        self._booked_since = [now] * len(self._booked)

    def book_stop(self, section: int, hold: tuple[int, int] | None, now: int) -> bool:
        """Book the time from ``now`` on to the station and cause of ``hold``; return whether that is new.

        A ``hold`` of None says that the section does not stand.
        """
        old = self._booked[section]
        if old == hold:
            return False
        self._settle_stop(section, now)
        if hold is not None:
            self._stops[section, hold[0], hold[1]] += 1
        self._booked[section] = hold
        return True

    def _settle_stop(self, section: int, now: int) -> None:
        old = self._booked[section]
        if old is not None:
            lasted = now - self._booked_since[section]
            self._stop[section, old[0], old[1]] += lasted
            self._stopped[section] += lasted
        self._booked_since[section] = now

    # Shifts

    def begin_shift(self, now: int) -> None:
        """Begin the next shift's window at ``now``."""
        self._counted = (self.counts.jobs_out, self.counts.bay_put_right)
        for section in range(len(self._booked)):
            self._settle_stop(section, now)
        self._stop_before = self._stopped.copy()

    def end_shift(self, now: int) -> None:
        """End the shift's window at ``now``."""
        for section in range(len(self._booked)):
            self._settle_stop(section, now)
        jobs, reworked = self._counted
        self._window_counts.append((self.counts.jobs_out - jobs, self.counts.bay_put_right - reworked))
        stop = zip(self._stopped, self._stop_before, strict=True)
        self._window_stop.append([after - before for after, before in stop])

    # Jobs

    def job_in(self, now: int, feeder: int = NONE) -> None:
        """Count a job that comes onto the segment, or a unit of a feeder."""
        if feeder != NONE:
            self.counts.units_in[feeder] += 1
            return
        self.counts.jobs_in += 1
        self.n_inside += 1
        self.inside.switch(0, self.n_inside, now)

    def job_gone(self, now: int) -> None:
        """Count one job less inside."""
        self.n_inside -= 1
        self.inside.switch(0, self.n_inside, now)

    def close(self, now: int) -> Ledger:
        """Return the ledger of everything from the opening of the accounts to ``now``."""
        for section in range(len(self._booked)):
            self._settle_stop(section, now)
        counts, n_windows = self.counts, len(self._window_counts)
        windows = np.array(self.windows[:n_windows], dtype=np.int64).reshape(-1, 2)
        return Ledger(
            start=self.start,
            end=now,
            working_time=working_time(self._plan),
            windows=windows,
            window_jobs=np.array([jobs for jobs, _ in self._window_counts], dtype=np.int64),
            window_stop=np.array(self._window_stop, dtype=np.int64).reshape(n_windows, len(self._booked)),
            window_reworked=np.array([n for _, n in self._window_counts], dtype=np.int64),
            window_bay=self.bay_inside.sums(*shift_hours(windows)).swapaxes(0, 1),
            section_state=self.sections.totals(now),
            stop=self._stop.copy(),
            stops=self._stops.copy(),
            station_state=self.stations.totals(now),
            operator_state=self.operators.totals(now),
            robot_state=self.robots.totals(now),
            tool_busy=self.tools.integrals(now),
            carrier_busy=self.carriers.integrals(now),
            carrier_short=self.carrier_short.integrals(now),
            buffer_level=self.buffers.levels(now),
            bay_waiting=self.bay_waiting.integrals(now),
            bay_working=self.bay_working.integrals(now),
            bay_hold=self.bay_holding.integrals(now),
            inside_start=self._inside_start,
            inside_end=self.n_inside,
            job_time=int(self.inside.integrals(now)[0]),
            **counts.as_arrays(),
        )
