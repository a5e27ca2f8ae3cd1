"""Failure modes: what they count, when they strike, and how they are repaired."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linesim.engine import work
from linesim.engine.order import FAILURE, REPAIR
from linesim.plan.tables import CALENDAR, CONVEYOR, JOBS, NONE, ROBOT, RUNNING, STATION

if TYPE_CHECKING:
    from linesim.engine.crews import Operator
    from linesim.engine.line import Line


class Mode:
    """One way in which one thing fails, again and again.

    It counts down running time, calendar time or jobs to its next failure; while the thing is down
    for this reason it counts nothing.
    """

    __slots__ = (
        "cause",
        "count",
        "crew",
        "failed",
        "index",
        "left",
        "line",
        "owner",
        "owner_kind",
        "people",
        "per",
        "repairers",
        "runs",
        "serial",
        "since",
        "waits",
    )

    def __init__(self, line: Line, index: int) -> None:
        modes = line.plan.modes
        self.line = line
        self.index = index
        self.owner_kind = int(modes.owner_kind[index])
        self.owner = int(modes.owner[index])
        self.per = int(modes.per[index])
        self.crew = int(modes.crew[index])
        self.people = int(modes.people[index])
        self.cause = int(modes.cause[index])
        self.count = 0  #: failures so far
        self.left = 0  #: ticks, or jobs, to the next failure
        self.since = 0
        self.runs = False
        self.serial = 0
        self.failed = False
        self.waits = False  #: for a technician
        self.repairers: list[Operator] = []

    def start(self) -> None:
        """Set the first failure."""
        self._next()

    def _next(self) -> None:
        modes, line = self.line.plan.modes, self.line
        if self.per == JOBS:
            self.left = int(modes.every_jobs[self.index])
        else:
            self.left = line.draws.mode_every(self.index, self.count)
        if self.per == CALENDAR:
            self._count_down()

    def run(self) -> None:
        """Go on counting: its owner runs (again)."""
        if self.per == RUNNING and not self.failed and not self.runs:
            self._count_down()

    def rest(self) -> None:
        """Stop counting: its owner stands."""
        if self.per == RUNNING and self.runs:
            self.left -= self.line.clock.now - self.since
            self.runs = False
            self.serial = 0

    def count_job(self) -> None:
        """Count one job done by its owner; the last one makes it fail."""
        if self.per == JOBS and not self.failed:
            self.left -= 1
            if self.left == 0:
                self.fail()

    def _count_down(self) -> None:
        clock = self.line.clock
        self.runs = True
        self.since = clock.now
        self.serial = clock.serial()
        clock.at(clock.now + self.left, (FAILURE, self.index, 0, self.serial, self))

    def strike(self, serial: int) -> None:
        """Fail, if the timer still counts."""
        if serial == self.serial:
            self.fail()

    def fail(self) -> None:
        """Take the owner down and ask for the repair."""
        line = self.line
        self.failed, self.runs, self.serial = True, False, 0
        line.note("fail", where=self.index)
        if self.owner_kind == ROBOT:
            robot = line.robots[self.owner]
            robot.down += 1
            line.dirty_robots.add(robot.index)
            line.dirty_stations.update(line.robot_stations[robot.index])
            if robot.down == 1 and robot.piece is not None:
                work.block(line, robot.piece)
        elif self.owner_kind == CONVEYOR:
            section = line.sections[self.owner]
            line.down_count[self.owner][self.cause] += 1
            section.hold(NONE, self.cause)
        elif self.owner_kind == STATION:
            line.stations[self.owner].disturbed.append(self.cause)
            line.dirty_stations.add(self.owner)
        else:
            line.gate_of(self.owner_kind).shut += 1
        if self.crew == NONE:
            self._begin_repair()
        else:
            self.waits = True
            line.repairs.append(self)

    def try_repair(self) -> bool:
        """Begin the repair if its people are free."""
        line = self.line
        crew = line.crews[self.crew]
        if not crew.is_on or len(crew.free) < self.people:
            return False
        self.repairers = crew.free[: self.people]
        del crew.free[: self.people]
        for operator in self.repairers:
            operator.mode = self.index
            operator.last_job = None
        line.dirty_crews.add(crew.index)
        self.waits = False
        self._begin_repair()
        return True

    def _begin_repair(self) -> None:
        clock = self.line.clock
        lasts = self.line.draws.mode_lasts(self.index, self.count)
        self.serial = clock.serial()
        clock.at(clock.now + lasts, (REPAIR, self.index, 0, self.serial, self))

    def repaired(self) -> None:
        """Bring the owner back."""
        line = self.line
        self.failed = False
        self.count += 1
        line.note("repaired", where=self.index)
        for operator in self.repairers:
            operator.mode = NONE
            operator.crew.give_back(operator, line.clock.now)
            line.to_dispatch.update(line.crew_stations[operator.crew.index])
        if self.repairers:
            line.dirty_crews.add(self.crew)
            self.repairers = []
        self._next()
        if self.owner_kind == ROBOT:
            self._robot_back()
        elif self.owner_kind == CONVEYOR:
            line.down_count[self.owner][self.cause] -= 1
            if line.down_count[self.owner][self.cause] == 0:
                line.sections[self.owner].release(NONE, self.cause)
        elif self.owner_kind == STATION:
            station = line.stations[self.owner]
            station.disturbed.remove(self.cause)
            line.dirty_stations.add(self.owner)
            line.to_dispatch.add(self.owner)
            if station.n_running:
                self.run()
        else:
            gate = line.gate_of(self.owner_kind)
            gate.shut -= 1
            gate.wake()
            gate.wake_inlets()

    def _robot_back(self) -> None:
        line = self.line
        robot = line.robots[self.owner]
        robot.down -= 1
        line.dirty_robots.add(robot.index)
        line.dirty_stations.update(line.robot_stations[robot.index])
        if robot.down == 0:
            line.to_dispatch.update(line.robot_stations[robot.index])
            if robot.piece is not None:
                work.unblock(line, robot.piece)
