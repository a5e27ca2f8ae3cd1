"""Buffers between sections, and carriers that travel with jobs and come back empty."""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

from typing_extensions import override

from linesim.engine.order import CARRIER, TRAVEL
from linesim.engine.sections import Element

if TYPE_CHECKING:
    from linesim.engine.jobs import Job
    from linesim.engine.line import Line


class Buffer(Element):
    """Places between two sections, first in first out; a travelling job takes a place.

    With no travel, an empty buffer lets a job straight through at the instant at which the section below
    takes it. One without places does nothing else.
    """

    __slots__ = ("capacity", "index", "jobs", "travel")

    def __init__(self, line: Line, index: int) -> None:
        super().__init__(line)
        buffers = line.plan.buffers
        self.index = index
        self.capacity = int(buffers.capacity[index])
        self.travel = int(buffers.travel[index]) if self.capacity else 0
        self.jobs: deque[tuple[int, Job]] = deque()  #: (tick at which it has arrived, job)

    @override
    def accepts(self, job: Job) -> bool:
        if len(self.jobs) < self.capacity:
            return True
        assert self.below is not None
        return self.capacity == 0 and not self.below.pulls_from(self) and self.below.accepts(job)

    @override
    def take(self, job: Job, origin: Element) -> None:
        assert self.below is not None
        if self.capacity == 0:
            self.below.take(job, self)
            return
        self.put(job, self.travel)

    def put(self, job: Job, travel: int) -> None:
        """Put ``job`` at the end of the buffer, ``travel`` ticks away from where it can be taken."""
        now = self.line.clock.now
        self.jobs.append((now + travel, job))
        self.line.books.buffers.switch(self.index, len(self.jobs), now)
        self.line.note("buffer in", job=job.number, where=self.index)
        if travel:
            self.line.clock.at(now + travel, (TRAVEL, self.index, 0, self.line.clock.serial(), self))
        else:
            self.wake()

    @override
    def pulls_from(self, giver: Element) -> bool:
        assert self.below is not None
        return self.capacity == 0 and self.below.pulls_from(self)

    def _lets_through(self) -> Element | None:
        """Return the inlet from which a job could pass straight through now."""
        if self.jobs or self.travel:
            return None
        return next((inlet for inlet in self.inlets if inlet.offers(self) is not None), None)

    def _has_arrived(self) -> bool:
        return bool(self.jobs) and self.jobs[0][0] <= self.line.clock.now

    @override
    def offers(self, to: Element) -> Job | None:
        if self._has_arrived():
            return self.jobs[0][1]
        inlet = self._lets_through()
        return inlet.offers(self) if inlet is not None else None

    @override
    def give(self, to: Element) -> Job:
        inlet = self._lets_through()
        if inlet is not None:
            return inlet.give(self)
        _, job = self.jobs.popleft()
        self.line.books.buffers.switch(self.index, len(self.jobs), self.line.clock.now)
        self.line.note("buffer out", job=job.number, where=self.index)
        self.wake_inlets()
        return job

    @override
    def move(self) -> None:
        assert self.below is not None
        if self.below.pulls_from(self):
            if self.offers(self.below) is not None:
                self.below.wake()
            return
        while self._has_arrived() and self.below.accepts(self.jobs[0][1]):
            self.below.take(self.give(self.below), self)
        if self.capacity == 0:
            self.wake_inlets()

    @override
    def is_dry(self) -> bool:
        return not self.jobs and all(inlet.is_dry() for inlet in self.inlets)


class Carrier:
    """Skillets, hangers or trays of one kind: a job boards only if one is free."""

    __slots__ = ("boards", "free", "index", "line", "returning", "returns")

    def __init__(self, line: Line, index: int, boards: Element) -> None:
        carriers = line.plan.carriers
        self.line = line
        self.index = index
        self.free = int(carriers.count[index])
        self.returns = int(carriers.returns[index])
        self.returning = 0
        self.boards = boards

    def take(self, job: Job) -> None:
        """Put ``job`` on a free carrier, unless it comes back on the one it had."""
        if self.index in job.carriers:
            return
        self.free -= 1
        job.carriers.append(self.index)
        self.line.books.carriers.change(self.index, 1, self.line.clock.now)

    def release(self, job: Job) -> None:
        """Take ``job`` off; the carrier is back after its return time."""
        if self.index not in job.carriers:
            return
        job.carriers.remove(self.index)
        self.returning += 1
        if self.returns:
            clock = self.line.clock
            clock.at(clock.now + self.returns, (CARRIER, self.index, 0, clock.serial(), self))
        else:
            self.come_back()

    def come_back(self) -> None:
        """Count one more carrier as free."""
        self.returning -= 1
        self.free += 1
        self.line.books.carriers.change(self.index, -1, self.line.clock.now)
        self.boards.wake()
        self.boards.wake_inlets()
