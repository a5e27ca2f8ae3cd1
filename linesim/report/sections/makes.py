"""What does the line make?"""

from __future__ import annotations

from linesim.capacity.pace import gross_per_hour, pace_in_words
from linesim.report.charts.shifts import shift_chart
from linesim.report.charts.strip import strip
from linesim.report.page_input import Told
from linesim.report.parts import PageSection, section
from linesim.report.table import PageCell, PageTable, estimated, numeric, table, whole
from linesim.runs.rows import Row


def makes(told: Told, before: str = "") -> PageSection | None:
    """Return the line itself, output per shift and hour, time on the line, and every single shift."""
    return section(
        "makes",
        "What does the line make?",
        strip(told.plan),
        before + pace_in_words(told.plan),
        _output(told),
        shift_chart(told),
    )


def _output(told: Told) -> PageTable:
    result, target = told.result, told.result.run.target
    rows: list[tuple[str, PageCell, PageCell]] = []
    if result.row("jobs_per_shift").mean is not None:
        rows.append(_line("jobs per shift", result.row("jobs_per_shift")))
        rows.append(("one single shift in ten makes fewer than", *whole(result.row("jobs_per_shift_p10"))))
        rows.append(("one single shift in ten makes more than", *whole(result.row("jobs_per_shift_p90"))))
        if target is not None:
            rows.append(_line(f"shifts that make the planned {target:g}, %", result.row("plan_met"), 100))
    rows.append(_line("net jobs per hour", result.row("throughput")))
    gross = gross_per_hour(told.plan)
    rows.append(("gross jobs per hour, one a takt", PageCell(f"{gross:.1f}", gross), PageCell("")))
    rows.append(_line("working minutes from line-on to line-off", result.row("lead_time")))
    if told.plan.calendars:
        rows.append(_line("the same with nights and breaks", result.row("lead_time_clock")))
    rows.append(_line("jobs inside", result.row("in_progress")))
    said = f"{100 * result.run.confidence:g} % interval" if told.has_interval else "interval"
    return table("Output and time on the line", ["figure", *numeric("estimate", said)], rows, sorts=False)


def _line(name: str, row: Row, scale: float = 1.0) -> tuple[str, PageCell, PageCell]:
    return name, *estimated(row, scale=scale)
