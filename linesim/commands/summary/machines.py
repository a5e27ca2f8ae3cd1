"""What do robots, tools and carriers do?"""

from __future__ import annotations

from linesim.answers.wording import number
from linesim.commands.page import Page
from linesim.plan.plan import Plan
from linesim.plan.words import R_OFF, ROBOT_STATES
from linesim.questions.figures import give_or_take, plus_minus
from linesim.runs.result import Result


def machines(page: Page, plan: Plan, result: Result) -> None:
    """Write where a robot's minutes go, and how much of the time tools and carriers are taken."""
    shift = result.run.shift_min
    if plan.names.robot:
        page.heading(f"What do the robots do? {number(shift, 0)} minutes of a shift")
        states = [state for index, state in enumerate(ROBOT_STATES) if index != R_OFF]
        found = {(row.where, row.cause): row for row in result.rows("robot_state")}
        page.table(
            ("robot", *states),
            [
                (name, *(give_or_take(found[name, state], scale=shift) for state in states))
                for name in plan.names.robot
            ],
        )
    shared = [
        (name, str(int(count)), plus_minus(result.row(measure, name), scale=100))
        for measure, names, counts in (
            ("tool_busy", plan.names.tool, plan.equipment.tool_count),
            ("carrier_busy", plan.names.carrier, plan.carriers.count),
        )
        for name, count in zip(names, counts, strict=True)
    ]
    if shared:
        page.heading("How much are shared tools and carriers taken?")
        page.table(("", "pieces", "taken, % of all time"), shared)
    short = [name for name in plan.names.carrier if result.row("carrier_short", name).mean]
    if short:
        page.table(
            ("carrier", "none free, and the first place empty for it, % of all time"),
            [(name, plus_minus(result.row("carrier_short", name), scale=100)) for name in short],
        )
