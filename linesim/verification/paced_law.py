"""A single paced section whose stations keep to their borders: every pitch is the longest of its work."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from linesim.plan.tables import FREE
from linesim.theory.departures import line_stop_pitches
from linesim.verification.plain import not_alone, not_open
from linesim.verification.row import CheckRow, judge_equal, not_here

if TYPE_CHECKING:
    from linesim.ledger.ledger import Event
    from linesim.plan.plan import Plan
    from linesim.verification.bench import CheckBench, Raw

MOST_JOBS = 300
TICKS = 1000
WHAT = "pitches follow work"


def paced_law(raw: Raw, bench: CheckBench) -> CheckRow:
    """Return whether marks come at the longest of takt and work, or why that law does not apply."""
    raw = {**raw, "run": {**raw["run"], "start": "empty"}}
    plan = bench.plan(raw)
    why = _why_not(plan)
    if why is not None:
        return not_here(WHAT, why)
    events, _ = bench.log(plan)
    marks = [event.time for event in events if event.what == "mark"]
    stations = plan.sections.stations[0].tolist()
    jobs = min(MOST_JOBS, len(marks) - len(stations))
    if jobs < 2:
        return not_here(WHAT, "fewer than two jobs leave the line")
    work = _work(events, stations, jobs)
    transfer = int(plan.sections.transfer[0])
    wanted = line_stop_pitches([[t + transfer for t in row] for row in work], int(plan.sections.takt[0]))
    found = [later - sooner for sooner, later in pairwise(marks)]
    return judge_equal(
        f"{WHAT}, {jobs} jobs",
        "pitch = max(takt, T1, ..., TN): all jobs reach their stop position at the same instant; on the work "
        "that each job drew",
        [pitch / TICKS for pitch in wanted[:jobs]],
        [pitch / TICKS for pitch in found[:jobs]],
        unit="s",
    )


def _why_not(plan: Plan) -> str | None:
    if len(plan.names.section) != 1 or len(plan.flow.kind) != 1:
        return "the line is not one section alone"
    if int(plan.sections.pacing[0]) == FREE:
        return "its section is free: there are no marks"
    if why := not_open(plan) or not_alone(plan):
        return why
    stations = plan.stations
    if stations.early.any() or stations.late.any():
        return "stations reach past their borders"
    if not stations.stops_at_limit.all():
        return "a station passes open work on"
    if len(plan.names.calendar) or len(plan.names.mode) or len(plan.names.fault):
        return "breaks, failures or faults come on top of the work"
    if any(plan.tasks.station.tolist().count(s) > 1 for s in range(len(plan.names.station))):
        return "a station has several tasks"
    return None


def _work(events: Sequence[Event], stations: Sequence[int], jobs: int) -> list[list[int]]:
    """Return the work of the first jobs at each station [ticks], by job number."""
    column = {s: k for k, s in enumerate(stations)}
    began: dict[tuple[int, int], int] = {}
    rows = [[0] * len(stations) for _ in range(jobs)]
    for event in events:
        if event.what == "task start":
            began[event.job, event.station] = event.time
        elif event.what == "task end" and event.job < jobs:
            rows[event.job][column[event.station]] = event.time - began[event.job, event.station]
    return rows
