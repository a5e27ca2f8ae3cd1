"""The rules of the line that a scenario must keep, one family a file."""

from __future__ import annotations

from linesim.scenario.checks.advice import advise
from linesim.scenario.checks.breakdowns import check_bays, check_breakdowns, check_ends, check_faults
from linesim.scenario.checks.checker import Checker, names_in
from linesim.scenario.checks.flow import (
    check_buffers,
    check_carriers,
    check_flow,
    check_reaches,
    check_sections,
    check_stations,
)
from linesim.scenario.checks.hours import check_calendars, check_pace, check_prices, check_run, check_size
from linesim.scenario.checks.mix import check_mix, check_orders, check_spacing
from linesim.scenario.checks.work import check_crews, check_order, check_staff, check_tasks

__all__ = ["Checker", "advise", "check_rules", "names_in"]


def check_rules(checker: Checker) -> None:
    """Note everything that breaks a rule of the line."""
    for check in (
        check_run,
        check_calendars,
        check_flow,
        check_stations,
        check_sections,
        check_reaches,
        check_buffers,
        check_carriers,
        check_mix,
        check_orders,
        check_spacing,
        check_tasks,
        check_order,
        check_faults,
        check_bays,
        check_crews,
        check_staff,
        check_breakdowns,
        check_ends,
        check_prices,
        check_pace,
        check_size,
    ):
        check(checker)
