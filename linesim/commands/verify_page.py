"""The table of checks on the terminal: what, expected, found, interval, verdict; sources below."""

from __future__ import annotations

from collections.abc import Sequence

from linesim.commands.page import Page
from linesim.verification.row import NOT_HERE, CheckRow

WIDEST = 8  #: Letters of a list of figures.


def show(page: Page, rows: Sequence[CheckRow]) -> None:
    """Write the checks that were made, then those that do not apply, then where the figures come from."""
    made = [row for row in rows if row.verdict != NOT_HERE]
    page.heading("What must come out, and what did")
    page.table(
        ("", "expected", "found", "interval", "verdict"),
        [
            (f"{number:>2} {row.what}", *figures(row), "" if row.low is None else _span(row), row.verdict)
            for number, row in enumerate(made, start=1)
        ],
    )
    left_out = [row for row in rows if row.verdict == NOT_HERE]
    if left_out:
        page.heading("What does not apply, and why")
        for row in left_out:
            page.say(f"{row.what}: {row.source}", indent=2, hang=2)
    page.heading("Where the expected figures come from")
    sources: dict[str, list[int]] = {}
    for number, row in enumerate(made, start=1):
        sources.setdefault(row.source, []).append(number)
    for source, numbers in sources.items():
        page.say(f"{', '.join(map(str, numbers))}: {source}", indent=2, hang=4)
    page.gap()
    page.say(
        "Intervals are Student's t over replications, so wide that a right program falls outside one in "
        "100,000 times. A check that would miss the smallest error it has to notice is too blind, and fails. "
        "Rows without an interval leave no room for luck: all their figures must be equal (of several the "
        "first and, where there is room, the last are shown; --json has all).",
        indent=2,
    )
    for row in made:
        if row.is_failed:
            page.say(_complaint(row), indent=2, hang=2)


def figures(row: CheckRow) -> tuple[str, str]:
    """Return what was expected and what was found, with as many decimals as the interval deserves."""
    if row.low is not None and row.high is not None:
        places = _places(row)
        return f"{row.expected[0]:.{places}f}", f"{row.found[0]:.{places}f}"
    return _listed(row.expected), _listed(row.found)


def sentence(rows: Sequence[CheckRow]) -> str:
    """Return the outcome in one sentence."""
    made = [row for row in rows if row.verdict != NOT_HERE]
    failed = [row for row in made if row.is_failed]
    if not made:
        return "No check applies."
    if failed:
        return f"{len(failed)} of {len(made)} checks failed: {'; '.join(row.what for row in failed)}."
    return f"All {len(made)} checks passed." if len(made) > 1 else "The one check passed."


def _complaint(row: CheckRow) -> str:
    if row.must_see is None:
        wrong = [k for k, pair in enumerate(zip(row.expected, row.found, strict=False)) if pair[0] != pair[1]]
        if not wrong:
            return f"{row.what}: {len(row.expected)} figures expected, {len(row.found)} found."
        k = wrong[0]
        return f"{row.what}: figure {k + 1} should be {row.expected[k]:.10g} and is {row.found[k]:.10g}."
    if row.sees is not None and row.sees > row.must_see and row.verdict != "differs":
        return (
            f"{row.what}: errors below {row.sees:.3g} would not be noticed, and {row.must_see:.3g} has to "
            "be; run more replications."
        )
    return f"{row.what}: {row.found[0]:.8g} is not {row.expected[0]:.8g}, more than luck allows."


def _places(row: CheckRow) -> int:
    assert row.low is not None and row.high is not None
    width = row.high - row.low
    places = 3 if abs(row.expected[0]) < 1 else 2
    while places < 5 and 0 < width < 10.0**-places:
        places += 1
    return places


def _span(row: CheckRow) -> str:
    places = _places(row)
    return f"{row.low:.{places}f} to {row.high:.{places}f}"


def _listed(values: Sequence[float]) -> str:
    if len(values) == 1:
        return f"{values[0]:.6g}"
    ends = [f"{value:.4g}" for value in (*values[:1], *values[-1:])]
    both = " .. ".join(ends)
    return both if len(both) <= WIDEST else " ".join([*ends[:1], ".."])
