"""One replication run with its eyes open: everything that happens up to a moment."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from linesim.draws.draws import Draws
from linesim.ledger.ledger import Event
from linesim.plan.orders import PlannedOrder
from linesim.plan.plan import Plan

if TYPE_CHECKING:
    from linesim.ledger.ledger import Ledger


@dataclass(frozen=True, eq=False)
class Watched:
    """A replication and its event log.

    Attributes:
        plan: The line, with the length of the run as the file says.
        seed: Seed of the run.
        number: Which replication, counted from 1.
        until: Tick at which watching ended.
        events: Everything that happened from tick 0 on.
        orders: What each job that came on is, by number.
        ledger: The accounts from the end of the warm-up to ``until``.
    """

    plan: Plan
    seed: int
    number: int
    until: int
    events: tuple[Event, ...]
    orders: tuple[PlannedOrder | None, ...]
    ledger: Ledger


class _Finished:
    """Takes events and keeps when jobs leave the line as finished."""

    def __init__(self) -> None:
        self.ticks: list[int] = []

    def append(self, event: Event) -> None:
        """Take an event."""
        if event.what == "line-off":
            self.ticks.append(event.time)


def finished(plan: Plan, seed: int, number: int, *, until: int, drive: str = "simpy") -> list[int]:
    """Run a replication and return the ticks at which jobs leave the line as finished; see `watch`."""
    from linesim.engine.run import run_line

    found = _Finished()
    shorter = replace(plan, run=replace(plan.run, length=until - plan.run.warm_up))
    run_line(shorter, Draws(plan, seed, number), found, drive=drive)
    return found.ticks


def watch(plan: Plan, seed: int, number: int, *, until: int | None = None, drive: str = "simpy") -> Watched:
    """Run a replication and return everything that happens in it.

    What happens up to ``until`` is what happens in the whole run up to then, because no draw depends on what
    comes later.

    Args:
        plan: The line.
        seed: Seed of the run.
        number: Which replication, counted from 1.
        until: Tick at which to end, after the warm-up; None for the end of the run.
        drive: ``simpy`` or ``compiled``.

    Raises:
        LineStuck: If the line can no longer move.
        ValueError: If ``until`` does not lie after the warm-up and within the run.
    """
    from linesim.engine.run import run_line

    run = plan.run
    last = run.warm_up + run.length
    until = last if until is None else until
    if not run.warm_up < until <= last:
        raise ValueError(f"until must lie after {run.warm_up} and not after {last}, got {until}")
    draws = Draws(plan, seed, number)
    events: list[Event] = []
    ledger = run_line(replace(plan, run=replace(run, length=until - run.warm_up)), draws, events, drive=drive)
    n_jobs = max((event.job for event in events if event.what == "line-on"), default=-1) + 1
    return Watched(plan, seed, number, until, tuple(events), tuple(draws.orders(0, n_jobs)), ledger)
