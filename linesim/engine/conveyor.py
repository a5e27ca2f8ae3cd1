"""The conveyor of a moving or indexed section: a clock of running time and what it meets."""

from __future__ import annotations

from heapq import heappop
from typing import TYPE_CHECKING

from typing_extensions import override

from linesim.engine import limits
from linesim.engine.order import CALL, CONVEYOR, REACH
from linesim.engine.sections import Section
from linesim.plan.tables import NONE

if TYPE_CHECKING:
    from linesim.engine.jobs import Job
    from linesim.engine.line import Line
    from linesim.engine.stations import Station


class Conveyor(Section):
    """A section whose clock counts running time.

    On that clock lie its marks, the moves before them, and the agenda of its stations: reaches, calls
    and limits. One timer stands for the nearest of them; when the section halts it is void, and when
    it runs again it is set anew.
    """

    __slots__ = (
        "agenda",
        "clock_at",
        "mark_due",
        "move_due",
        "next_mark",
        "next_move",
        "runs",
        "serial",
        "since",
        "timed",
        "transfer",
    )

    def __init__(self, index: int, line: Line) -> None:
        super().__init__(index, line)
        self.transfer = int(line.plan.sections.transfer[index])
        self.runs = False
        self.clock_at = 0  #: conveyor clock at ``since``
        self.since = 0
        self.next_mark = 0
        self.next_move = NONE  #: before the first mark there is no move
        self.mark_due = False
        self.move_due = False
        self.agenda: list[tuple[int, int, int, int, Job]] = []  #: (clock, kind, position, job number, job)
        self.serial = 0
        self.timed = NONE  #: conveyor clock for which the timer is set

    def reach(self, job: Job, station: Station) -> None:
        """Open work on ``job``, which has come within reach of ``station`` ahead of its border."""
        raise NotImplementedError

    def note_ends(self) -> None:
        """Note whether the end is blocked and whether a job is missing, at a mark or move that is due."""
        raise NotImplementedError

    @override
    def conveyor_clock(self, now: int) -> int:
        return self.clock_at + (now - self.since if self.runs else 0)

    @override
    def is_moving(self, now: int) -> bool:
        return self.runs and self.is_on and not (self.holds or self.mark_due or self.move_due)

    def ring(self, serial: int) -> None:
        """Meet what the conveyor has reached: reaches, calls, limits, the move, the mark."""
        if serial != self.serial:
            return
        self.clock_at, self.since, self.timed = self.timed, self.line.clock.now, NONE
        clock, agenda = self.clock_at, self.agenda
        over: list[tuple[int, Job]] = []
        while agenda and agenda[0][0] <= clock:
            _, kind, position, _, job = heappop(agenda)
            if kind == REACH:
                self.reach(job, self.stations[position])
            elif kind == CALL:
                limits.consider_call(self.line, job, self.stations[position])
            else:
                over.append((position, job))
        self.move_due = self.transfer > 0 and clock == self.next_move
        self.mark_due = clock == self.next_mark
        if self.move_due or self.mark_due:
            # The limits of late stations stand on the agenda, the others lie at the move or mark.
            for station in self.stations:
                if not station.late:
                    over += [(station.position, v.job) for v in station.visits if v.limit == clock]
        for position, job in sorted(over, key=lambda item: -item[0]):
            limits.meet_limit(self.line, job, self.stations[position])
        self.line.touched_sections.add(self.index)
        self.wake()

    @override
    def regulate(self) -> None:
        now = self.line.clock.now
        if self.mark_due or self.move_due:
            self.note_ends()
        if self.is_on and self.unnamed:
            limits.name_causes(self.line, self)
        should_run = self.is_on and not self.holds and not self.mark_due and not self.move_due
        if self.runs and not should_run:
            self.clock_at = self.conveyor_clock(now)
            self.runs, self.since = False, now
            self.serial, self.timed = 0, NONE
            self.line.conveyor_changed(self)
        elif should_run and not self.runs:
            self.runs, self.since = True, now
            self.line.conveyor_changed(self)
        if should_run:
            target = min(self.next_mark, self.next_move) if self.next_move > self.clock_at else self.next_mark
            if self.agenda and self.agenda[0][0] < target:
                target = self.agenda[0][0]
            if target != self.timed:
                self.timed = target
                self.serial = self.line.clock.serial()
                tick = now + target - self.conveyor_clock(now)
                self.line.clock.at(tick, (CONVEYOR, self.index, 0, self.serial, self))
