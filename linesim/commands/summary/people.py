"""What do the crews do?"""

from __future__ import annotations

from linesim.answers.wording import number
from linesim.commands.page import Page
from linesim.plan.plan import Plan
from linesim.questions.figures import give_or_take
from linesim.runs.result import Result
from linesim.runs.sums import together

_COLUMNS = (
    ("works", ("working",)),
    ("walks", ("walking",)),
    ("helps", ("helping",)),
    ("repairs", ("repairing",)),
    ("no job", ("waiting: job",)),
    ("stop", ("waiting: line stop",)),
    ("other", ("waiting: earlier work", "waiting: tool", "waiting: zone")),
)


def people(page: Page, plan: Plan, result: Result) -> None:
    """Write where the minutes of one person of each crew go; columns nobody needs are left out."""
    if not plan.names.crew:
        return
    shift = result.run.shift_min
    sums = {
        (crew, head): together(result, "operator_state", crew, set(states).__contains__)
        for crew in plan.names.crew
        for head, states in _COLUMNS
    }
    heads = [
        head
        for head, _ in _COLUMNS
        if head == "works" or any(sums[crew, head].mean for crew in plan.names.crew)
    ]
    page.heading(f"What do the crews do? A person's {number(shift, 0)} minutes")
    page.table(
        ("crew", "of", *heads),
        [
            (
                crew,
                str(int(plan.crews.people[index])),
                *(give_or_take(sums[crew, head], scale=shift) for head in heads),
            )
            for index, crew in enumerate(plan.names.crew)
        ],
    )
    page.say("'no job', 'stop' and 'other' (tool, zone, work that must come first) are waits.", indent=2)
