"""Calls for help, and the floaters who answer them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linesim.engine.order import HELP
from linesim.plan.words import RESPONSE_STEPS_S
from linesim.ticks import TICKS_PER_SECOND

if TYPE_CHECKING:
    from linesim.engine.crews import Operator
    from linesim.engine.jobs import Visit
    from linesim.engine.line import Line
    from linesim.ledger.counts import Counts


class Calls:
    """The open calls. Floaters go to the one nearest its limit and stay until that job is finished there.

    What becomes of a call is counted where the call was: help in the measured time for a call of the warm-up
    would otherwise make more answers than calls.
    """

    __slots__ = ("asked", "line", "open")

    def __init__(self, line: Line) -> None:
        self.line = line
        self.open: list[Visit] = []
        self.asked: dict[Visit, tuple[int, Counts]] = {}  #: when each call was made, and where it counts

    def call(self, visit: Visit) -> None:
        """Call for help at ``visit``."""
        visit.is_called = True
        self.open.append(visit)
        counts = self.line.books.counts
        self.asked[visit] = (self.line.clock.now, counts)
        counts.calls[visit.station.index] += 1
        self.line.note("call", job=visit.job.number, station=visit.station.index)

    def answer(self) -> None:
        """Send idle floaters to open calls."""
        line = self.line
        urgent = sorted(
            self.open,
            key=lambda v: (v.station.to_limit(v), -v.station.depth, v.station.index, v.job.number),
        )
        for visit in urgent:
            crew = next((c for c in visit.station.floaters if c.is_on and c.free), None)
            if crew is None:
                continue
            operator = crew.free.pop(0)
            operator.helps = visit
            operator.is_coming = True
            operator.serial = line.clock.serial()
            self.open.remove(visit)
            line.dirty_crews.add(crew.index)
            tick = line.clock.now + crew.response
            line.clock.at(tick, (HELP, operator.index, 0, operator.serial, operator))

    def arrive(self, operator: Operator, serial: int) -> None:
        """Let ``operator`` count as the station's crew."""
        if serial != operator.serial or operator.helps is None:
            return
        visit, line = operator.helps, self.line
        operator.is_coming = False
        operator.last_job = visit.job
        visit.helpers.append(operator)
        line.dirty_crews.add(operator.crew.index)
        line.to_dispatch.add(visit.station.index)
        station = visit.station.index
        called, counts = self.asked[visit]
        counts.calls_answered[station] += 1
        response = line.clock.now - called
        counts.call_response[station] += response
        for step, within_s in enumerate(RESPONSE_STEPS_S):
            counts.call_within[station][step] += response <= within_s * TICKS_PER_SECOND
        line.note("help", job=visit.job.number, station=station, who=(operator.index,))

    def become_stop(self, visit: Visit) -> None:
        """Count that the call of ``visit``, if it made one, did not keep the section from stopping."""
        if visit in self.asked:
            _, counts = self.asked[visit]
            counts.calls_stopped[visit.station.index] += 1

    def finish(self, visit: Visit) -> None:
        """Close the call of ``visit`` and let its helpers go."""
        line = self.line
        if visit in self.open:
            self.open.remove(visit)
        self.asked.pop(visit, None)
        for crew in visit.station.floaters:
            for operator in crew.operators:
                if operator.helps is visit:
                    operator.helps = None
                    operator.is_coming = False
                    operator.serial = 0
                    crew.give_back(operator, line.clock.now)
                    line.dirty_crews.add(crew.index)
        visit.helpers.clear()
