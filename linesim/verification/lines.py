"""Small lines that checks simulate, and which laws hold for a line of one's own."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from linesim.plan.tables import FREE, JOBS, NONE, ROBOT, RUNNING
from linesim.verification.bench import Raw

if TYPE_CHECKING:
    from linesim.ledger.ledger import Event
    from linesim.plan.plan import Plan


UNIT = 1000.0  #: One unit of time where a source has none [s]; rounding to 1 ms moves nothing then.


def seconds(value: float) -> str:
    """Return a duration as a scenario writes it."""
    return f"{value:.9f} s"


def constant(value: float) -> Raw:
    """Return a time that never varies."""
    return {"shape": "constant", "value": seconds(value)}


def exponential(mean: float = UNIT) -> Raw:
    """Return an exponential time."""
    return {"shape": "exponential", "mean": seconds(mean)}


def erlang(mean: float, stages: int) -> Raw:
    """Return an Erlang time."""
    return {"shape": "erlang", "mean": seconds(mean), "stages": stages}


def uniform(low: float, high: float) -> Raw:
    """Return a uniform time."""
    return {"shape": "uniform", "low": seconds(low), "high": seconds(high)}


def normal(mean: float, sd: float) -> Raw:
    """Return a normal time, cut at zero."""
    return {"shape": "normal", "mean": seconds(mean), "sd": seconds(sd)}


def lognormal(mean: float, cv: float) -> Raw:
    """Return a lognormal time."""
    return {"shape": "lognormal", "mean": seconds(mean), "cv": cv}


def bare(length: float, warm_up: float = 0.0, takt: float = 60.0) -> Raw:
    """Return the tables that every scenario has, without a line."""
    run = {"length": seconds(length), "warm_up": seconds(warm_up), "replications": 1}
    return {
        "takt": seconds(takt), "flow": [], "run": run, "section": {}, "station": {}, "buffer": {},
    }  # fmt: skip


def work(time: Raw) -> Raw:
    """Return a station with one task that needs nobody."""
    return {"task": {"work": {"people": 0, "time": time}}}


def free_line(
    times: Sequence[Raw], places: int | Sequence[int] = 0, *, length: float, warm_up: float = 0.0
) -> Raw:
    """Return free stations M1, M2, ... with buffers B1, B2, ... of so many places behind them."""
    gaps = [places] * (len(times) - 1) if isinstance(places, int) else list(places)
    raw = bare(length, warm_up)
    for number, time in enumerate(times, start=1):
        raw["section"][f"S{number}"] = {"pacing": "free", "stations": [f"M{number}"]}
        raw["station"][f"M{number}"] = work(time)
        raw["flow"].append(f"S{number}")
        if number <= len(gaps) and gaps[number - 1]:
            raw["buffer"][f"B{number}"] = {"capacity": gaps[number - 1]}
            raw["flow"].append(f"B{number}")
    return raw


def queue(gap: Raw, time: Raw, *, length: float, warm_up: float, stalls: int = 1) -> Raw:
    """Return jobs that come by themselves to station M2 through a door that holds nobody."""
    raw = free_line([constant(0.0), time], 100_000, length=length, warm_up=warm_up)
    raw["station"]["M1"] = {}
    raw["station"]["M2"]["places"] = stalls
    raw["supply"] = {"every": gap}
    return raw


def paced_line(
    times: Sequence[Raw | None],
    *,
    length: float,
    warm_up: float = 0.0,
    takt: float = 60.0,
    pacing: str = "moving",
) -> Raw:
    """Return one section "line" of stations M1, M2, ... (None: an empty station)."""
    raw = bare(length, warm_up, takt)
    names = [f"M{number}" for number in range(1, len(times) + 1)]
    raw["flow"], raw["section"] = ["line"], {"line": {"pacing": pacing, "stations": names}}
    raw["station"] = {name: work(time) if time else {} for name, time in zip(names, times, strict=True)}
    return raw


def given(raw: Raw, stations: Sequence[str], rows: Sequence[Sequence[float]]) -> Raw:
    """Give each job its own times [s], row by row; return ``raw`` itself.

    Args:
        raw: The line.
        stations: Stations whose times are given, one a column.
        rows: One row a job, in the order in which jobs come; no job comes after the last.
    """
    models = {tuple(row): f"j{number}" for number, row in enumerate(rows)}
    raw["model"] = {name: {} for name in models.values()}
    listed = [models[tuple(row)] for row in rows]
    raw["orders"] = {"sequence": "listed", "list": listed, "after_last": "end"}
    for column, station in enumerate(stations):
        task = raw["station"][station].setdefault("task", {}).setdefault("work", {"people": 0})
        task["time"] = constant(0.0)
        task["time_for"] = {name: constant(row[column]) for row, name in models.items()}
    return raw


def not_open(plan: Plan) -> str | None:
    """Return why jobs do not simply come, go through and leave; None if they do."""
    names = plan.names
    for count, what in (
        (len(names.feeder), "a feeder joins it"),
        (len(names.carrier), "jobs travel on carriers, which can run out"),
        (len(names.bay), "it has a bay, from which jobs come back or are held"),
    ):
        if count:
            return what
    for gate, what in ((plan.supply, "supply"), (plan.removal, "removal")):
        if gate.every != NONE or len(gate.schedule):
            return f"{what} has its own rhythm"
    if plan.orders.sequence == "listed" and not plan.orders.repeats:
        return "its list of orders ends"
    return None


def not_alone(plan: Plan) -> str | None:
    """Return why a station might wait for people or equipment that are elsewhere; None if it never does."""
    crews, tasks, names = plan.crews, plan.tasks, plan.names
    users: dict[tuple[str, int], dict[int, int]] = {}
    for t, station in enumerate(tasks.station.tolist()):
        people = int(tasks.people[t])
        covering = tasks.crews[t].tolist() or plan.stations.crews[station].tolist()
        wants = [("crew", c, people) for c in covering if people]
        wants += [("robot", r, 1) for r in tasks.robots[t].tolist()]
        wants += [("tool", tool, 1) for tool in tasks.tools[t].tolist()]
        for kind, index, amount in wants:
            at = users.setdefault((kind, index), {})
            at[station] = max(at.get(station, 0), amount * int(plan.stations.places[station]))
    for (kind, index), at in users.items():
        there = {
            "crew": int(crews.people[index]) if kind == "crew" else 0,
            "robot": 1,
            "tool": int(plan.equipment.tool_count[index]) if kind == "tool" else 0,
        }[kind]
        if len(at) > 1 and sum(at.values()) > there:
            name = {"crew": names.crew, "robot": names.robot, "tool": names.tool}[kind][index]
            return f"{kind} {name} works at {len(at)} stations, and one may wait for another"
    if crews.walk.any() or crews.walk_speed.any():
        return "people walk, which takes time of its own"
    if crews.absence.any() or crews.new.any():
        return "people are away now and then, or new and slower"
    if (plan.stations.call_at != NONE).any():
        return "stations call for help"
    return None


def not_free(plan: Plan) -> str | None:
    """Return why a line is no plain free line, for which places never hurt; None if it is one."""
    for index, name in enumerate(plan.names.section):
        if int(plan.sections.pacing[index]) != FREE:
            return f"section {name} is paced: another place may shift a job past a mark"
    if why := not_open(plan) or not_alone(plan):
        return why
    if len(plan.names.calendar):
        return "it follows a calendar: what is in work at a break depends on the places"
    if (plan.stations.places > 1).any():
        return "a station holds several jobs, which may overtake each other"
    if len(plan.names.fault):
        return "its tasks leave faults"
    modes = plan.modes
    for m, name in enumerate(plan.names.mode):
        counts = int(modes.per[m]) in (RUNNING, JOBS)
        if int(modes.owner_kind[m]) != ROBOT or not counts or int(modes.crew[m]) != NONE:
            return f"{name} strikes by the clock or waits for people"
    return None


def not_steady(plan: Plan) -> str | None:
    """Return why nobody can say for sure what a line makes whose times never vary; None if one can."""
    if why := not_open(plan) or not_alone(plan):
        return why
    tasks = plan.tasks
    by_station: dict[int, list[int]] = {}
    for t, station in enumerate(tasks.station.tolist()):
        by_station.setdefault(station, []).append(t)
    for station, mine in by_station.items():
        if len(mine) == 1:
            continue
        people = sum(int(tasks.people[t]) for t in mine)
        crews = plan.stations.crews[station].tolist()
        on_hand = sum(int(plan.crews.people[c]) for c in crews)
        shares = [r for t in mine for r in (*tasks.robots[t].tolist(), *tasks.tools[t].tolist())]
        one_by_one = on_hand == 1 and not shares and all(int(tasks.people[t]) == 1 for t in mine)
        all_at_once = people <= on_hand and not shares and all(int(tasks.zone[t]) == NONE for t in mine)
        if not (one_by_one or all_at_once):
            return f"tasks of {plan.names.station[station]} run beside each other as people come free"
    return None


def work_of(jobs: Iterable[int], events: Sequence[Event], line: Sequence[int]) -> list[list[int]]:
    """Return the work of jobs at each station of a line [ticks], from its log; 0 where one had none."""
    column = {s: k for k, s in enumerate(line)}
    began: dict[tuple[int, int], int] = {}
    rows: dict[int, list[int]] = {}
    for event in events:
        if event.what == "task start":
            began[event.job, event.station] = event.time
        elif event.what == "task end":
            row = rows.setdefault(event.job, [0] * len(line))
            row[column[event.station]] = event.time - began[event.job, event.station]
    return [rows.get(job, [0] * len(line)) for job in jobs]
