"""What happens at the stations' limits, and who calls for help?"""

from __future__ import annotations

from linesim.commands.page import Page
from linesim.plan.plan import Plan
from linesim.questions.figures import plus_minus
from linesim.runs.result import Result

MOST_LINES = 6


def limits(page: Page, plan: Plan, result: Result) -> None:
    """Write overruns, overload, open work and calls of the stations that had any, in line order."""
    over = [row for row in result.rows("overruns") if row.mean]
    calls = [row for row in result.rows("calls") if row.mean]
    if over:
        page.heading("Where does work not fit? Of a hundred jobs")
        over = sorted(over, key=lambda row: -(row.mean or 0.0))[:MOST_LINES]
        has_open_work = any(row.mean for row in result.rows("unfinished"))
        page.table(
            (
                "station",
                "overruns",
                "seconds over, per job",
                *(["go on unfinished"] if has_open_work else []),
            ),
            [
                (
                    row.where,
                    plus_minus(row),
                    plus_minus(result.row("overload", row.where)),
                    *([plus_minus(result.row("unfinished", row.where))] if has_open_work else []),
                )
                for row in over
            ],
        )
    if calls:
        page.heading("Who calls for help? Of a hundred jobs")
        page.table(
            ("station", "calls", "answered, %", "after, s", "within 60 s, %", "became a stop, %"),
            [
                (
                    row.where,
                    plus_minus(row),
                    plus_minus(result.row("calls_answered", row.where), scale=100),
                    plus_minus(result.row("call_response", row.where)),
                    plus_minus(result.row("call_within", row.where, "60 s"), scale=100),
                    plus_minus(result.row("calls_stopped", row.where), scale=100),
                )
                for row in calls
            ],
        )
