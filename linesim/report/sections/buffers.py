"""Do the buffers matter?"""

from __future__ import annotations

from linesim.report.charts.buffers import buffers as chart
from linesim.report.page_input import Told
from linesim.report.parts import PageSection, section
from linesim.report.table import PageTable, estimated, numeric, plain_number, table


def buffers(told: Told) -> PageSection | None:
    """Return how full each buffer is; nothing for a line without buffers."""
    if not told.plan.names.buffer:
        return section("buffers", "Do the buffers matter?", "The line has no buffer.")
    return section("buffers", "Do the buffers matter?", _levels(told), chart(told))


def _levels(told: Told) -> PageTable:
    plan, result = told.plan, told.result
    return table(
        "Buffers in the hours of what follows, which has no job after an empty one; what comes before a full "
        "one has no room",
        ["buffer", *numeric("places", "jobs in it", "interval", "empty, %", "interval",
                            "full, %", "interval")],
        [
            (
                name, plain_number(int(plan.buffers.capacity[b])),
                *estimated(result.row("buffer_level", name)),
                *estimated(result.row("buffer_empty", name), scale=100),
                *estimated(result.row("buffer_full", name), scale=100),
            )
            for b, name in enumerate(plan.names.buffer)
        ],
    )  # fmt: skip
