"""How good is what it makes?"""

from __future__ import annotations

from linesim.commands.page import Page
from linesim.plan.plan import Plan
from linesim.questions.figures import plus_minus, with_span
from linesim.runs.result import Result


def quality(page: Page, plan: Plan, result: Result) -> None:
    """Write quality at line-off and what the bays do; nothing for a line that cannot make a fault."""
    if not plan.names.fault and not plan.names.bay:
        return
    page.heading("How good is it? Of a hundred finished jobs")
    names = (
        ("right first time", "first_time_through"),
        ("put right later on", "reworked"),
        ("given up", "scrapped"),
        ("gone with a fault or open work", "escaped"),
        ("overtaken by a later job", "out_of_sequence"),
    )
    page.table(("jobs", ""), [(says, with_span(result.row(name), scale=100)) for says, name in names])
    if plan.names.bay:
        page.gap()
        page.table(
            ("bay", "visits a shift", "put right, %", "jobs waiting", "in work", "holds up, min"),
            [
                (
                    name,
                    plus_minus(result.row("bay_visits", name)),
                    plus_minus(result.row("bay_good", name), scale=100),
                    plus_minus(result.row("bay_waiting", name)),
                    plus_minus(result.row("bay_working", name)),
                    plus_minus(result.row("bay_hold", name)),
                )
                for name in plan.names.bay
            ],
        )
