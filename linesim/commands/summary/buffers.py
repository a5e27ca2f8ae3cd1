"""Do the buffers matter?"""

from __future__ import annotations

from linesim.commands.page import Page
from linesim.plan.plan import Plan
from linesim.questions.figures import plus_minus
from linesim.runs.result import Result


def buffers(page: Page, plan: Plan, result: Result) -> None:
    """Write how full each buffer is, in line order."""
    if not plan.names.buffer:
        return
    page.heading("Do the buffers matter? Share of the time")
    page.table(
        ("buffer", "places", "jobs in it", "empty, %", "full, %"),
        [
            (
                name,
                str(int(plan.buffers.capacity[index])),
                plus_minus(result.row("buffer_level", name)),
                plus_minus(result.row("buffer_empty", name), scale=100),
                plus_minus(result.row("buffer_full", name), scale=100),
            )
            for index, name in enumerate(plan.names.buffer)
        ],
    )
    page.say("What follows an empty buffer has no job; what comes before a full one has no room.", indent=2)
