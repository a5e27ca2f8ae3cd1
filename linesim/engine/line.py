"""The line while it runs: everything on it, and what happens at one instant."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from linesim.draws.draws import Draws
from linesim.engine import states, work
from linesim.engine.bays import Bay, BayJob
from linesim.engine.breakdowns import Mode
from linesim.engine.buffers import Buffer, Carrier
from linesim.engine.calendars import WorkingTime
from linesim.engine.calls import Calls
from linesim.engine.clock import Clock, Entry, Environment
from linesim.engine.crews import Crew
from linesim.engine.gates import End, RemovalEnd, ScrapEnd, SupplyEnd
from linesim.engine.jobs import Job, Piece
from linesim.engine.order import NO_LIMIT, start_key
from linesim.engine.robots import Robot, Tool
from linesim.engine.sections import Element, Section
from linesim.engine.stations import Station
from linesim.engine.variants import Need, Variants
from linesim.ledger.books import Books
from linesim.ledger.events import Event
from linesim.plan.plan import Plan
from linesim.plan.tables import AT_TASK, NONE, SUPPLY
from linesim.plan.words import BLOCKED, STARVED
from linesim.ticks import TICKS_PER_SECOND


class Line:
    """All that stands, moves and waits on one segment.

    `settle` lets one instant happen, in the order written down in `linesim.engine.order`.
    """

    def __init__(
        self,
        plan: Plan,
        draws: Draws,
        events: list[Event] | None = None,
        environment: Environment | None = None,
    ) -> None:
        self.plan = plan
        self.draws = draws
        self.events = events
        self.books = Books(plan)
        self.clock = Clock(self.settle, environment)
        self.ends: list[Callable[[Entry], None]] = []

        # What stands on the line; filled by `linesim.engine.build`.
        self.sections: list[Section] = []
        self.stations: list[Station] = []
        self.buffers: list[Buffer] = []
        self.bays: list[Bay] = []
        self.carriers: list[Carrier] = []
        self.elements: list[Element] = []
        self.supply: SupplyEnd
        self.removal: RemovalEnd
        self.scrap: ScrapEnd
        self.supplies: list[SupplyEnd] = []
        self.crews: list[Crew] = []
        self.robots: list[Robot] = []
        self.tools: list[Tool] = []
        self.modes: list[Mode] = []
        self.calendars: list[WorkingTime] = []
        self.calls = Calls(self)

        # Tables read in the inner loop.
        tasks, faults = plan.tasks, plan.faults
        n_tasks = len(tasks.station)
        people, zone = tasks.people.tolist(), tasks.zone.tolist()
        crews, robots, tools = tasks.crews.tolists(), tasks.robots.tolists(), tasks.tools.tolists()
        self.task_need = [
            Need(people[t], tuple(crews[t]), tuple(robots[t]), tuple(tools[t]), zone[t])
            for t in range(n_tasks)
        ]
        self.task_again = [bool(again) for again in tasks.again.tolist()]
        self.task_faults = tasks.faults.tolists()
        self.fault_names = plan.names.fault
        self.has_faults = len(plan.names.fault) > 0
        seeing = {int(a) for a, kind in zip(faults.found_at, faults.found, strict=True) if kind == AT_TASK}
        self.inspects = [t in seeing for t in range(n_tasks)]
        self.zone_people = plan.equipment.zone_people.tolist()
        self.shape_mean = [shape.mean_s * TICKS_PER_SECOND for shape in plan.shapes]
        station_tasks: list[list[int]] = [[] for _ in plan.names.station]
        for t, s in enumerate(tasks.station.tolist()):
            station_tasks[s].append(t)
        self.variants = Variants(plan, station_tasks)
        self.crew_stations: list[list[int]] = []
        self.robot_stations: list[list[int]] = []
        self.tool_stations: list[list[int]] = []

        # What this instant has touched.
        self.moves: set[int] = set()
        self.to_dispatch: set[int] = set()
        self.repairs: list[Mode] = []
        self.bay_people: dict[int, BayJob] = {}
        self.touched_sections: set[int] = set()
        self.dirty_stations: set[int] = set()
        self.dirty_crews: set[int] = set()
        self.dirty_robots: set[int] = set()
        self.down_count: list[dict[int, int]] = [
            dict.fromkeys(range(len(plan.names.cause)), 0) for _ in plan.names.section
        ]
        self.last_out = NONE
        self.n_at_once = 0  #: jobs in a row that passed the whole line in one instant

    # One instant

    def settle(self, due: list[Entry]) -> None:
        """Let everything due at this instant end, begin what can begin, and write the accounts."""
        ends = self.ends
        for entry in due:
            ends[entry[0]](entry)
        self.begin()
        if self.touched_sections:
            self._regulate()
        states.write(self)

    def begin(self) -> None:
        """Begin what can begin, until nothing changes."""
        moves, elements = self.moves, self.elements
        while True:
            while moves:
                order = max(moves)
                moves.discard(order)
                elements[order].move()
            if self.repairs:
                waiting = sorted(self.repairs, key=lambda mode: mode.index)
                self.repairs = [mode for mode in waiting if not mode.try_repair()]
            if self.calls.open:
                self.calls.answer()
            if self.to_dispatch:
                self.dispatch()
            if self.bays:
                for bay in self.bays:
                    bay.start_work()
            if not moves and not self.to_dispatch:
                return

    def dispatch(self) -> None:
        """Start the ready tasks of the stations to look at, the most urgent first."""
        touched, self.to_dispatch = self.to_dispatch, set()
        self.dirty_stations |= touched
        stations = self.stations
        pieces = [piece for s in touched for piece in stations[s].waiting]
        if len(pieces) == 1:
            work.try_start(self, pieces[0])
            return
        pieces = [piece for piece in pieces if self._has_people_free(piece)]
        pieces.sort(key=self.start_order)
        for piece in pieces:
            if self._has_people_free(piece):
                work.try_start(self, piece)

    def _has_people_free(self, piece: Piece) -> bool:
        """Return whether ``piece`` might find people; most that wait do not, and need no closer look."""
        need = piece.need
        if need.people == 0 or piece.visit.helpers:
            return True
        crews = self.crews
        return any(crews[c].free for c in need.crews)

    def start_order(self, piece: Piece) -> tuple[int, int, int, int]:
        """Return the place of ``piece`` among those that wait for people and equipment."""
        visit = piece.visit
        station, limit = visit.station, visit.limit
        if limit != NO_LIMIT:
            limit -= station.section.conveyor_clock(self.clock.now)
        return start_key(limit, station.depth, piece.task, visit.job.number)

    def _regulate(self) -> None:
        now, books = self.clock.now, self.books
        for s in sorted(self.touched_sections):
            section = self.sections[s]
            section.regulate()
            books.sections.switch(s, states.section_state(section), now)
            hold = next(iter(section.holds)) if section.is_stopped else None
            if books.book_stop(s, hold, now):
                self.dirty_stations.update(station.index for station in section.stations)
                station, cause = hold if hold is not None else (NONE, NONE)
                self.note("stop" if hold is not None else "restart", section=s, station=station, cause=cause)
        self.touched_sections.clear()

    # What elements ask of the line

    def has_room(self, piece: Piece) -> bool:
        """Return whether the zone of ``piece`` has room for its people on its job."""
        zone = piece.need.zone
        inside = piece.visit.job.zones.get(zone, 0)
        return inside + piece.need.people <= int(self.zone_people[zone])

    def conveyor_changed(self, section: Section) -> None:
        """Note that ``section`` starts, halts, comes on or goes off; stations and failure modes follow."""
        self.dirty_stations.update(station.index for station in section.stations)
        for mode in section.modes:
            if section.is_moving(self.clock.now):
                mode.run()
            else:
                mode.rest()

    def section_ran_jobs(self, section: Section, job_left: bool) -> None:
        """Count a job that left ``section`` for the failure modes that count jobs."""
        if job_left:
            for mode in section.modes:
                mode.count_job()

    def station_did_job(self, station: Station) -> None:
        """Count a job whose work at ``station`` is over."""
        self.books.counts.station_jobs[station.index] += 1
        for mode in station.modes:
            mode.count_job()

    def release_station(self, station: Station) -> None:
        """Let the section go as far as ``station`` was what held it."""
        section = station.section
        own = [h for h in section.holds if h[0] == station.index and h[1] not in (BLOCKED, STARVED)]
        for hold in own:
            section.release(*hold)

    def gate_of(self, owner_kind: int) -> End:
        """Return the gate that a failure mode befalls."""
        return self.supply if owner_kind == SUPPLY else self.removal

    def prepare_job(self, number: int, feeder: int) -> Job | None:
        """Return the job (or feeder unit) with ``number`` as ordered; None after the last order."""
        order = self.draws.order(number)
        if order is None:
            return None
        return Job(number, self.variants.get(order.model, order.options), 0, feeder)

    # The event log

    def note(self, what: str, **details: Any) -> None:
        """Write one row of the event log, if somebody reads it."""
        if self.events is not None:
            self.events.append(Event(self.clock.now, what, **details))

    def note_found(self, job: Job, fault: int, station: int) -> None:
        """Count a fault that was found, and write it down."""
        self.books.counts.faults_found[fault] += 1
        self.note("found", job=job.number, station=station, where=fault)

    def note_piece(self, what: str, piece: Piece) -> None:
        """Write one row about a piece of work."""
        if self.events is not None:
            station = piece.visit.station
            self.events.append(
                Event(
                    self.clock.now,
                    what,
                    job=piece.visit.job.number,
                    section=station.section.index,
                    station=station.index,
                    task=piece.task,
                    where=piece.fault.fault if piece.fault is not None else NONE,
                    who=tuple(operator.index for operator in piece.people),
                )
            )
