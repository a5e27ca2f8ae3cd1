"""Runs lines for the checks, holds every ledger to sums that must close, and settings to their known answers.

How small an error must a check of a mean notice? One rule for all of them, for the full set:

- of a rate or a share `RATE`, so that four errors of the mean are at most 1 % of it; of a small amount of
  which most jobs have none (a wait, a stop, work left over) `AMOUNT`;
- never more than what the nearest wrong reading would move it by: a place counted wrongly, a station more,
  work that does not vary. What that reading gives is computed, too, and no check may mistake it.

The quick set has a quarter of the replications and sees errors twice that size. Runs are as long as that
takes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from linesim.plan.words import C_STOPPED
from linesim.verification.row import DIFFERS, CheckRow, judge_equal, judge_mean, replications_to_see

if TYPE_CHECKING:
    from linesim.ledger.ledger import Event, Ledger
    from linesim.plan.plan import Plan


def open_sums(plan: Plan, ledger: Ledger) -> tuple[str, ...]:
    """Return what does not add up, in words; nothing for a right ledger."""
    clock, names, odd = ledger.end - ledger.start, plan.names, []
    for what, table, things in (
        ("section", ledger.section_state, names.section),
        ("station", ledger.station_state, names.station),
        ("operator", ledger.operator_state, names.operator),
        ("robot", ledger.robot_state, names.robot),
        ("buffer", ledger.buffer_level_clock, names.buffer),
    ):
        for name, row in zip(things, table, strict=True):
            if int(row.sum()) != clock or (row < 0).any():
                odd.append(f"{what} {name}: {int(row.sum())} ticks of {clock}")
    stood, booked = ledger.section_state[:, C_STOPPED], ledger.stop.sum(axis=(1, 2))
    for name, whole, parts in zip(names.section, stood.tolist(), booked.tolist(), strict=True):
        if whole != parts:
            odd.append(f"section {name}: stood {whole} ticks, causes add up to {parts}")
    came = ledger.inside_start + ledger.jobs_in
    went = ledger.jobs_out + ledger.jobs_scrapped + ledger.inside_end
    if came != went:
        odd.append(f"jobs: {came} came, {went} went or are inside")
    return tuple(odd)


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


FULL_TIMES = 4  #: Replications of the full set, as a multiple of the quick one.
RATE = 0.0175  #: Error of a rate or a share that the full set must notice, as a part of it.
AMOUNT = 0.08  #: The same of a small amount that most jobs have none of.
QUICK_RATE = RATE * math.sqrt(FULL_TIMES)  #: Error of a rate that the quick set notices.


@dataclass(frozen=True, slots=True)
class Known:
    """One check of the installed program.

    Attributes:
        what: What is checked, in a few words.
        source: Where the expected figures come from, and which of it was recomputed how.
        expected: The figures as they are printed; a number for a mean, several that must all be equal.
        found: Runs the line: one figure per replication for a mean, else the figures themselves.
        unit: Unit of the figures.
        sees: Smallest error that a mean must notice in the full set, as a part of it, `RATE` or `AMOUNT`;
            None: must be equal.
        wrong: Gives the mean that the nearest wrong reading of the setting would have.
        recomputed: Gives the expected mean once more by a route that simulates nothing.
        digits: Decimals to which the expected mean is printed.
        is_quick: Whether the quick set has it.
    """

    what: str
    source: str
    expected: float | tuple[float, ...]
    found: Callable[[CheckBench], Sequence[float]]
    unit: str = ""
    sees: float | None = None
    wrong: Callable[[], float] | None = None
    recomputed: Callable[[], float] | None = None
    digits: int = 8
    is_quick: bool = True


def must_see(known: Known, times: int) -> float:
    """Return the smallest error that a check of a mean has to notice, in the unit of its figures.

    Args:
        known: The check.
        times: How many times as many replications as the quick set.
    """
    assert known.sees is not None and isinstance(known.expected, float), known.what
    full = known.sees * abs(known.expected)
    if known.wrong is not None:
        full = min(full, abs(known.wrong() - known.expected))
    return full * math.sqrt(FULL_TIMES / times)


def check(known: Known, bench: CheckBench) -> CheckRow:
    """Run one check."""
    found = known.found(bench)
    if known.sees is None:
        wanted = known.expected if isinstance(known.expected, tuple) else (known.expected,)
        return judge_equal(known.what, known.source, wanted, found, unit=known.unit)
    assert isinstance(known.expected, float), known.what
    smallest = must_see(known, bench.times)
    row = judge_mean(known.what, known.source, known.expected, found, must_see=smallest, unit=known.unit)
    if known.recomputed is not None:
        again = known.recomputed()
        if not abs(again - known.expected) <= 0.6 * 10.0**-known.digits:
            return replace(row, source=f"recomputed here: {again:.9g}; {row.source}", verdict=DIFFERS)
    return row
