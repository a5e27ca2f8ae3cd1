"""Runs lines for the checks, and holds every ledger that comes out to its sums."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from linesim.verification.sums import open_sums

if TYPE_CHECKING:
    from linesim.ledger.events import Event
    from linesim.ledger.ledger import Ledger
    from linesim.plan.plan import Plan

Raw = dict[str, Any]


class CheckBench:
    """Runs lines and remembers how many ledgers did not close.

    Args:
        times: How many times as many replications as the quick set.
        seed: Seed of all runs.
        progress: Called after each replication with how many are made, and how many are known to be needed.
        drive: By which drive, ``simpy`` or ``compiled``.
    """

    def __init__(
        self,
        *,
        times: int = 1,
        seed: int = 1,
        progress: Callable[[int, int], None] | None = None,
        drive: str = "simpy",
    ) -> None:
        self.times, self.seed, self.drive = times, seed, drive
        self.n_runs = 0  #: ledgers made
        self.odd: list[str] = []  #: what did not close
        self._progress, self._expected = progress, 0

    def expect(self, runs: int) -> None:
        """Hear that so many more replications are coming."""
        self._expected = max(self._expected, self.n_runs) + runs

    def end(self) -> None:
        """Tell that all is done."""
        self._expected = self.n_runs
        self._tell()

    def _tell(self) -> None:
        if self._progress is not None:
            self._progress(self.n_runs, max(self._expected, self.n_runs))

    def plan(self, raw: Mapping[str, Any]) -> Plan:
        """Return the plan of a line written as tables."""
        from linesim.plan.build import build
        from linesim.scenario import from_dict

        return build(from_dict(raw))

    def run(self, plan: Plan, replication: int = 1, *, seed: int | None = None) -> Ledger:
        """Return the ledger of one replication."""
        return self._run(plan, replication, seed, None)

    def log(self, plan: Plan, replication: int = 1, *, seed: int | None = None) -> tuple[list[Event], Ledger]:
        """Return what happened in one replication, and its ledger."""
        events: list[Event] = []
        return events, self._run(plan, replication, seed, events)

    def runs(self, plan: Plan, replications: int) -> Iterator[Ledger]:
        """Yield the ledgers of as many replications as the set wants, ``replications`` in the quick one."""
        for number in range(1, replications * self.times + 1):
            yield self.run(plan, number)

    def _run(self, plan: Plan, replication: int, seed: int | None, events: list[Event] | None) -> Ledger:
        from linesim.draws.draws import Draws
        from linesim.engine.run import run_line

        draws = Draws(plan, self.seed if seed is None else seed, replication)
        ledger = run_line(plan, draws, events, drive=self.drive)
        self.n_runs += 1
        self.odd += open_sums(plan, ledger)
        self._tell()
        return ledger
