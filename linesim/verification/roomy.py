"""Very large buffers: the line reaches what its weakest section makes when it stands alone."""

from __future__ import annotations

import copy
import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from linesim.plan.tables import NONE
from linesim.stats import mean_interval
from linesim.verification.bench import FIRST, QUICK_RATE, Outputs, judged
from linesim.verification.plain import not_open
from linesim.verification.row import CheckRow, judge_mean, not_here

if TYPE_CHECKING:
    from linesim.plan.plan import Plan
    from linesim.verification.bench import CheckBench, Raw

WHAT = "very large buffers"
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
        return not_here(WHAT, why)
    wide = _with_room(raw)
    sections = [name for name in wide["flow"] if name in raw["section"]]
    times = 1
    while True:
        alone = {name: Outputs(_longer(bench, _alone(raw, name), times), bench) for name in sections}
        weakest = min(sections, key=lambda name: mean_interval(alone[name].rates(FIRST)).mean)
        jobs = mean_interval(alone[weakest].counts(FIRST)).mean
        if jobs <= 0:
            return not_here(WHAT, f"section {weakest} alone makes nothing in a run")
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
        return judge_mean(WHAT, source, 1.0, ratios, must_see=BAND, margin=left_open)

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
