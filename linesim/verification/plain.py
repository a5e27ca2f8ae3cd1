"""Which laws hold for a line: the first thing that takes it out of a law's reach, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linesim.plan.tables import FREE, JOBS, NONE, ROBOT, RUNNING

if TYPE_CHECKING:
    from linesim.plan.plan import Plan


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
