"""What checks are made with: runs of a line, settings with known answers, and the verdict on what came out.

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
from linesim.stats.intervals import mean_interval, normal_quantile, student_quantile

if TYPE_CHECKING:
    from linesim.ledger.ledger import Event, Ledger
    from linesim.plan.plan import Plan


FALSE_ALARM = 1e-5  #: Chance that a right program fails one check.
CAUGHT = 0.99  #: An error of the smallest size asked for is caught with this chance.
MOST = 400  #: Replications that a check asks for by itself.

AGREES, DIFFERS, BLIND = "agrees", "differs", "too blind"
NOT_HERE = "does not apply"

#: Rounding of sums of replications that all give the exact value.
_ROUNDING = 1e-12


@dataclass(frozen=True, slots=True)
class CheckRow:
    """The outcome of one check.

    Attributes:
        what: What was checked.
        source: Where the expected figures come from, or why a check does not apply.
        unit: Unit of the figures; empty where they have none.
        expected: What must come out; empty if the check does not apply.
        found: What came out.
        low: Lower bound of the interval of what was found; None where equality is asked for.
        high: Upper bound.
        must_see: Smallest error that the check has to notice; None where equality is asked for.
        sees: Smallest error that it does notice.
        margin: What it allows for besides luck, within ``sees``.
        replications: Replications behind it; None where equality is asked for.
        verdict: ``agrees`` · ``differs`` · ``too blind`` · ``does not apply``.
    """

    what: str
    source: str
    unit: str = ""
    expected: tuple[float, ...] = ()
    found: tuple[float, ...] = ()
    low: float | None = None
    high: float | None = None
    must_see: float | None = None
    sees: float | None = None
    margin: float = 0.0
    replications: int | None = None
    verdict: str = NOT_HERE

    @property
    def is_failed(self) -> bool:
        """Whether the check was made and not passed."""
        return self.verdict in (DIFFERS, BLIND)


def judge_equal(
    what: str, source: str, expected: Sequence[float], found: Sequence[float], *, unit: str = ""
) -> CheckRow:
    """Return whether figures that leave no room for luck are equal, all of them."""
    wanted, came = tuple(map(float, expected)), tuple(map(float, found))
    verdict = AGREES if wanted == came else DIFFERS
    return CheckRow(what, source, unit, wanted, came, verdict=verdict)


def judge_mean(
    what: str,
    source: str,
    expected: float,
    values: Sequence[float],
    *,
    must_see: float,
    unit: str = "",
    margin: float = 0.0,
) -> CheckRow:
    """Return whether the mean of independent replications is what it must be, or whether nobody can tell.

    Args:
        what: What is checked.
        source: Where the expected figure comes from.
        expected: The true mean, in the unit of the values.
        values: One figure per replication, at least two.
        must_see: Smallest error that the check has to notice, in the unit of the values.
        unit: Unit of the values.
        margin: How far the true mean may lie from ``expected`` where theory gives it only nearly.

    Notes:
        Student's t at a false alarm of 1e-5. The check sees an error if it would catch it with
        chance 0.99; a check that cannot see ``must_see`` is no check and fails as too blind.
    """
    made = mean_interval(values)
    if made.sd is None:
        raise ValueError(f"values must be at least 2 replications, got {made.n}")
    error = made.sd / math.sqrt(made.n)
    reach = student_quantile(1 - FALSE_ALARM / 2, made.n - 1) * error
    sees = reach + normal_quantile(CAUGHT) * error + margin
    off = abs(made.mean - expected)
    if off > reach + margin + _ROUNDING * abs(expected):
        verdict = DIFFERS
    else:
        verdict = AGREES if sees <= must_see else BLIND
    return CheckRow(
        what, source, unit, (expected,), (made.mean,), made.mean - reach, made.mean + reach,
        must_see, sees, margin, made.n, verdict,
    )  # fmt: skip


def replications_to_see(row: CheckRow) -> int:
    """Return how many replications a check takes that found so much spread, `MOST` at most.

    A quarter is added, as the spread of a few replications is not well known.

    Args:
        row: The check of a few replications.
    """
    if row.sees is None or row.must_see is None or row.replications is None or row.sees <= row.must_see:
        return row.replications or 0
    few = row.replications
    spread = (row.sees - row.margin) / _reach(few)
    n = next((n for n in range(few, MOST) if spread * _reach(n) <= row.must_see - row.margin), MOST)
    return min(MOST, math.ceil(1.25 * n))


def _reach(n: int) -> float:
    """Return the smallest error that n replications of spread 1 notice."""
    return (student_quantile(1 - FALSE_ALARM / 2, n - 1) + normal_quantile(CAUGHT)) / math.sqrt(n)


def judge_at_most(
    what: str, source: str, bound: float, values: Sequence[float], *, must_see: float, unit: str = ""
) -> CheckRow:
    """Return whether the mean of independent replications stays below a bound; see `judge_mean`."""
    row = judge_mean(what, source, bound, values, must_see=must_see, unit=unit)
    assert row.high is not None
    is_below = row.found[0] <= bound
    if not is_below:
        return row
    return CheckRow(
        what, source, unit, (bound,), row.found, row.low, row.high, must_see, row.sees, 0.0,
        row.replications, AGREES if row.sees is not None and row.sees <= must_see else BLIND,
    )  # fmt: skip


def not_here(what: str, why: str) -> CheckRow:
    """Return that a check does not apply, and why."""
    return CheckRow(what, why)


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
