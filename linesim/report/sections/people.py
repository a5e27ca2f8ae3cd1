"""Does the work fit, and what do people and machines do?"""

from __future__ import annotations

from linesim.answers.wording import number
from linesim.plan.words import R_OFF, ROBOT_STATES
from linesim.report.charts.crew_time import crew_time
from linesim.report.charts.operators import operators
from linesim.report.charts.piles import piles
from linesim.report.charts.station_work import station_work
from linesim.report.page_input import Told
from linesim.report.parts import PageSection, section
from linesim.report.table import PageCell, PageTable, estimated, numeric, plain_number, table, with_half


def fits(told: Told) -> PageSection | None:
    """Return work content against takt, per station and per person, and what each place in a crew did."""
    return section("fits", "Does the work fit the takt?", station_work(told), piles(told), operators(told))


def people(told: Told) -> PageSection | None:
    """Return what people, robots, tools and carriers do."""
    return section("people", "What do people and machines do?", crew_time(told), _robots(told), _shared(told))


def _robots(told: Told) -> PageTable | None:
    if not told.loads.robots:
        return None
    states = [state for index, state in enumerate(ROBOT_STATES) if index != R_OFF]
    heads = [f"{state}, min/shift" for state in states]
    return table(
        "Robots: work against takt, and where a shift's minutes go",
        ["robot", *numeric("work, s/job", "of takt, %", *heads)],
        [
            (
                load.name,
                PageCell(number(load.work_s, 1), load.work_s),
                PageCell(number(100 * load.share_of_takt, 0), load.share_of_takt),
                *(
                    with_half(told.result.row("robot_state", load.name, state), scale=told.shift_min)
                    for state in states
                ),
            )
            for load in told.loads.robots
        ],
    )


def _shared(told: Told) -> PageTable | None:
    plan, result = told.plan, told.result
    rows = [
        (name, kind, plain_number(int(count)), *estimated(result.row(measure, name), scale=100))
        for kind, measure, names, counts in (
            ("tool", "tool_busy", plan.names.tool, plan.equipment.tool_count),
            ("carrier", "carrier_busy", plan.names.carrier, plan.carriers.count),
        )
        for name, count in zip(names, counts.tolist(), strict=True)
    ]
    if not rows:
        return None
    return table(
        "Shared tools and carriers",
        ["name", "kind", *numeric("pieces", "taken, % of its hours", "interval")],
        rows,
    )
