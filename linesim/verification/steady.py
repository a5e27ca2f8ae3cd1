"""The line without any luck: it must make one job each pitch of its slowest section, to the tick."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from linesim.plan.tables import BUFFER, FREE, INDEXED
from linesim.verification.plain import not_steady
from linesim.verification.row import CheckRow, judge_equal, not_here

if TYPE_CHECKING:
    from linesim.plan.plan import Plan
    from linesim.verification.bench import CheckBench, Raw

WHAT = "no variation: s a job"
PITCHES = 300  #: Jobs over which the output is counted, at least.
TICKS = 1000


def steady(raw: Raw, bench: CheckBench) -> CheckRow:
    """Return whether the line makes what its slowest section allows once nothing varies.

    Every time takes its mean; there are no failures, faults, breaks, calls; every job is of the first
    model without options.
    """
    plan = _constant(bench.plan(_bare(raw)))
    why = not_steady(plan)
    if why is None:
        pitch, why = _pitch(plan)
    if why is not None:
        return not_here(WHAT, why)
    if pitch <= 0:
        return not_here(WHAT, "nothing in it takes time")
    rounds = math.lcm(*plan.stations.places.tolist())
    jobs = rounds * math.ceil(PITCHES / rounds)
    lead = 20 + int(plan.buffers.capacity.sum()) + 3 * len(plan.names.station) + 3 * rounds
    plan = replace(
        plan, run=replace(plan.run, warm_up=0, length=(jobs + 2 * lead) * pitch, starts_full=False)
    )
    events, _ = bench.log(plan)
    out = [event.time for event in events if event.what == "line-off"]
    source = "takt or longest work at a station, whichever is longer: every job takes that long at the end"
    if len(out) <= lead + jobs:
        return judge_equal(WHAT, source + "; too few jobs came out", (pitch / TICKS,), (), unit="s")
    found = (out[lead + jobs] - out[lead]) / jobs / TICKS
    return judge_equal(WHAT, source, (pitch / TICKS,), (round(found, 9),), unit="s")


def _bare(raw: Raw) -> Raw:
    """Return the tables without breakdowns, faults, breaks, calls and any choice of jobs."""
    model = next(iter(raw["model"]))
    made: dict[str, Any] = _without(raw, {"failure", "disturbance", "fault", "outage", "call_at"})
    made |= {"calendar": {}, "package": {}, "bay": {}, "target": {}}
    made["model"] = {model: {}}
    made["option"] = {name: {"take": 0.0} for name in raw["option"]}
    made["orders"] = {}
    made["run"] = {"length": "1 h", "replications": 1}
    for table in ("section", "crew", "robot"):
        made[table] = {
            name: {key: value for key, value in one.items() if key != "calendar"}
            for name, one in made[table].items()
        }
    for station in made["station"].values():
        station.pop("open_to", None)
        station["on_limit"] = "stop"
        for task in station["task"].values():
            task["time_for"] = {key: time for key, time in task["time_for"].items() if key == model}
            if task["models"] and model not in task["models"]:
                task["people"], task["time"] = 0, "0 s"
            task["models"] = []
    for crew in list(made["crew"]):
        made["crew"][crew]["covers"] = [
            place for place in made["crew"][crew]["covers"] if place in made["station"]
        ]
        if not made["crew"][crew]["covers"]:
            del made["crew"][crew]
    return made


def _without(value: Any, keys: set[str]) -> Any:
    if isinstance(value, dict):
        return {key: _without(item, keys) for key, item in value.items() if key not in keys}
    return [_without(item, keys) for item in value] if isinstance(value, list) else value


def _constant(plan: Plan) -> Plan:
    """Return the plan with each time at its mean."""
    from linesim.scenario.shapes import Constant
    from linesim.ticks import of_seconds

    return replace(plan, shapes=tuple(Constant(mean=of_seconds(shape.mean_s)) for shape in plan.shapes))


def _pitch(plan: Plan) -> tuple[int, str | None]:
    """Return the time between two jobs at the end [ticks], or why nobody can say."""
    from linesim.capacity.loads import Loads
    from linesim.ticks import ticks

    loads, sections, pitches = Loads(plan), plan.sections, []
    for section, name in enumerate(plan.names.section):
        mine = sections.stations[section].tolist()
        works = [ticks(loads.stations[s].cycle_s) for s in mine]
        takt, pacing = int(sections.takt[section]), int(sections.pacing[section])
        if pacing == FREE:
            per_place = [
                -(-work // int(plan.stations.places[s])) for s, work in zip(mine, works, strict=True)
            ]
            if any(w % int(plan.stations.places[s]) for s, w in zip(mine, works, strict=True)):
                return 0, f"the stalls of {name} share their work unevenly"
            pitches.append(max(per_place, default=0))
        elif pacing == INDEXED:
            pitches.append(max(takt, max(works, default=0) + int(sections.transfer[section])))
        elif max(works, default=0) <= takt:
            pitches.append(takt)
        elif any(int(plan.stations.early[s]) + int(plan.stations.late[s]) for s in mine):
            return 0, f"work in {name} is longer than the takt, and its stations reach past their borders"
        else:
            pitches.append(max(works))
    return max(pitches, default=0), _slips(plan, pitches)


def _slips(plan: Plan, pitches: list[int]) -> str | None:
    """Return why jobs might miss a pitch between two sections, so that the slowest does not decide."""
    flow, slowest = plan.flow, 0
    for kind, index in zip(flow.kind.tolist(), flow.index.tolist(), strict=True):
        if kind == BUFFER:
            travel, places = int(plan.buffers.travel[index]), int(plan.buffers.capacity[index])
            if travel and places and travel > (places - 1) * max(pitches):
                return f"the way through buffer {plan.names.buffer[index]} is longer than its places allow"
            continue
        paced = int(plan.sections.pacing[index]) != FREE
        if paced and slowest > pitches[index]:
            return (
                f"section {plan.names.section[index]} is faster than what comes before: jobs wait for marks"
            )
        slowest = max(slowest, pitches[index])
    return None
