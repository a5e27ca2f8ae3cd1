"""Where does it wait?"""

from __future__ import annotations

from linesim.report.charts.waits import waits as chart
from linesim.report.page_input import Told
from linesim.report.parts import PageSection, fold, section


def waits(told: Told) -> PageSection | None:
    """Return where every station's minutes go, and what the waiting ones wait for."""
    return section("waits", "Where does it wait?", chart(told), fold("For what", told.view("waits")))
