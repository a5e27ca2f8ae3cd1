"""One line of the table: what was expected, what was found, and the verdict."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from linesim.stats import mean_interval, normal_quantile, student_quantile

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
