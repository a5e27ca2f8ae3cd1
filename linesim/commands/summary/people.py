"""What do the crews do?"""

from __future__ import annotations

from linesim.commands.page import Page
from linesim.plan.plan import Plan
from linesim.studies.figures import give_or_take, number
from linesim.studies.result import Result

_COLUMNS = (
    ("works", "working"),
    ("walks", "walking"),
    ("helps", "helping"),
    ("repairs", "repairing"),
    ("no job", "waiting: job"),
    ("earlier", "waiting: earlier work"),
    ("tool", "waiting: tool"),
    ("zone", "waiting: zone"),
    ("stop", "waiting: line stop"),
)


def people(page: Page, plan: Plan, result: Result) -> None:
    """Write where the minutes of one person of each crew go; columns nobody needs are left out."""
    if not plan.names.crew:
        return
    shift = result.run.shift_min
    found = {(row.where, row.cause): row for row in result.rows("operator_state")}
    columns = [
        (head, state)
        for head, state in _COLUMNS
        if state == "working" or any(found[crew, state].mean for crew in plan.names.crew)
    ]
    page.heading(f"What do the crews do? A person's {number(shift, 0)} minutes")
    page.table(
        ("crew", "people", *(head for head, _ in columns)),
        [
            (
                crew,
                str(int(plan.crews.people[index])),
                *(give_or_take(found[crew, state], scale=shift) for _, state in columns),
            )
            for index, crew in enumerate(plan.names.crew)
        ],
    )
    page.say(
        "'no job', 'earlier' (work that must come first), 'tool', 'zone' and 'stop' are waits for that.",
        indent=2,
    )
