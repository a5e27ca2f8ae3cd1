"""Stations: who works where, and what a station is at this moment."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linesim.engine.jobs import COMING, READY, RUNNING
from linesim.plan.tables import NONE
from linesim.plan.words import (
    O_WAIT_EARLIER,
    O_WAIT_JOB,
    O_WAIT_STOP,
    O_WAIT_TOOL,
    O_WAIT_ZONE,
    S_DOWN,
    S_OFF,
    S_WAIT_CREW,
    S_WAIT_EARLIER,
    S_WAIT_ROBOT,
    S_WAIT_TOOL,
    S_WAIT_ZONE,
    STATION_STATES,
    STOP_CAUSES,
)

if TYPE_CHECKING:
    from linesim.engine.breakdowns import Mode
    from linesim.engine.crews import Crew
    from linesim.engine.jobs import Piece, Visit
    from linesim.engine.line import Line
    from linesim.engine.sections import Section


class Station:
    """A work area, in whatever section it stands."""

    __slots__ = (
        "call_at",
        "crews",
        "depth",
        "disturbed",
        "early",
        "floaters",
        "index",
        "late",
        "line",
        "modes",
        "n_running",
        "open_bay",
        "open_station",
        "position",
        "section",
        "stops_at_limit",
        "visits",
        "waiting",
    )

    def __init__(self, index: int, section: Section, line: Line) -> None:
        stations = line.plan.stations
        self.index = index
        self.section = section
        self.line = line
        self.position = int(stations.position[index])
        self.depth = 0  #: place down the line
        self.early = int(stations.early[index])
        self.late = int(stations.late[index])
        self.stops_at_limit = bool(stations.stops_at_limit[index])
        self.open_station = int(stations.open_station[index])
        self.open_bay = int(stations.open_bay[index])
        self.call_at = int(stations.call_at[index])
        self.crews: list[Crew] = []
        self.floaters: list[Crew] = []
        self.modes: list[Mode] = []
        self.disturbed: list[int] = []  #: causes of the disturbances that go on, oldest first
        self.visits: list[Visit] = []
        self.waiting: list[Piece] = []  #: ready, not begun
        self.n_running = 0

    def state(self) -> int:
        """Return what the station is while nothing is in progress.

        As in `STATION_STATES` and the disturbance words behind them.
        """
        if not self.section.is_on:
            return S_OFF
        if self.visits:
            return self.why_waiting()
        return self.section.state_without_work(self.position)

    def why_waiting(self) -> int:
        """Return the state of a station with open work of which none is in progress.

        The work looked at is what would be served first.
        """
        open_pieces = [piece for visit in self.visits for piece in visit.pieces]
        if not open_pieces:
            return S_WAIT_EARLIER
        if len(open_pieces) > 1:
            open_pieces.sort(key=self.line.start_order)
        return self.lacks(open_pieces[0])

    def lacks(self, piece: Piece) -> int:
        """Return what ``piece``, which is not in progress, waits for."""
        if any(robot.down for robot in piece.robots):
            return S_DOWN
        if piece.state != READY:
            return S_WAIT_CREW
        if self.disturbed:
            return len(STATION_STATES) + self.disturbed[0] - len(STOP_CAUSES)
        need, line = piece.need, self.line
        robots = [line.robots[r] for r in need.robots]
        if any(robot.down for robot in robots):
            return S_DOWN
        if need.people > self.free_people(piece):
            return S_WAIT_CREW
        if not all(robot.is_ready for robot in robots):
            return S_WAIT_ROBOT
        if not all(line.tools[k].free for k in need.tools):
            return S_WAIT_TOOL
        if need.zone != NONE and not line.has_room(piece):
            return S_WAIT_ZONE
        return S_WAIT_CREW

    def free_people(self, piece: Piece) -> int:
        """Return how many people could start ``piece`` now."""
        crews = self.line.crews
        n = sum(len(crews[c].free) for c in piece.need.crews if crews[c].is_on)
        return n + sum(h.piece is None and h.crew.is_on for h in piece.visit.helpers)

    def idle_reason(self, crew: Crew) -> int:
        """Return what keeps an idle operator of ``crew`` from working here, as in `OPERATOR_STATES`."""
        reason = O_WAIT_JOB
        for piece in self.waiting:
            if crew.index not in piece.need.crews:
                continue
            lack = self.lacks(piece)
            if lack in (S_WAIT_TOOL, S_WAIT_ROBOT, S_DOWN):
                return O_WAIT_TOOL
            if lack == S_WAIT_ZONE:
                reason = O_WAIT_ZONE
        if reason == O_WAIT_ZONE:
            return reason
        if any(visit.left for visit in self.visits):
            return O_WAIT_EARLIER
        return O_WAIT_STOP if self.section.is_stopped else O_WAIT_JOB

    def to_limit(self, visit: Visit) -> int:
        """Return the conveyor running time that ``visit``, which has a limit, has left."""
        return visit.limit - self.section.conveyor_clock(self.line.clock.now)

    def present_people(self, visit: Visit) -> int:
        """Return how many people work on ``visit`` or could: the present staffing, at least 1."""
        busy = {p.index for piece in visit.pieces if piece.state in (COMING, RUNNING) for p in piece.people}
        idle = sum(len(crew.free) for crew in self.crews if crew.is_on)
        return max(1, len(busy) + idle)
