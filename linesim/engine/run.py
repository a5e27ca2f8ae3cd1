"""One replication from the first instant to the closed ledger."""

from __future__ import annotations

from typing import Any

from linesim.draws.draws import Draws
from linesim.engine.books import Books
from linesim.engine.build import set_up
from linesim.engine.checks import check_settled
from linesim.engine.clock import Clock, Due, Environment
from linesim.engine.instant import ends, settle
from linesim.engine.start import start
from linesim.engine.stuck import check_moves, without_end
from linesim.engine.tables import ENDLESS, State
from linesim.ledger.events import WHAT, Event
from linesim.ledger.ledger import Ledger
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE

#: What happens to the accounts at one tick, in this order.
_END_SHIFT, _OPEN, _BEGIN_SHIFT, _START, _STOP = range(5)


def run_line(
    plan: Plan,
    draws: Draws,
    events: Any = None,
    environment: Environment | None = None,
    *,
    checked: bool = False,
    drive: str = "simpy",
) -> Ledger:
    """Run the line of ``plan`` once, with the luck of ``draws``.

    Args:
        plan: The line.
        draws: Every random quantity of this replication.
        events: List that takes one row per thing that happens, from tick 0; nothing else changes by it.
        environment: SimPy environment to use as the clock; a fresh one if None.
        checked: Whether everything is worked out anew after each instant and compared; for tests.
        drive: ``simpy``, or ``compiled``: the same rules as machine code, with a clock of their own.

    Returns:
        The ledger from the end of the warm-up to the end of the run.

    Raises:
        LineStuck: If jobs are on the line and nothing can ever move again.
    """
    s = set_up(plan, draws)
    w = s.w[0]
    w.watch = int(events is not None)

    def instant(now: int, due: list[Due]) -> None:
        w.now = now
        for rank, first, _, serial, what in due:
            ends(s, rank, first, serial, what)
        settle(s)
        if events is not None:
            hand_over(s, events)
        if w.status == ENDLESS:
            raise without_end(s)
        if checked:
            check_settled(s)

    if drive == "compiled":
        from linesim.engine.arrays import CompiledClock

        clock: Any = CompiledClock(s, lambda s: hand_over(s, events))
    else:
        clock = Clock(instant, environment)
    s.outside.set_timer = clock.set_timer
    books = Books(s, plan)
    for tick, what in moments(plan, books):
        if tick > 0:
            clock.run(tick)
            if w.status == ENDLESS:
                raise without_end(s)
        w.now = tick
        if what == _START:
            start(s, plan)
            instant(tick, [])
        elif what == _OPEN:
            books.open()
        elif what == _BEGIN_SHIFT:
            books.begin_shift()
        elif what == _END_SHIFT:
            books.end_shift()
        if what in (_END_SHIFT, _STOP):
            check_moves(s, plan)
    return books.close()


def moments(plan: Plan, books: Books) -> list[tuple[int, int]]:
    """Return when accounts are opened, shifts begin and end, and the run ends."""
    stop = plan.run.warm_up + plan.run.length
    found = [(0, _START), (plan.run.warm_up, _OPEN), (stop, _STOP)]
    for first, last in books.windows:
        found += [(first, _BEGIN_SHIFT), (last, _END_SHIFT)]
    return sorted(found)


def hand_over(s: State, events: Any) -> None:
    """Hand over the rows of the event log written since the last time."""
    w = s.w[0]
    n, i = w.n_events, 0
    rows = s.events
    while i < n:
        row = rows[i]
        i += 1
        who: tuple[int, ...] = () if row.who == NONE else (row.who,)
        while i < n and rows[i].what == NONE:
            who += (rows[i].who,)
            i += 1
        events.append(
            Event(
                row.time, WHAT[row.what], row.job, row.section, row.station, row.task, row.where, who,
                row.cause,
            )
        )  # fmt: skip
    w.n_events = 0
