"""What a whole line makes in the long run: with very large buffers, and with times that never vary."""

from __future__ import annotations

import copy
import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from linesim.plan.tables import BUFFER, FREE, INDEXED, NONE
from linesim.stats.intervals import mean_interval
from linesim.ticks import TICKS_PER_SECOND
from linesim.verification.bench import (
    FIRST,
    QUICK_RATE,
    CheckRow,
    Outputs,
    judge_equal,
    judge_mean,
    judged,
    not_here,
)
from linesim.verification.lines import not_open, not_steady

if TYPE_CHECKING:
    from linesim.plan.plan import Plan
    from linesim.verification.bench import CheckBench, Raw


ROOMY = "very large buffers"
ROOM = 100_000
LONGEST = 16  #: Times the length of a run of the scenario.
BAND = 2 * QUICK_RATE  #: Error to be noticed: one half is luck's, one half is what the theorem leaves open.


def roomy(raw: Raw, bench: CheckBench, replications: int | None) -> CheckRow:
    """Return whether very large buffers bring the line to its weakest section's stand-alone rate.

    Notes:
        From empty the line falls behind its weakest section alone by less than ``2 c sqrt(k n)`` of ``n``
        jobs, k sections whose exits alone have dispersion c² (variance over mean of a count): queues in
        series as the largest of Brownian sums, Glynn & Whitt 1991, Baryshnikov 2001 (both from memory).
        As much again as a run is therefore left out at its beginning, and the run made longer until that
        is less than half of what the check must see.
    """
    plan = bench.plan(raw)
    why = _why_not(plan)
    if why is not None:
        return not_here(ROOMY, why)
    wide = _with_room(raw)
    sections = [name for name in wide["flow"] if name in raw["section"]]
    times = 1
    while True:
        alone = {name: Outputs(_longer(bench, _alone(raw, name), times), bench) for name in sections}
        weakest = min(sections, key=lambda name: mean_interval(alone[name].rates(FIRST)).mean)
        jobs = mean_interval(alone[weakest].counts(FIRST)).mean
        if jobs <= 0:
            return not_here(ROOMY, f"section {weakest} alone makes nothing in a run")
        left_open = _left_open([outputs.counts(FIRST) for outputs in alone.values()], jobs, plan)
        if left_open <= QUICK_RATE or times == LONGEST:
            break
        times *= 4
    made = Outputs(_longer(bench, wide, times), bench)

    def judge(n: int) -> CheckRow:
        rates = alone[weakest].rates(n)
        least = mean_interval(rates).mean
        ratios = [1 + (one - other) / least for one, other in zip(made.rates(n), rates, strict=True)]
        source = (
            f"output over that of the weakest section, {weakest}, standing alone with the same draws: in "
            f"the long run it never waits and never is blocked; to {left_open:.1%} in runs of this length"
        )
        return judge_mean(ROOMY, source, 1.0, ratios, must_see=BAND, margin=left_open)

    return judged(judge, replications)


def _with_room(raw: Raw) -> Raw:
    """Return the line with a very large buffer between any two sections, and without its own."""
    wide = copy.deepcopy(raw)
    wide["run"]["start"] = "empty"
    flow: list[str] = []
    for name in raw["flow"]:
        if name in raw["section"]:
            if flow:
                gap = f"before-{name}"
                wide["buffer"][gap] = {"capacity": ROOM}
                flow.append(gap)
            flow.append(name)
    wide["buffer"] = {name: wide["buffer"][name] for name in flow if name not in raw["section"]}
    wide["flow"] = flow
    return wide


def _longer(bench: CheckBench, raw: Raw, times: int) -> Plan:
    """Return the plan of a line that runs so many times as long, after a warm-up that is as long again."""
    plan = bench.plan(raw)
    length = times * plan.run.length
    return replace(plan, run=replace(plan.run, warm_up=plan.run.warm_up + length, length=length))


def _left_open(counts: Sequence[Sequence[int]], jobs: float, plan: Plan) -> float:
    """Return by what part the line may fall behind in a run, one job more or less at its ends included.

    Args:
        counts: Jobs of each section alone, per replication.
        jobs: Mean of the weakest section's.
        plan: The line as it is.
    """
    before = jobs * (1 + plan.run.warm_up / plan.run.length)
    dispersion = max((mean_interval(one).sd or 0.0) ** 2 for one in counts) / jobs
    behind = 2 * math.sqrt(dispersion * len(counts)) * (math.sqrt(before + jobs) - math.sqrt(before))
    return (1 + behind) / jobs


def _alone(raw: Raw, section: str) -> Raw:
    """Return one section of the line, always supplied and always emptied."""
    made = copy.deepcopy(raw)
    stations = set(raw["section"][section]["stations"])
    made["flow"], made["buffer"] = [section], {}
    made["section"] = {section: made["section"][section]}
    made["station"] = {name: table for name, table in made["station"].items() if name in stations}
    crews: dict[str, Any] = {}
    for name, crew in made["crew"].items():
        crew["covers"] = [place for place in crew["covers"] if place in stations]
        if crew["covers"] or name in _technicians(made):
            crews[name] = crew
    made["crew"] = crews
    made["run"]["start"] = "empty"
    return made


def _technicians(raw: Raw) -> set[str]:
    """Return the crews that repair something of what is left."""
    owners = [*raw["section"].values(), *raw["station"].values(), *raw["robot"].values()]
    modes = [
        mode
        for owner in owners
        for kind in ("failure", "disturbance")
        for mode in owner.get(kind, {}).values()
    ]
    return {mode["repaired_by"] for mode in modes if mode.get("repaired_by")}


def _why_not(plan: Plan) -> str | None:
    if len(plan.names.section) < 2:
        return "the line is one section alone"
    if why := not_open(plan):
        return why
    section = plan.stations.section.tolist()
    tasks, faults = plan.tasks, plan.faults
    used: dict[tuple[str, int], set[int]] = {}
    for s, home in enumerate(section):
        for c in (*plan.stations.crews[s].tolist(), *plan.stations.floaters[s].tolist()):
            used.setdefault(("crew", c), set()).add(home)
    for t, station in enumerate(tasks.station.tolist()):
        for kind, table in (("robot", tasks.robots), ("tool", tasks.tools)):
            for index in table[t].tolist():
                used.setdefault((kind, index), set()).add(section[station])
        for before in tasks.after[t].tolist():
            if section[int(tasks.station[before])] != section[station]:
                return f"{plan.names.task[t]} waits for work of another section"
    for (kind, index), homes in used.items():
        if len(homes) > 1:
            name = {"crew": plan.names.crew, "robot": plan.names.robot, "tool": plan.names.tool}[kind][index]
            return f"{kind} {name} serves several sections, so that none of them stands alone"
    if (plan.modes.crew != NONE).any():
        return "technicians serve whoever fails first"
    if len(faults.task) or (plan.stations.open_station != NONE).any():
        return "faults or open work of one section are put right in another"
    return None


STEADY = "no variation: s a job"
PITCHES = 300  #: Jobs over which the output is counted, at least.


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
        return not_here(STEADY, why)
    if pitch <= 0:
        return not_here(STEADY, "nothing in it takes time")
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
        return judge_equal(
            STEADY, source + "; too few jobs came out", (pitch / TICKS_PER_SECOND,), (), unit="s"
        )
    found = (out[lead + jobs] - out[lead]) / jobs / TICKS_PER_SECOND
    return judge_equal(STEADY, source, (pitch / TICKS_PER_SECOND,), (round(found, 9),), unit="s")


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
