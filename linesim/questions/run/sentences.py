"""The answer of a run in plain sentences: what the line makes, whether the plan is met, what stops it."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from linesim.answers.wording import interval_text, listed, mean_text, number, text
from linesim.plan.words import HANDED_ON
from linesim.runs.result import Result
from linesim.runs.rows import Row

if TYPE_CHECKING:
    from linesim.runs.cases import CaseRuns
    from linesim.scenario import Scenario

#: What the parts of net money are called.
PARTS = MappingProxyType({"jobs": "jobs", "stops": "own stops", "people": "people", "equipment": "equipment"})


def answer(result: Result) -> tuple[str, ...]:
    """Return the sentences that stand on top of a page about a run."""
    return tuple(said for said in (_made(result), _plan(result), _stops(result), _money(result)) if said)


def cause_in_words(cause: str, *, of_section: bool = False) -> str:
    """Return why a section stands, as part of a sentence; a scenario's own word is given as it is.

    Examples:
        >>> cause_in_words("overrun"), cause_in_words("parts")
        ('work still open at the limit', 'parts')
    """
    if cause == "breakdown":
        return "conveyor failed" if of_section else "failed equipment"
    known = {
        "overrun": "work still open at the limit",
        "waiting": "waiting for people, tool or room",
        "repeat": "work done again after a fault",
        "blocked": "no room ahead",
        "starved": "no job comes",
    }
    return known.get(cause, cause)


def stops_by_size(result: Result, *, by_itself: bool = False) -> tuple[Row, ...]:
    """Return the rows of line-stop minutes that have a cause and a figure, the largest first.

    Args:
        result: The run.
        by_itself: Leave out what a section only passes on (`HANDED_ON`).
    """
    rows = [
        row
        for row in result.rows("line_stop")
        if row.cause and row.mean and not (by_itself and row.cause in HANDED_ON)
    ]
    return tuple(sorted(rows, key=lambda row: -(row.mean or 0.0)))


def uncalled(scenario: Scenario, runs: CaseRuns, name: str) -> tuple[str, ...]:
    """Return why floaters of a case never worked although stations that they cover overran."""
    labels = runs.found[name].labels
    mean = {
        (label.measure, label.where): float(np.nanmean(values))
        for label in labels
        if label.measure in ("crew_busy", "overruns")
        and not np.isnan(values := runs.values(name, *label[:3])).all()  # a crew of nobody has no share
    }
    can_call = {label.where for label in labels if label.measure == "calls"}
    said = []
    for crew, table in scenario.crew.items():
        late = [place for place in table.covers if mean.get(("overruns", place), 0.0) > 0]
        if not table.floater or mean.get(("crew_busy", crew), 0.0) > 0 or not late:
            continue
        mute = [place for place in late if place not in can_call]
        why = f"nobody at {listed(mute)} can call, which {'has' if len(mute) == 1 else 'have'} no call_at"
        if not mute:
            why = "no call was made there"
        said.append(f"Floater {crew} never worked, though jobs overran at {listed(late)}: {why}.")
    return tuple(said)


def _made(result: Result) -> str:
    made = result.estimate("jobs_per_shift")
    if made.mean is None:
        rate = text(result.estimate("throughput"))
        return f"The line makes {rate} jobs an hour; the run holds no whole shift."
    low, high = (mean_text(result.estimate(f"jobs_per_shift_p{percent}")) for percent in (10, 90))
    if low == high:
        single = f"at least eight single shifts in ten make exactly {low}"
    else:
        single = f"eight single shifts in ten make {low} to {high}"
    if made.low is None:
        return (
            f"The line made {mean_text(made)} jobs a shift in the one replication that was run, which has no "
            f"interval; {single}."
        )
    return f"The line makes {text(made)} jobs a shift; {single}."


def _plan(result: Result) -> str:
    if result.run.target is None:
        return ""
    met = result.estimate("plan_met")
    if met.mean is None:
        return ""
    bounds = interval_text(met)
    return (
        f"The plan asks for {result.run.target:g}: {mean_text(met)} % of the shifts make it"
        f"{f' ({bounds})' if bounds else ''}."
    )


def _money(result: Result) -> str:
    """Return what a shift brings: the sum where a job has a price, and each part that has one."""
    worth = {row.cause: result.estimate_of(row) for row in result.rows("net_money")}
    parts = listed([f"{PARTS[part]} {text(found)}" for part, found in worth.items() if part])
    if not parts or any(found.mean is None for found in worth.values()):
        return ""
    passed = "; what a section only passes on is not paid again" if "stops" in worth else ""
    whole = f"A shift brings {text(worth[''])}" if "" in worth else "In money a shift"
    return f"{whole}: {parts}{passed}."


def _stops(result: Result) -> str:
    if not result.rows("overruns"):
        return ""  # only free sections, which have no conveyor that could stop
    stops = stops_by_size(result, by_itself=True)
    if not stops:
        return "No section stops for a reason of its own."
    worst = stops[0]
    total = sum(row.mean or 0.0 for row in stops)
    part = number(100 * (worst.mean or 0.0) / total, 0)
    is_section = worst.where in result.run.sections
    return (
        f"Most of all it is stopped at {worst.where} ({cause_in_words(worst.cause, of_section=is_section)}): "
        f"{text(result.estimate_of(worst))} min a shift, {part} % of all stops that begin on the line itself."
    )
