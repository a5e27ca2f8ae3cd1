"""Moving and indexed sections: marks at which all jobs pass on."""

from __future__ import annotations

from heapq import heappush
from typing import TYPE_CHECKING

from typing_extensions import override

from linesim.engine.conveyor import Conveyor
from linesim.engine.order import CALL, LIMIT, REACH
from linesim.engine.sections import Element
from linesim.engine.visits import open_empty_visit, open_visit
from linesim.plan.tables import NONE
from linesim.plan.words import BLOCKED, S_SPARE, S_STARVED, STARVED

if TYPE_CHECKING:
    from linesim.engine.bays import Bay
    from linesim.engine.jobs import Job, Visit
    from linesim.engine.line import Line
    from linesim.engine.stations import Station


class PacedSection(Conveyor):
    """One job a station; at a mark every job passes on at once.

    A mark is due every takt of running time; the clock then stands until the mark can be passed: no station
    holds it, the last job can leave and, where a gap is not let through, a job waits. An indexed section
    first reaches its move, ``transfer`` before the mark, and stays there until all its jobs are finished.
    """

    __slots__ = ("gap_for", "lets_gaps_pass", "places", "takt")

    def __init__(self, index: int, line: Line) -> None:
        super().__init__(index, line)
        self.takt = int(line.plan.sections.takt[index])
        self.lets_gaps_pass = not line.plan.sections.waits_on_gap[index]
        self.places: list[Job | None] = []
        self.gap_for: tuple[int, ...] = ()  #: carriers for want of which the first place came empty

    @override
    def note_ends(self) -> None:
        last, now_blocked, now_starved = self.places[-1], False, False
        if last is not None and not self._is_coupled(last):
            now_blocked = not self.outlet(last).accepts(last)
        elif last is not None:
            now_blocked = self.mark_due
        if self.mark_due and not self.lets_gaps_pass:
            now_starved = not self._job_waits() and not self._no_more_come()
        for present, hold in (
            (now_blocked, (self.stations[-1].index, BLOCKED)),
            (now_starved, (self.stations[0].index, STARVED)),
        ):
            if present:
                self.hold(*hold)
            elif hold in self.holds:
                self.holds.pop(hold)

    def _is_coupled(self, job: Job) -> bool:
        """Return whether ``job`` passes straight into another section that pulls it at its own mark."""
        return self.outlet(job).pulls_from(self)

    def _job_waits(self) -> bool:
        job = self.inlets[0].offers(self)
        return job is not None and self.can_board(job)

    def _no_more_come(self) -> bool:
        return all(inlet.is_dry() for inlet in self.inlets)

    # Marks

    def _may_pass(self) -> bool:
        """Return whether nothing but its two ends could keep a due mark from being passed."""
        ends = ((self.stations[-1].index, BLOCKED), (self.stations[0].index, STARVED))
        return self.mark_due and self.is_on and all(hold in ends for hold in self.holds)

    def _gap_is_fine(self) -> bool:
        return self.lets_gaps_pass or self._job_waits() or self._no_more_come()

    @override
    def offers(self, to: Element) -> Job | None:
        last = self.places[-1]
        if last is None or not self._may_pass() or self.outlet(last) is not to:
            return None
        return last if self._gap_is_fine() else None

    @override
    def give(self, to: Element) -> Job:
        job = self._pass_mark()
        assert job is not None
        return job

    @override
    def pulls_from(self, giver: Element) -> bool:
        return True

    @override
    def move(self) -> None:
        if self.mark_due or self.move_due:
            self.line.touched_sections.add(self.index)  # what it stands for may have changed
        if self.move_due and self.is_on and self._may_start_move():
            self.move_due = False
            self.holds.pop((self.stations[-1].index, BLOCKED), None)
        if not self._may_pass() or not self._gap_is_fine():
            return
        last = self.places[-1]
        if last is None:
            self._pass_mark()
        elif self._is_coupled(last):
            self.outlet(last).wake()
        else:
            outlet = self.outlet(last)
            if outlet.accepts(last):
                self._pass_mark()
                outlet.take(last, self)

    @override
    def is_kept_empty_by(self, carrier: int) -> bool:
        if (self.stations[0].index, STARVED) in self.holds:
            return self.is_wanting(carrier, self)
        return self.places[0] is None and carrier in self.gap_for

    def _may_start_move(self) -> bool:
        end = (self.stations[-1].index, BLOCKED)
        if any(hold != end for hold in self.holds):
            return False
        last = self.places[-1]
        return last is None or self._is_coupled(last) or self.outlet(last).accepts(last)

    def _pass_mark(self) -> Job | None:
        """Let every job pass into the next station; return the one that leaves."""
        mark = self.next_mark
        self.mark_due = False
        self.next_mark += self.takt
        self.next_move = self.next_mark - self.transfer
        self.holds.pop((self.stations[-1].index, BLOCKED), None)
        self.holds.pop((self.stations[0].index, STARVED), None)
        self.line.touched_sections.add(self.index)
        self.line.note("mark", section=self.index)
        places = self.places
        leaving = places.pop()
        if leaving is not None:
            self.line.note("leave", job=leaving.number, station=self.stations[-1].index)
            self.part(leaving)
        boarding = None
        self.gap_for = tuple(k for k in self.carriers_in if self.is_wanting(k, self))
        if self._job_waits():
            boarding = self.inlets[0].give(self)
            boarding.boarded, boarding.reached = mark, 0
            self.board(boarding)
        places.insert(0, boarding)
        for position in range(len(places) - 1, -1, -1):
            job = places[position]
            if job is not None:
                self.enter(job, position, mark)
        self.line.dirty_stations.update(station.index for station in self.stations)
        self.line.section_ran_jobs(self, leaving is not None)
        self.wake_inlets()
        return leaving

    def enter(self, job: Job, position: int, mark: int, *, at_start: bool = False) -> None:
        """Let ``job`` pass the upstream border of the station at ``position`` at clock ``mark``.

        Where the station reaches upstream its visit is open already, unless the run starts with the job here.
        """
        station = self.stations[position]
        visit = job.visits.get(station.index)
        if visit is None and (at_start or not (station.early and position)):
            visit = self._open(job, station)
        self.line.note("enter", job=job.number, station=station.index)
        if station.late:
            heappush(self.agenda, (self._limit(job, station), LIMIT, position, job.number, job))
        if visit is not None and station.call_at != NONE:
            heappush(self.agenda, (mark + station.call_at, CALL, position, job.number, job))
        following = position + 1
        if following < len(self.stations) and self.stations[following].early:
            start = mark + self.takt - self.stations[following].early
            heappush(self.agenda, (start, REACH, following, job.number, job))

    @override
    def reach(self, job: Job, station: Station) -> None:
        self._open(job, station)

    def _open(self, job: Job, station: Station) -> Visit | None:
        job.reached = station.position + 1
        return open_visit(self.line, job, station, self._limit(job, station))

    def _limit(self, job: Job, station: Station) -> int:
        """Return the conveyor clock at which work on ``job`` at ``station`` must be over."""
        return job.boarded + (station.position + 1) * self.takt - self.transfer + station.late

    @override
    def open_again(self, job: Job, station: Station) -> Visit | None:
        limit = self._limit(job, station)
        if not self.is_past(job, station) or self.conveyor_clock(self.line.clock.now) >= limit:
            return None
        return open_empty_visit(self.line, job, station, limit)

    @override
    def is_past(self, job: Job, station: Station) -> bool:
        return job in self.places and job.reached > station.position

    def fill(self, job: Job, position: int) -> None:
        """Put ``job`` at ``position`` when a run starts full, as if a mark had just passed."""
        self.places[position] = job
        job.boarded = -position * self.takt
        self.next_mark, self.next_move = self.takt, self.takt - self.transfer
        self.enter(job, position, 0, at_start=True)

    # What stands where

    def has_jobs(self) -> bool:
        """Return whether anything is on the section."""
        return any(job is not None for job in self.places)

    @override
    def is_held_by(self, bay: Bay) -> bool:
        last = self.places[-1]
        return (self.mark_due or self.move_due) and last is not None and self.outlet(last) is bay

    @override
    def is_dry(self) -> bool:
        return not self.has_jobs() and self._no_more_come()

    @override
    def state_without_work(self, position: int) -> int:
        if self.holds:
            return self.held_state()
        return S_STARVED if self.places[position] is None else S_SPARE

    @override
    def work_done(self, station: Station, job: Job) -> None:
        if self.mark_due or self.move_due or self.holds:
            self.wake()
