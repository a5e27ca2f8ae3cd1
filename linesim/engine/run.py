"""One replication from the first instant to the closed ledger."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from operator import attrgetter
from typing import TYPE_CHECKING, Any

from linesim.draws.draws import Draws
from linesim.engine.arrays import CompiledClock, as_arrays, copied
from linesim.engine.books import Books
from linesim.engine.build import tables_of
from linesim.engine.checks import check_settled
from linesim.engine.clock import Clock, Due
from linesim.engine.instant import ends, settle
from linesim.engine.job_records import RowRecord
from linesim.engine.source import Outside
from linesim.engine.start import ask
from linesim.engine.stuck import check_moves, without_end
from linesim.engine.tables import ENDLESS, START, PoolsFull, State
from linesim.ledger.ledger import WHAT, Event, Ledger
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE

if TYPE_CHECKING:
    from linesim.engine.clock import Environment

_FIELDS = attrgetter(*RowRecord.__slots__)

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
    log = None if events is None else Log(events)
    if drive != "compiled":
        return _run(plan, draws, log, lambda s, instant: Clock(instant, environment), checked=checked)
    from linesim.engine.compiled import compiled_loop

    loop, room = compiled_loop(), 1
    while True:
        try:
            return _run(
                plan,
                draws,
                log,
                lambda s, _, room=room: CompiledClock(s, loop, log, room=room),
                for_arrays=True,
            )
        except PoolsFull:
            room *= 8
            if log is not None:
                log.begin_anew()


def _run(
    plan: Plan,
    draws: Draws,
    log: Log | None,
    clock_of: Callable[..., Any],
    *,
    checked: bool = False,
    for_arrays: bool = False,
) -> Ledger:
    """Run the line by the clock that ``clock_of`` returns for the tables and for what an instant is."""
    s = set_up(plan, draws, for_arrays=for_arrays)
    s.w[0].watch = int(log is not None)

    def instant(now: int, due: list[Due]) -> None:
        w.now = now
        for rank, first, _, serial, what in due:
            ends(s, rank, first, serial, what)
        settle(s)
        if log is not None:
            log.take(s)
        if w.status == ENDLESS:
            raise without_end(s)
        if checked:
            check_settled(s)

    w = s.w[0]
    clock = clock_of(s, instant)
    if for_arrays:
        asked = clock.ask
    else:
        s.outside.set_timer = clock.set_timer
        asked = partial(ask, s)
    books = Books(s, plan, asked)
    for tick, what in moments(plan, books):
        if tick > 0:
            clock.run(tick)
            if s.w[0].status == ENDLESS:
                raise without_end(s)
        s.w[0].now = tick
        if what == _START:
            asked(START)
            clock.begin()
        elif what == _OPEN:
            books.open()
        elif what == _BEGIN_SHIFT:
            books.begin_shift()
        elif what == _END_SHIFT:
            books.end_shift()
        if what in (_END_SHIFT, _STOP):
            check_moves(s, plan)
    return books.close()


def set_up(plan: Plan, draws: Draws, *, for_arrays: bool = False) -> State:
    """Return the tables of the line of ``plan``, with the luck of ``draws``, before it begins.

    Args:
        plan: The line.
        draws: Every random quantity of the replication.
        for_arrays: Whether the tables are arrays, laid out once for all replications of the plan.
    """
    if for_arrays:
        s = copied(plan.worked_out.once(as_arrays, lambda: as_arrays(tables_of(plan, draws))))
    else:
        s = tables_of(plan, draws)
    s.outside = Outside(s, plan, draws, for_arrays)
    return s


def moments(plan: Plan, books: Books) -> list[tuple[int, int]]:
    """Return when accounts are opened, shifts begin and end, and the run ends."""
    stop = plan.run.warm_up + plan.run.length
    found = [(0, _START), (plan.run.warm_up, _OPEN), (stop, _STOP)]
    for first, last in books.windows:
        found += [(first, _BEGIN_SHIFT), (last, _END_SHIFT)]
    return sorted(found)


class Log:
    """Takes the rows of the event log out of the tables and hands them over, each once.

    Args:
        events: What they are appended to.
    """

    def __init__(self, events: Any) -> None:
        self._events = events
        self._n = self._skip = 0

    def begin_anew(self) -> None:
        """Leave out what was handed over already: the run begins anew."""
        self._n, self._skip = 0, max(self._n, self._skip)

    def take(self, s: State) -> None:
        """Hand over the rows written since the last time."""
        w = s.w[0]
        n, i = w.n_events, 0
        rows = [_FIELDS(row) for row in s.events[:n]] if isinstance(s.events, list) else s.events.rows(n)
        while i < n:
            time, what, job, section, station, task, where, first, cause = rows[i]
            i += 1
            who: tuple[int, ...] = () if first == NONE else (first,)
            while i < n and rows[i][1] == NONE:
                who += (rows[i][7],)
                i += 1
            self._n += 1
            if self._n > self._skip:
                self._events.append(Event(time, WHAT[what], job, section, station, task, where, who, cause))
        w.n_events = 0
