"""What happens at the stations' limits, and who calls for help?"""

from __future__ import annotations

from linesim.commands.page import Page
from linesim.plan.plan import Plan
from linesim.studies.figures import give_or_take, with_span
from linesim.studies.result import Result

MOST_LINES = 10


def limits(page: Page, plan: Plan, result: Result) -> None:
    """Write overruns, overload, open work and calls of the stations that had any, in line order."""
    over = [row for row in result.rows("overruns") if row.mean]
    calls = [row for row in result.rows("calls") if row.mean]
    if over:
        page.heading("Where does work not fit? Of a hundred jobs")
        over = sorted(over, key=lambda row: -(row.mean or 0.0))[:MOST_LINES]
        page.table(
            ("station", "reach the limit with work open", "seconds over, per job", "go on with work open"),
            [
                (
                    row.where,
                    with_span(row),
                    with_span(result.row("overload", row.where)),
                    with_span(result.row("unfinished", row.where)),
                )
                for row in over
            ],
        )
    if calls:
        page.heading("Who calls for help? Of a hundred jobs")
        page.table(
            ("station", "calls", "answered, %", "after, s", "became a stop, %"),
            [
                (
                    row.where,
                    with_span(row),
                    give_or_take(result.row("calls_answered", row.where), scale=100),
                    give_or_take(result.row("call_response", row.where)),
                    give_or_take(result.row("calls_stopped", row.where), scale=100),
                )
                for row in calls
            ],
        )
