"""What does the line make?"""

from __future__ import annotations

from linesim.capacity.pace import gross_per_hour, pace_in_words
from linesim.commands.page import Page
from linesim.plan.plan import Plan
from linesim.questions.figures import estimate, span
from linesim.runs.result import Result
from linesim.runs.rows import Row


def makes(page: Page, plan: Plan, result: Result) -> None:
    """Write output, time and number of jobs inside, and the pace that was asked for."""
    page.heading("What does the line make?")
    per_shift = result.row("jobs_per_shift")
    low, high = result.row("jobs_per_shift_p10").mean, result.row("jobs_per_shift_p90").mean
    rows = []
    if per_shift.mean is not None and low is not None and high is not None:
        rows.append(_line("jobs a shift", per_shift))
        range_ = f"{low:.0f}" if low == high else f"{low:.0f} to {high:.0f}"
        rows.append(("  a single shift, eight in ten", range_, ""))
        if plan.target is not None:
            rows.append(_line(f"  shifts that make {plan.target:g}, %", result.row("plan_met"), 100))
    rows.append(_line("net jobs an hour", result.row("throughput")))
    rows.append(("gross jobs an hour, one a takt", f"{gross_per_hour(plan):.1f}", ""))
    rows.append(_line("minutes from line-on to line-off", result.row("lead_time")))
    rows.append(_line("jobs inside", result.row("in_progress")))
    page.table(("", "", _interval(result)), rows)
    page.say(pace_in_words(plan), indent=2)


def _line(name: str, row: Row, scale: float = 1.0) -> tuple[str, str, str]:
    return name, estimate(row, scale=scale), span(row, scale=scale)


def _interval(result: Result) -> str:
    return f"{result.run.confidence * 100:g} % interval" if len(result.run.numbers) > 1 else "no interval"
