"""A setting whose answer is known without simulating, and how it is held against the program.

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
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from linesim.verification.bench import CheckBench
from linesim.verification.row import DIFFERS, CheckRow, judge_equal, judge_mean

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
