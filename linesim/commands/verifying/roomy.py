"""Very large buffers: the line reaches what its weakest section makes when it stands alone."""

from __future__ import annotations

import copy
from typing import TYPE_CHECKING, Any

from linesim.commands.verifying.plain import not_open
from linesim.commands.verifying.row import Row, judge_mean, not_here
from linesim.plan.tables import NONE
from linesim.stats import mean_interval

if TYPE_CHECKING:
    from linesim.commands.verifying.bench import Bench, Raw
    from linesim.plan.plan import Plan

WHAT = "very large buffers"
ROOM = 100_000
MARGIN = 0.05  #: The weakest section is now and then without a job while the buffer before it fills.
SEES = 0.12


def roomy(raw: Raw, bench: Bench, replications: int) -> Row:
    """Return whether very large buffers bring the line to its weakest section's stand-alone rate."""
    plan = bench.plan(raw)
    why = _why_not(plan)
    if why is not None:
        return not_here(WHAT, why)
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
    sections = [name for name in flow if name in raw["section"]]
    alone = {name: _rates(_alone(raw, name), bench, replications) for name in sections}
    weakest = min(sections, key=lambda name: mean_interval(alone[name]).mean)
    least = mean_interval(alone[weakest]).mean
    if least <= 0:
        return not_here(WHAT, f"section {weakest} alone makes nothing in a run")
    made = _rates(wide, bench, replications)
    ratios = [1 + (one - other) / least for one, other in zip(made, alone[weakest], strict=True)]
    return judge_mean(
        WHAT,
        f"output over that of the weakest section, {weakest}, standing alone with the same draws: in the "
        f"long run it never waits and never is blocked; to {MARGIN:.0%}",
        1.0,
        ratios,
        must_see=SEES,
        margin=MARGIN,
    )


def _rates(raw: Raw, bench: Bench, replications: int) -> list[float]:
    plan = bench.plan(raw)
    found = []
    for number in range(1, replications + 1):
        ledger = bench.run(plan, number)
        found.append(ledger.jobs_out / ledger.working_time if ledger.working_time else 0.0)
    return found


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
