"""What a line puts out, replication by replication, and how many of them a check takes."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from linesim.verification.row import CheckRow, replications_to_see

if TYPE_CHECKING:
    from linesim.plan.plan import Plan
    from linesim.verification.bench import CheckBench

FIRST = 10  #: Replications that show how far replications lie apart.
TICKS_PER_HOUR = 3_600_000


class Outputs:
    """Jobs that come out of a line; each replication is run once, however often it is asked for.

    Args:
        plan: The line.
        bench: Runs it.
        seed: Seed of its draws; the bench's own where None.
    """

    def __init__(self, plan: Plan, bench: CheckBench, *, seed: int | None = None) -> None:
        self._plan, self._bench, self._seed = plan, bench, seed
        self._found: list[tuple[int, int, float]] = []

    def counts(self, replications: int) -> list[int]:
        """Return the jobs finished, per replication."""
        return [out for _, out, _ in self._first(replications)]

    def rates(self, replications: int) -> list[float]:
        """Return the jobs finished an hour of working time, per replication; 0 where there is none."""
        return [out / hours if hours else 0.0 for _, out, hours in self._first(replications)]

    def through(self, replications: int) -> list[float]:
        """Return the jobs an hour that certainly passed the narrowest place.

        What was inside at the start may leave without passing it, and what came on may stay before it.
        """
        return [min(came, out) / hours if hours else 0.0 for came, out, hours in self._first(replications)]

    def _first(self, replications: int) -> list[tuple[int, int, float]]:
        if len(self._found) < replications:
            self._bench.expect(replications - len(self._found))
        while len(self._found) < replications:
            ledger = self._bench.run(self._plan, len(self._found) + 1, seed=self._seed)
            hours = ledger.working_time / TICKS_PER_HOUR
            self._found.append((int(ledger.jobs_in), int(ledger.jobs_out), hours))
        return self._found[:replications]


def judged(judge: Callable[[int], CheckRow], replications: int | None) -> CheckRow:
    """Return a check of so many replications, or of as many as it takes to see what it must.

    Only how far replications lie apart decides how many it takes, not what they say, so that there is one
    verdict and one chance of a false alarm.

    Args:
        judge: The check of the first so many replications.
        replications: How many; None for as many as it takes.
    """
    if replications is not None:
        return judge(replications)
    row = judge(FIRST)
    while (wanted := replications_to_see(row)) > (row.replications or wanted):
        row = judge(wanted)
    return row
