"""Free sections: every station takes, works and hands on by itself (blocking after service)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from typing_extensions import override

from linesim.engine.order import NO_LIMIT
from linesim.engine.sections import Element, Section
from linesim.engine.visits import open_visit
from linesim.plan.words import S_BLOCKED, S_STARVED

if TYPE_CHECKING:
    from linesim.engine.bays import Bay
    from linesim.engine.jobs import Job
    from linesim.engine.line import Line
    from linesim.engine.stations import Station


class Stalls(Element):
    """The places of one free station.

    A finished job stays where it is until what follows takes it; with several places the job that was
    finished first is the first to go.
    """

    __slots__ = ("is_first", "is_last", "jobs", "places", "ready", "section", "station")

    def __init__(self, line: Line, section: FreeSection, station: Station, places: int) -> None:
        super().__init__(line)
        self.section = section
        self.station = station
        self.places = places
        self.jobs: list[Job] = []
        self.ready: list[Job] = []  #: finished, in the order of finishing
        self.is_first = station.position == 0
        self.is_last = False

    def _outlet(self, job: Job) -> Element:
        if self.is_last:
            return self.section.outlet(job)
        assert self.below is not None
        return self.below

    @override
    def accepts(self, job: Job) -> bool:
        if len(self.jobs) >= self.places or not self.section.may_move:
            return False
        return self.section.can_board(job) if self.is_first else True

    @override
    def take(self, job: Job, origin: Element) -> None:
        if self.is_first:
            self.section.board(job)
        self.fill(job)

    def fill(self, job: Job) -> None:
        """Put ``job`` in a place and open the work on it."""
        self.jobs.append(job)
        station = self.station
        self.line.dirty_stations.add(station.index)
        self.line.note("enter", job=job.number, station=station.index)
        open_visit(self.line, job, station, NO_LIMIT)

    @override
    def offers(self, to: Element) -> Job | None:
        if not self.ready or not self.section.may_move:
            return None
        return self.ready[0] if self._outlet(self.ready[0]) is to else None

    @override
    def give(self, to: Element) -> Job:
        job = self.ready.pop(0)
        self.jobs.remove(job)
        self.line.dirty_stations.add(self.station.index)
        self.line.note("leave", job=job.number, station=self.station.index)
        if self.is_last:
            self.section.part(job)
            self.line.section_ran_jobs(self.section, True)
        self.wake_inlets()
        self.wake()
        return job

    @override
    def move(self) -> None:
        while self.ready and self.section.may_move:
            job = self.ready[0]
            outlet = self._outlet(job)
            if outlet.pulls_from(self):
                outlet.wake()
                return
            if not outlet.accepts(job):
                return
            outlet.take(self.give(outlet), self)

    @override
    def is_kept_empty_by(self, carrier: int) -> bool:
        if len(self.jobs) >= self.places or not self.section.may_move:
            return False
        return self.section.is_wanting(carrier, self)

    @override
    def is_dry(self) -> bool:
        return not self.jobs and all(inlet.is_dry() for inlet in self.inlets)

    def finished(self, job: Job) -> None:
        """Note that the work on ``job`` is done."""
        self.ready.append(job)
        self.wake()


class FreeSection(Section):
    """Stations without a common conveyor; it has no line stop unless it fails as a whole."""

    __slots__ = ("stalls",)

    def __init__(self, index: int, line: Line) -> None:
        super().__init__(index, line)
        self.stalls: list[Stalls] = []

    @property
    def may_move(self) -> bool:
        """Return whether jobs may be handed on at this moment."""
        return self.is_on and not self.holds

    @override
    def conveyor_clock(self, now: int) -> int:
        return 0

    @override
    def is_moving(self, now: int) -> bool:
        return self.may_move

    @override
    def wake(self) -> None:
        for stalls in self.stalls:
            stalls.wake()
            stalls.wake_inlets()

    @override
    def wake_inlets(self) -> None:
        self.stalls[0].wake_inlets()

    @override
    def is_held_by(self, bay: Bay) -> bool:
        ready = self.stalls[-1].ready
        return bool(ready) and self.outlet(ready[0]) is bay

    @override
    def regulate(self) -> None:
        self.line.conveyor_changed(self)

    @override
    def state_without_work(self, position: int) -> int:
        if self.holds:
            return self.held_state()
        return S_BLOCKED if self.stalls[position].jobs else S_STARVED

    @override
    def work_done(self, station: Station, job: Job) -> None:
        self.stalls[station.position].finished(job)
