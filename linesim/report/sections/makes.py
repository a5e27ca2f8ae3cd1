"""What does the line make?"""

from __future__ import annotations

from linesim.report.charts.shifts import shift_chart
from linesim.report.charts.strip import strip
from linesim.report.page_input import Told
from linesim.report.parts import PageSection, fold, section


def makes(told: Told) -> PageSection | None:
    """Return the line itself, output per shift and hour, time on the line, money, and every single shift."""
    return section(
        "makes",
        "What does the line make?",
        strip(told),
        shift_chart(told),
        fold("What it makes and brings, in numbers", told.view("makes"), told.view("money")),
    )
