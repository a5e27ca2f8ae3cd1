"""What stops it?"""

from __future__ import annotations

from linesim.answers.wording import listed, number
from linesim.commands.page import Page
from linesim.plan.plan import Plan
from linesim.plan.tables import FREE
from linesim.plan.words import HANDED_ON
from linesim.questions.figures import estimate, span, with_span
from linesim.questions.run_sentences import cause_in_words, stops_by_size
from linesim.runs.result import Result
from linesim.runs.rows import Row

MOST_LINES = 12  #: Places and causes that get a line of their own.


def stops(page: Page, plan: Plan, result: Result) -> None:
    """Write stop minutes by section, then by place and cause, the largest first.

    Free sections have no conveyor that could stop and are left out, unless something of theirs did.
    """
    found = stops_by_size(result)
    sections = [
        name
        for index, name in enumerate(plan.names.section)
        if plan.sections.pacing[index] != FREE or result.row("line_stop", name).mean
    ]
    if not sections:
        return
    page.heading(f"What stops it? Minutes of a shift of {number(result.run.shift_min, 0)}")
    page.table(
        ("section", "stands", "interval", "stops", "runs, % of its hours"),
        [_section(result, name) for name in sections],
    )
    if not found:
        page.say("Nothing stopped in any replication.", indent=2)
        return
    page.gap()
    page.table(
        ("at", "because", "min", "interval", "stops"),
        [_place(result, row) for row in found[:MOST_LINES]],
        left=2,
        bars=[row.mean or 0.0 for row in found[:MOST_LINES]],
    )
    if rest := found[MOST_LINES:]:
        page.say(
            f"and {number(sum(row.mean or 0.0 for row in rest), 1)} min at {len(rest)} more places and "
            "causes (--json has all).",
            indent=2,
        )
    page.say(
        "A minute counts once, for the place and cause that began the stop. "
        f"{listed([repr(cause_in_words(cause)) for cause in HANDED_ON])} pass on what happened elsewhere.",
        indent=2,
    )


def _section(result: Result, name: str) -> tuple[str, ...]:
    total, count = result.row("line_stop", name), result.row("line_stops", name)
    running = result.row("availability", name)
    return name, estimate(total), span(total), estimate(count), with_span(running, scale=100)


def _place(result: Result, row: Row) -> tuple[str, ...]:
    count = result.row("line_stops", row.where, row.cause)
    why = cause_in_words(row.cause, of_section=row.where in result.run.sections)
    return row.where, why, estimate(row), span(row), estimate(count)
