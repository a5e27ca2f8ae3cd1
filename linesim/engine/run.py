"""One replication from the first instant to the closed ledger."""

from __future__ import annotations

from functools import partial
from typing import Any

from linesim.draws.draws import Draws
from linesim.engine import work
from linesim.engine.build import set_up
from linesim.engine.clock import Entry, Environment
from linesim.engine.line import Line
from linesim.engine.order import SHIFT
from linesim.engine.start import start
from linesim.engine.stuck import check_moves
from linesim.engine.switch import switch_calendar
from linesim.ledger.events import Event
from linesim.ledger.ledger import Ledger
from linesim.plan.plan import Plan

#: What happens to the accounts at one tick, in this order.
_END_SHIFT, _OPEN, _BEGIN_SHIFT, _START = range(4)


def run_line(
    plan: Plan,
    draws: Draws,
    events: list[Event] | None = None,
    environment: Environment | None = None,
) -> Ledger:
    """Run the line of ``plan`` once, with the luck of ``draws``.

    Args:
        plan: The line.
        draws: Every random quantity of this replication.
        events: List that takes one row per thing that happens, from tick 0; nothing else changes by it.
        environment: SimPy environment to use as the clock; a fresh one if None.

    Returns:
        The ledger from the end of the warm-up to the end of the run.

    Raises:
        LineStuck: If jobs are on the line and nothing can ever move again.
    """
    line = Line(plan, draws, events, environment)
    set_up(line)
    line.ends = _handlers(line)
    stop = plan.run.warm_up + plan.run.length
    _set_shifts(line, stop)
    line.clock.run(stop)
    if line.books.windows and line.books.windows[-1][1] == stop:
        line.books.end_shift(stop)
    check_moves(line)
    return line.books.close(stop)


def _set_shifts(line: Line, stop: int) -> None:
    """Set the moments at which accounts are opened and shifts begin and end."""
    moments = [(0, _START), (line.plan.run.warm_up, _OPEN)]
    for first, last in line.books.windows:
        moments += [(first, _BEGIN_SHIFT), (last, _END_SHIFT)]
    for tick, what in moments:
        if tick < stop:
            line.clock.at(tick, (SHIFT, what, 0, line.clock.serial(), None))


def _handlers(line: Line) -> list[Any]:
    """Return what to do with an entry, by its rank in `linesim.engine.order`."""

    def shift(entry: Entry) -> None:
        now = line.clock.now
        if entry[1] == _START:
            start(line)
        elif entry[1] == _OPEN:
            line.books.open(now)
        elif entry[1] == _BEGIN_SHIFT:
            line.books.begin_shift(now)
        else:
            line.books.end_shift(now)
            check_moves(line)

    def repair(entry: Entry) -> None:
        entry[4].repaired()

    def help_comes(entry: Entry) -> None:
        line.calls.arrive(entry[4], entry[3])

    def bay(entry: Entry) -> None:
        entry[4].bay.finish(entry[4], entry[3])

    def travel(entry: Entry) -> None:
        entry[4].wake()

    def carrier(entry: Entry) -> None:
        entry[4].come_back()

    def gate(entry: Entry) -> None:
        entry[4].open()

    def calendar(entry: Entry) -> None:
        switch_calendar(line, entry[1])

    def failure(entry: Entry) -> None:
        entry[4].strike(entry[3])

    def conveyor(entry: Entry) -> None:
        entry[4].ring(entry[3])

    task, walk = partial(work.end, line), partial(work.arrive, line)
    return [shift, task, walk, repair, help_comes, bay, travel, carrier, gate, calendar, failure, conveyor]
