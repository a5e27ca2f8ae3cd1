"""Rework bays: faulty and unfinished jobs are put right off the line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from typing_extensions import override

from linesim.engine import faults, traffic
from linesim.engine.jobs import NOWHERE, Job
from linesim.engine.order import BAY
from linesim.engine.sections import Element
from linesim.plan.tables import NONE

if TYPE_CHECKING:
    from linesim.engine.crews import Operator
    from linesim.engine.jobs import OpenWork
    from linesim.engine.line import Line


class BayJob:
    """One job in a bay."""

    __slots__ = ("bay", "blocks", "end", "items", "job", "people", "remaining", "runs", "serial")

    def __init__(self, bay: Bay, job: Job, items: list[OpenWork]) -> None:
        self.bay = bay
        self.job = job
        self.items = items
        self.remaining = sum(item.remaining for item in items)
        self.people: list[Operator] = []
        self.runs = False
        self.blocks = 0
        self.end = 0
        self.serial = 0


class Bay(Element):
    """Waiting and work places at a section's end, with people of its own or shared with stations.

    Where jobs rejoin further down, past stations, the work of these counts as done here, as that of all
    stations further down does for a job that leaves as finished.
    """

    __slots__ = (
        "crews",
        "done",
        "holds",
        "index",
        "max_passes",
        "people",
        "places",
        "section",
        "skipped",
        "success",
        "waiting",
        "waiting_places",
        "working",
    )

    def __init__(self, line: Line, index: int) -> None:
        super().__init__(line)
        bays = line.plan.bays
        self.index = index
        self.section = int(bays.section[index])
        self.waiting_places = int(bays.waiting[index])
        self.places = int(bays.places[index])
        self.people = int(bays.people[index])
        self.crews: list[int] = bays.crews[index].tolist()
        self.max_passes = int(bays.max_passes[index])
        self.holds = bool(bays.holds[index])
        self.success = float(bays.success[index])
        self.skipped: list[int] = []  #: stations between here and where jobs rejoin, further down
        self.waiting: list[BayJob] = []
        self.working: list[BayJob] = []
        self.done: list[Job] = []  #: put right, waiting to go on

    def _count(self) -> None:
        now, books = self.line.clock.now, self.line.books
        books.bay_waiting.switch(self.index, len(self.waiting), now)
        books.bay_working.switch(self.index, len(self.working), now)
        books.bay_inside.switch(self.index, self._n_inside(), now)

    def _n_inside(self) -> int:
        return len(self.waiting) + len(self.working) + len(self.done)

    def is_holding(self) -> bool:
        """Return whether a job at the section's end waits for room in here."""
        return self.line.sections[self.section].is_held_by(self) and not self._has_room()

    def _is_spent(self, job: Job) -> bool:
        return self.max_passes != NONE and job.bay_passes.get(self.index, 0) >= self.max_passes

    def _has_room(self) -> bool:
        return self._n_inside() < self.waiting_places + self.places

    def wants(self, job: Job) -> bool:
        """Return whether ``job`` goes in here from the end of its section."""
        if self.index not in job.for_bay:
            return False
        return self.holds or self._is_spent(job) or self._has_room()

    def pass_by(self, job: Job) -> None:
        """Let ``job`` carry its faults and open work on, for want of room."""
        items = job.for_bay.pop(self.index)
        faults.unflag(items)
        job.open_tasks.update({item.task: NOWHERE for item in items if item.fault is None})
        self.line.books.counts.bay_carried_on[self.index] += 1

    @override
    def accepts(self, job: Job) -> bool:
        return self._is_spent(job) or self._has_room()

    @override
    def take(self, job: Job, origin: Element) -> None:
        line = self.line
        items = job.for_bay.pop(self.index)
        # A section further down that waits for a job may have waited for this one, and for no other.
        for section in line.sections:
            section.wake()
        if self._is_spent(job):
            traffic.scrap(line, job)
            return
        job.bay_visits += 1
        passes = job.bay_passes[self.index] = job.bay_passes.get(self.index, 0) + 1
        counts = line.books.counts
        counts.bay_seen[self.index] += passes == 1
        self.waiting.append(BayJob(self, job, items))
        self._count()
        line.note("bay in", job=job.number, where=self.index)

    def _after(self, job: Job) -> Element | None:
        """Return where ``job`` goes next: a later bay of this section that it needs, or where it rejoins."""
        bays = self.line.sections[self.section].bays
        later = bays[bays.index(self) + 1 :]
        return next((bay for bay in later if bay.wants(job)), self.below)

    @override
    def offers(self, to: Element) -> Job | None:
        return self.done[0] if self.done and self._after(self.done[0]) is to else None

    @override
    def give(self, to: Element) -> Job:
        job = self.done.pop(0)
        self._count()
        if not isinstance(to, Bay):
            self._part(job)
        self.wake_inlets()
        return job

    def _part(self, job: Job) -> None:
        """Let ``job`` go from this section's bays, past those that are full and past stations on the way."""
        bays = self.line.sections[self.section].bays
        for bay in bays[bays.index(self) + 1 :]:
            if bay.index in job.for_bay:
                bay.pass_by(job)
        for station in self.skipped:
            job.done.update(job.variant.work[station].tasks)

    @override
    def move(self) -> None:
        while self.done:
            job = self.done[0]
            to = self._after(job)
            if to is None:
                self.done.pop(0)
                self._count()
                self._part(job)
                self.wake_inlets()
                traffic.finish(self.line, job)
                continue
            if not to.accepts(job):
                return
            to.take(self.give(to), self)

    @override
    def is_dry(self) -> bool:
        return not (self.waiting or self.working or self.done)

    def start_work(self) -> None:
        """Begin on waiting jobs while a work place and the people are free."""
        line = self.line
        while self.waiting and len(self.working) + len(self.done) < self.places:
            people = self._people()
            if people is None:
                return
            bay_job = self.waiting.pop(0)
            bay_job.people = people
            self.working.append(bay_job)
            self._count()
            for operator in people:
                operator.last_job = bay_job.job
                operator.section = NONE
                line.dirty_crews.add(operator.crew.index)
                line.bay_people[operator.index] = bay_job
            self._run(bay_job)

    def _people(self) -> list[Operator] | None:
        idle = [
            operator for c in self.crews if self.line.crews[c].is_on for operator in self.line.crews[c].free
        ]
        if len(idle) < self.people:
            return None
        for operator in idle[: self.people]:
            operator.crew.free.remove(operator)
        return idle[: self.people]

    def _run(self, bay_job: BayJob) -> None:
        clock = self.line.clock
        bay_job.runs = True
        bay_job.end = clock.now + bay_job.remaining
        bay_job.serial = clock.serial()
        clock.at(bay_job.end, (BAY, self.index, bay_job.job.number, bay_job.serial, bay_job))

    def block(self, bay_job: BayJob) -> None:
        """Pause ``bay_job``: one more of its people goes off."""
        bay_job.blocks += 1
        if bay_job.runs:
            bay_job.runs, bay_job.serial = False, 0
            bay_job.remaining = bay_job.end - self.line.clock.now
            self._note_people(bay_job)

    def unblock(self, bay_job: BayJob) -> None:
        """Let ``bay_job`` go on when the last of its people is back."""
        bay_job.blocks -= 1
        if bay_job.blocks == 0:
            self._run(bay_job)
            self._note_people(bay_job)

    def _note_people(self, bay_job: BayJob) -> None:
        self.line.dirty_crews.update(operator.crew.index for operator in bay_job.people)

    def finish(self, bay_job: BayJob, serial: int) -> None:
        """End the work on ``bay_job``; it goes on to another bay, rejoins the line or leaves as finished."""
        if serial != bay_job.serial:
            return
        line, job = self.line, bay_job.job
        self.working.remove(bay_job)
        for operator in bay_job.people:
            del line.bay_people[operator.index]
            operator.crew.give_back(operator, line.clock.now)
            line.dirty_crews.add(operator.crew.index)
            line.to_dispatch.update(line.crew_stations[operator.crew.index])
        good = self.success >= 1 or (
            line.draws.chance("bay", line.plan.names.bay[self.index], job.number, job.bay_passes[self.index])
            < self.success
        )
        if good:
            faults.settle_in_bay(line, job, bay_job.items)
        else:
            faults.unflag(bay_job.items)
            faults.keep_open(job, self.index, bay_job.items)
        counts = line.books.counts
        counts.bay_jobs[self.index] += 1
        counts.bay_good[self.index] += good
        counts.bay_put_right += good
        self.done.append(job)
        self._count()
        line.note("bay out", job=job.number, where=self.index)
        self.wake()
