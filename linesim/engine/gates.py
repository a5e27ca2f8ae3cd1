"""The ends of the segment: supply brings jobs, removal takes finished ones, and scrap is taken on the way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from typing_extensions import override

from linesim.engine import traffic
from linesim.engine.order import GATE
from linesim.engine.sections import Element
from linesim.plan.tables import NONE, Gate

if TYPE_CHECKING:
    from linesim.engine.jobs import Job
    from linesim.engine.line import Line


class End(Element):
    """What supply and removal share: a rate or a schedule, and outages in which the gate is shut."""

    __slots__ = ("due", "gate", "kind", "n_opened", "shut")

    def __init__(self, line: Line, gate: Gate, kind: int) -> None:
        super().__init__(line)
        self.gate = gate
        self.kind = kind
        self.due = 0  #: openings not yet used
        self.n_opened = 0
        self.shut = 0  #: outages that go on

    @property
    def is_rated(self) -> bool:
        """Return whether it opens only at times of its own."""
        return self.gate.every != NONE or len(self.gate.schedule) > 0

    def start(self) -> None:
        """Set the first opening."""
        if self.is_rated:
            self._set_next()

    def _set_next(self) -> None:
        clock, k = self.line.clock, self.n_opened
        if self.gate.every != NONE:
            tick = clock.now + self.line.draws.gate_every(self.name, k)
        elif k < len(self.gate.schedule):
            tick = max(clock.now, int(self.gate.schedule[k]))
        else:
            return
        clock.at(tick, (GATE, self.kind, 0, clock.serial(), self))

    @property
    def name(self) -> str:
        """The word by which its draws are keyed."""
        return "removal" if self.kind else "supply"

    @property
    def has_more(self) -> bool:
        """Return whether it will open again."""
        return self.gate.every != NONE or self.n_opened < len(self.gate.schedule)

    def open(self) -> None:
        """Let one more job through."""
        self.n_opened += 1
        self.due += 1
        self._set_next()
        self.wake()
        self.wake_inlets()

    @property
    def _lets_through(self) -> bool:
        return self.shut == 0 and (not self.is_rated or self.due > 0)

    def _count(self) -> None:
        if self.is_rated:
            self.due -= 1


class SupplyEnd(End):
    """Jobs before the line: as many as it takes, or one each time the gate opens."""

    __slots__ = ("_next", "feeder", "next_number")

    def __init__(self, line: Line, gate: Gate, feeder: int = NONE) -> None:
        super().__init__(line, gate, 0)
        self.feeder = feeder
        self.next_number = 0
        self._next: Job | None = None

    def _prepared(self) -> Job | None:
        """Return the next job, not yet on the line; None when no more are ordered."""
        if self._next is None:
            self._next = self.line.prepare_job(self.next_number, self.feeder)
        return self._next

    @override
    def offers(self, to: Element) -> Job | None:
        return self._prepared() if self._lets_through else None

    def bring(self) -> Job | None:
        """Let the next job onto the line, whatever the gate says; return None when no more are ordered."""
        job = self._prepared()
        if job is not None:
            self._next = None
            self.next_number += 1
            traffic.line_on(self.line, job)
        return job

    @override
    def give(self, to: Element) -> Job:
        self._count()
        job = self.bring()
        assert job is not None
        return job

    @override
    def move(self) -> None:
        assert self.below is not None
        if self.below.pulls_from(self):
            if self.offers(self.below) is not None:
                self.below.wake()
            return
        while self._lets_through:
            job = self._prepared()
            if job is None or not self.below.accepts(job):
                return
            self.below.take(self.give(self.below), self)

    @override
    def is_dry(self) -> bool:
        if self._prepared() is None:
            return True
        return self.is_rated and self.due == 0 and not self.has_more


class RemovalEnd(End):
    """The way out: at once, or one job each time the gate opens.

    A gate that opens and finds no job stays open for the next one, but only for one.
    """

    __slots__ = ()

    def __init__(self, line: Line, gate: Gate) -> None:
        super().__init__(line, gate, 1)

    @override
    def open(self) -> None:
        super().open()
        self.due = 1

    @override
    def accepts(self, job: Job) -> bool:
        return self._lets_through

    @override
    def take(self, job: Job, origin: Element) -> None:
        self._count()
        traffic.finish(self.line, job)

    @override
    def move(self) -> None:
        return


class ScrapEnd(Element):
    """The way of a job with a fault that is not put right: off the line, from the end of any section."""

    __slots__ = ()

    @override
    def accepts(self, job: Job) -> bool:
        return True

    @override
    def take(self, job: Job, origin: Element) -> None:
        traffic.scrap(self.line, job)
        # A section further down that waits for a job may have waited for this one, and for no other.
        for section in self.line.sections:
            section.wake()
