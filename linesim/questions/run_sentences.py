"""The answer of a run in plain sentences: what the line makes, whether the plan is met, what stops it."""

from __future__ import annotations

from linesim.answers.wording import number
from linesim.plan.words import HANDED_ON
from linesim.questions.figures import estimate, span, with_span
from linesim.runs.result import Result
from linesim.runs.rows import Row


def answer(result: Result) -> tuple[str, ...]:
    """Return the sentences that stand on top of a page about a run."""
    return tuple(text for text in (_made(result), _plan(result), _stops(result)) if text)


def cause_in_words(cause: str, *, of_section: bool = False) -> str:
    """Return why a section stands, as part of a sentence; a scenario's own word is given as it is.

    Examples:
        >>> cause_in_words("overrun"), cause_in_words("parts")
        ('work still open at the limit', 'parts')
    """
    if cause == "breakdown":
        return "conveyor failed" if of_section else "failed equipment"
    known = {
        "overrun": "work still open at the limit",
        "waiting": "waiting for people, tool or room",
        "repeat": "work done again after a fault",
        "blocked": "no room ahead",
        "starved": "no job comes",
    }
    return known.get(cause, cause)


def stops_by_size(result: Result, *, by_itself: bool = False) -> tuple[Row, ...]:
    """Return the rows of line-stop minutes that have a cause and a figure, the largest first.

    Args:
        result: The run.
        by_itself: Leave out what a section only passes on (`HANDED_ON`).
    """
    rows = [
        row
        for row in result.rows("line_stop")
        if row.cause and row.mean and not (by_itself and row.cause in HANDED_ON)
    ]
    return tuple(sorted(rows, key=lambda row: -(row.mean or 0.0)))


def _made(result: Result) -> str:
    made = result.row("jobs_per_shift")
    if made.mean is None:
        rate = result.row("throughput")
        return f"The line makes {with_span(rate)} jobs an hour; the run holds no whole shift."
    low, high = result.row("jobs_per_shift_p10").mean, result.row("jobs_per_shift_p90").mean
    assert low is not None and high is not None
    if low == high:
        single = f"at least eight single shifts in ten make exactly {low:.0f}"
    else:
        single = f"eight single shifts in ten make {low:.0f} to {high:.0f}"
    if made.low is None:
        return (
            f"The line made {estimate(made)} jobs a shift in the one replication that was run, which has no "
            f"interval; {single}."
        )
    return f"The line makes {with_span(made)} jobs a shift; {single}."


def _plan(result: Result) -> str:
    if result.run.target is None:
        return ""
    met = result.row("plan_met")
    if met.mean is None:
        return ""
    bounds = span(met, scale=100)
    return (
        f"The plan asks for {result.run.target:g}: {estimate(met, scale=100)} % of the shifts make it"
        f"{f' ({bounds})' if bounds else ''}."
    )


def _stops(result: Result) -> str:
    if not result.rows("overruns"):
        return ""  # only free sections, which have no conveyor that could stop
    stops = stops_by_size(result, by_itself=True)
    if not stops:
        return "No section stops for a reason of its own."
    worst = stops[0]
    total = sum(row.mean or 0.0 for row in stops)
    part = number(100 * (worst.mean or 0.0) / total, 0)
    is_section = worst.where in result.run.sections
    return (
        f"Most of all it is stopped at {worst.where} ({cause_in_words(worst.cause, of_section=is_section)}): "
        f"{with_span(worst)} min a shift, {part} % of all stops that begin on the line itself."
    )
