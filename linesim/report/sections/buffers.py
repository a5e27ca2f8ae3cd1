"""Do the buffers matter?"""

from __future__ import annotations

from linesim.report.charts.buffers import buffers as chart
from linesim.report.page_input import Told
from linesim.report.parts import PageSection, fold, section


def buffers(told: Told) -> PageSection | None:
    """Return how full each buffer is; nothing for a line without buffers."""
    if not told.plan.names.buffer:
        return section("buffers", "Do the buffers matter?", "The line has no buffer.")
    return section(
        "buffers", "Do the buffers matter?", chart(told), fold("The buffers in numbers", told.view("buffers"))
    )
