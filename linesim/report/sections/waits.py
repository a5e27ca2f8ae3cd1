"""Where does it wait?"""

from __future__ import annotations

from linesim.report.charts.waits import waits as chart
from linesim.report.page_input import Told
from linesim.report.parts import PageSection, section
from linesim.report.table import PageTable, estimated, numeric, table

MOST_WAITS = 12


def waits(told: Told) -> PageSection | None:
    """Return where every station's minutes go, and what the waiting ones wait for."""
    return section("waits", "Where does it wait?", chart(told), _for_what(told))


def _for_what(told: Told) -> PageTable | None:
    rows = [r for r in told.result.rows("station_state") if r.cause.startswith("waiting: ") and r.mean]
    rows.sort(key=lambda row: -(row.mean or 0.0))
    if not rows:
        return None
    return table(
        "What waits longest with a job and open work, and for what",
        ["station", "waits for", *numeric("min/shift", "interval")],
        [
            (row.where, row.cause.removeprefix("waiting: "), *estimated(row, scale=told.shift_min))
            for row in rows[:MOST_WAITS]
        ],
    )
