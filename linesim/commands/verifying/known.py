"""A setting whose answer is known without simulating, and how it is held against the program."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from linesim.commands.verifying.bench import Bench
from linesim.commands.verifying.row import DIFFERS, Row, judge_equal, judge_mean


@dataclass(frozen=True, slots=True)
class Known:
    """One check of the installed program.

    Attributes:
        what: What is checked, in a few words.
        source: Where the expected figures come from, and which of it was recomputed how.
        expected: The figures as they are printed; a number for a mean, several that must all be equal.
        found: Runs the line: one figure per replication for a mean, else the figures themselves.
        unit: Unit of the figures.
        sees: Smallest relative error that a mean must notice in the quick set; None: must be equal.
        recomputed: Gives the expected mean once more by a route that simulates nothing.
        digits: Decimals to which the expected mean is printed.
        is_quick: Whether the quick set has it.
    """

    what: str
    source: str
    expected: float | tuple[float, ...]
    found: Callable[[Bench], Sequence[float]]
    unit: str = ""
    sees: float | None = None
    recomputed: Callable[[], float] | None = None
    digits: int = 8
    is_quick: bool = True


def check(known: Known, bench: Bench) -> Row:
    """Run one check.

    With more replications than the quick set a mean has to notice errors smaller in proportion.
    """
    found = known.found(bench)
    if known.sees is None:
        wanted = known.expected if isinstance(known.expected, tuple) else (known.expected,)
        return judge_equal(known.what, known.source, wanted, found, unit=known.unit)
    assert isinstance(known.expected, float), known.what
    must_see = known.sees * abs(known.expected) / math.sqrt(bench.times)
    row = judge_mean(
        known.what, known.source, known.expected, found, must_see=must_see, unit=known.unit
    )  # fmt: skip
    if known.recomputed is not None:
        again = known.recomputed()
        if not abs(again - known.expected) <= 0.6 * 10.0**-known.digits:
            return replace(row, source=f"recomputed here: {again:.9g}; {row.source}", verdict=DIFFERS)
    return row
