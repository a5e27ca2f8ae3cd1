"""How much work each station, crew, robot and tool has per job, over the variants that are built.

All from mean times, over every variant that is built, weighted by how often it is. Nothing here
knows of waiting or luck, so a line that fits on paper may still fail to keep its takt.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import compress, product

from linesim.draws.mix import Mix, choices_of, rates_among_excluded
from linesim.draws.streams import Streams
from linesim.plan.orders import PlannedOrder
from linesim.plan.plan import Plan
from linesim.plan.tables import AT_ONCE, NONE
from linesim.plan.variants import StationWork, holds
from linesim.ticks import seconds

MOST_CHOICES = 14  #: Up to so many independent choices all combinations are gone through.
SAMPLE = 8192  #: Jobs drawn where there are more.


def variant_shares(plan: Plan) -> tuple[tuple[PlannedOrder, float], ...]:
    """Return every variant with the share of jobs that are built so, the shares summing to 1.

    Exact for a list of orders and for up to `MOST_CHOICES` options and packages that may or may
    not be taken; beyond that, the shares in a drawn sample of `SAMPLE` jobs.
    """
    orders = plan.orders
    if orders.sequence == "listed" and orders.listed:
        counts = Counter(orders.listed)
        return tuple((order, n / len(orders.listed)) for order, n in counts.items())
    rates = [*rates_among_excluded(orders), *(package.take for package in orders.packages)]
    open_choices = max(sum(0 < rate[model] < 1 for rate in rates) for model in range(len(orders.model_names)))
    shares: dict[PlannedOrder, float] = {}
    if open_choices > MOST_CHOICES:
        sample = Mix(orders, Streams(0, 1)).orders(0, SAMPLE)
        shares = {order: n / SAMPLE for order, n in Counter(sample).items()}
    else:
        whole = sum(orders.model_share)
        for model, share in enumerate(orders.model_share):
            for taken, chance in _combinations([rate[model] for rate in rates]) if share > 0 else ():
                order = PlannedOrder(model, choices_of(orders).resolve(taken))
                shares[order] = shares.get(order, 0.0) + share / whole * chance
    return tuple(sorted(shares.items()))


def variant_name(plan: Plan, order: PlannedOrder) -> str:
    """Return a variant as text, such as ``cab+plough``."""
    names = [name for o, name in enumerate(plan.orders.option_names) if order.options >> o & 1]
    return "+".join([plan.orders.model_names[order.model], *names])


def _combinations(rates: list[float]) -> Iterator[tuple[list[int], float]]:
    """Yield every set of choices with its chance."""
    sure = [i for i, rate in enumerate(rates) if rate >= 1]
    open_ones = [i for i, rate in enumerate(rates) if 0 < rate < 1]
    for picks in product((False, True), repeat=len(open_ones)):
        chances = [rates[i] if pick else 1 - rates[i] for i, pick in zip(open_ones, picks, strict=True)]
        yield sorted([*sure, *compress(open_ones, picks)]), math.prod(chances, start=1.0)


@dataclass(frozen=True, slots=True)
class StationLoad:
    """What a station has to do per job.

    Attributes:
        station, section: Names.
        takt_s: Takt of its section [s].
        work_s: Work content [person-seconds], weighted by the mix; robots' time is not in it.
        cycle_s: Shortest time the work can take there [s], weighted by the mix: the longest chain of
            tasks, or what its people, robots, tools or zones need if that is longer.
        worst_s, worst: Longest such time of any variant that is built, and the variant.
        by_model: Model and its share of jobs, with its own weighted `cycle_s`.
        places: Jobs it may hold at a time.
    """

    station: str
    section: str
    takt_s: float
    work_s: float
    cycle_s: float
    worst_s: float
    worst: str
    by_model: tuple[tuple[str, float, float], ...]
    places: int

    @property
    def share_of_takt(self) -> float:
        """Shortest time per job as a share of the takt; above 1 the takt cannot be kept."""
        return self.cycle_s / self.places / self.takt_s


@dataclass(frozen=True, slots=True)
class ShareLoad:
    """What a crew, robot or tool has to do per job.

    Attributes:
        name: Whose load.
        count: People or pieces.
        work_s: Work per job [s], of all its people or pieces together; with expected repeats.
        takt_s: Longest takt of the sections it works in [s].
    """

    name: str
    count: int
    work_s: float
    takt_s: float

    @property
    def share_of_takt(self) -> float:
        """Work as a share of the takt of all its people or pieces; above 1 there are too few."""
        return self.work_s / (self.count * self.takt_s) if self.count else (1e9 if self.work_s else 0.0)


class Loads:
    """The loads of a plan. Worked out when first asked for.

    Args:
        plan: The line.
    """

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.shares: tuple[tuple[PlannedOrder, float], ...] = variant_shares(plan)
        tasks = plan.tasks
        self._works = [plan.variants.get(order.model, order.options).work for order, _ in self.shares]
        self._shape_s = [shape.mean_s for shape in plan.shapes]
        self._tools = tasks.tools.tolists()
        self._robots = tasks.robots.tolists()
        self._faults = tasks.faults.tolists()

    @cached_property
    def stations(self) -> tuple[StationLoad, ...]:
        """Loads of the stations, in the order of the plan."""
        return tuple(self._station(s) for s in range(len(self.plan.names.station)))

    @cached_property
    def crews(self) -> tuple[ShareLoad, ...]:
        """Loads of the crews; work that several crews may do is split by their numbers of people."""
        plan = self.plan
        work = [0.0] * len(plan.names.crew)
        takt = [0.0] * len(plan.names.crew)
        for t, person_s in enumerate(self.task_person_s):
            eligible = self.may_do(t, with_floaters=False)
            people = sum(int(plan.crews.people[c]) for c in eligible)
            for c in eligible:
                part = int(plan.crews.people[c]) / people if people else 1 / len(eligible)
                work[c] += person_s * part
                takt[c] = max(takt[c], self._takt(int(plan.tasks.station[t])))
        return tuple(
            ShareLoad(name, int(plan.crews.people[c]), work[c], takt[c] or self._longest_takt())
            for c, name in enumerate(plan.names.crew)
        )

    @cached_property
    def robots(self) -> tuple[ShareLoad, ...]:
        """Loads of the robots by their own work; failures come on top (see `linesim.capacity.ceiling`)."""
        return self._pieces(self.plan.names.robot, self._robots, [1] * len(self.plan.names.robot))

    @cached_property
    def tools(self) -> tuple[ShareLoad, ...]:
        """Loads of the shared tools."""
        return self._pieces(self.plan.names.tool, self._tools, self.plan.equipment.tool_count.tolist())

    @cached_property
    def task_s(self) -> tuple[float, ...]:
        """Expected time of each task per job [s], counting 0 where a variant has none."""
        total = [0.0] * len(self.plan.names.task)
        for (order, share), works in zip(self.shares, self._works, strict=True):
            for work in works:
                for t, shape in zip(work.tasks, work.shapes, strict=True):
                    total[t] += share * self._time_s(t, shape, order)
        return tuple(total)

    @cached_property
    def task_person_s(self) -> tuple[float, ...]:
        """Expected work of each task per job [person-seconds]."""
        people = self.plan.tasks.people.tolist()
        return tuple(s * n for s, n in zip(self.task_s, people, strict=True))

    def may_do(self, t: int, *, with_floaters: bool) -> tuple[int, ...]:
        """Return the crews that may do task ``t``; none for a task without people."""
        plan = self.plan
        if not plan.tasks.people[t]:
            return ()
        station = int(plan.tasks.station[t])
        named = plan.tasks.crews[t].tolist()
        own = named or plan.stations.crews[station].tolist()
        return tuple(own + (plan.stations.floaters[station].tolist() if with_floaters else []))

    def times_of(self, variant: int, s: int) -> list[float]:
        """Return the expected times [s] of the tasks ``tasks_of(variant, s)``."""
        work, (order, _) = self._works[variant][s], self.shares[variant]
        return [self._time_s(t, shape, order) for t, shape in zip(work.tasks, work.shapes, strict=True)]

    def tasks_of(self, variant: int, s: int) -> tuple[int, ...]:
        """Return the tasks of a variant, numbered as in `shares`, at a station."""
        return self._works[variant][s].tasks

    def shortest_s(self, variant: int, s: int) -> float:
        """Return the shortest time [s] in which the work of a variant can be done at a station."""
        return self._shortest(s, self._works[variant][s], self.times_of(variant, s))

    def _time_s(self, t: int, shape: int, order: PlannedOrder) -> float:
        """Return the expected time of a task on a variant, what is done again at once included."""
        table, again = self.plan.faults, 1.0
        for f in self._faults[t]:
            if table.found[f] == AT_ONCE:
                chance = _chance(table.chances[f], order)
                again = max(again, sum(chance**k for k in range(int(table.tries[f]) + 1)))
        return self._shape_s[shape] * again

    def _station(self, s: int) -> StationLoad:
        plan = self.plan
        work_s = cycle_s = worst_s = 0.0
        worst = ""
        by_model: dict[int, tuple[float, float]] = {}
        people = plan.tasks.people.tolist()
        for variant, (order, share) in enumerate(self.shares):
            times, cycle = self.times_of(variant, s), self.shortest_s(variant, s)
            tasks = self.tasks_of(variant, s)
            work_s += share * sum(time * people[t] for t, time in zip(tasks, times, strict=True))
            cycle_s += share * cycle
            if share > 0 and cycle > worst_s:
                worst_s, worst = cycle, variant_name(plan, order)
            part, weighted = by_model.get(order.model, (0.0, 0.0))
            by_model[order.model] = (part + share, weighted + share * cycle)
        return StationLoad(
            station=plan.names.station[s],
            section=plan.names.section[int(plan.stations.section[s])],
            takt_s=self._takt(s),
            work_s=work_s,
            cycle_s=cycle_s,
            worst_s=worst_s,
            worst=worst,
            by_model=tuple(
                (plan.orders.model_names[m], part, weighted / part)
                for m, (part, weighted) in sorted(by_model.items())
                if part > 0
            ),
            places=max(1, int(plan.stations.places[s])),
        )

    def _shortest(self, s: int, work: StationWork, times: list[float]) -> float:
        """Return the shortest time in which the tasks of one job can be done at a station."""
        plan, tasks = self.plan, self.plan.tasks
        bounds = [longest_chain(work, times)]
        person_s: dict[tuple[int, ...], float] = {}
        robot_s: dict[int, float] = {}
        tool_s: dict[int, float] = {}
        zone_s: dict[int, float] = {}
        for t, time in zip(work.tasks, times, strict=True):
            people = int(tasks.people[t])
            if people:
                crews = self.may_do(t, with_floaters=True)
                person_s[crews] = person_s.get(crews, 0.0) + people * time
            for robot in self._robots[t]:
                robot_s[robot] = robot_s.get(robot, 0.0) + time
            for tool in self._tools[t]:
                tool_s[tool] = tool_s.get(tool, 0.0) + time
            zone = int(tasks.zone[t])
            if zone != NONE and people:
                zone_s[zone] = zone_s.get(zone, 0.0) + people * time
        for crews, amount in person_s.items():
            bounds.append(amount / max(1, sum(int(plan.crews.people[c]) for c in crews)))
        bounds += robot_s.values()
        bounds += [amount / max(1, int(plan.equipment.tool_count[i])) for i, amount in tool_s.items()]
        bounds += [amount / max(1, int(plan.equipment.zone_people[i])) for i, amount in zone_s.items()]
        return max(bounds)

    def _pieces(
        self, names: tuple[str, ...], used: list[list[int]], counts: list[int]
    ) -> tuple[ShareLoad, ...]:
        work, takt = [0.0] * len(names), [0.0] * len(names)
        for t, pieces in enumerate(used):
            for piece in pieces:
                work[piece] += self.task_s[t]
                takt[piece] = max(takt[piece], self._takt(int(self.plan.tasks.station[t])))
        longest = self._longest_takt()
        return tuple(ShareLoad(name, counts[i], work[i], takt[i] or longest) for i, name in enumerate(names))

    def _takt(self, station: int) -> float:
        return seconds(int(self.plan.sections.takt[int(self.plan.stations.section[station])]))

    def _longest_takt(self) -> float:
        return seconds(max(self.plan.sections.takt.tolist()))


def longest_chain(work: StationWork, times: list[float]) -> float:
    """Return the length [s] of the longest chain of tasks that must follow each other at one station."""
    ends = [0.0] * len(times)
    waiting = list(work.n_pred)
    starts = [0.0] * len(times)
    ready = [i for i, n in enumerate(waiting) if n == 0]
    while ready:
        i = ready.pop()
        ends[i] = starts[i] + times[i]
        for follower in work.then[i]:
            starts[follower] = max(starts[follower], ends[i])
            waiting[follower] -= 1
            if waiting[follower] == 0:
                ready.append(follower)
    return max(ends, default=0.0)


def _chance(chances: tuple[tuple[int, int, float], ...], order: PlannedOrder) -> float:
    """Return the chance of a fault on a variant: the first condition that it meets holds."""
    for model, option, chance in chances:
        if holds(model, option, order.model, order.options):
            return chance
    return 0.0


@dataclass(frozen=True, slots=True)
class LoadSpread:
    """A load over all variants that are built.

    Attributes:
        mean: Weighted by how often each variant is built [s].
        low, high: Of the lightest and the heaviest variant [s].
        p95: Least load [s] that nineteen jobs in twenty do not exceed.
        heaviest: Name of the heaviest variant.
        over: Share of jobs whose load is above the limit that was asked about.
    """

    mean: float
    low: float
    high: float
    p95: float
    heaviest: str
    over: float


def station_spread(loads: Loads, s: int) -> LoadSpread:
    """Return the shortest time at station ``s`` over the mix, per job that it may hold, against takt."""
    load = loads.stations[s]
    values = [loads.shortest_s(v, s) / load.places for v in range(len(loads.shares))]
    return _spread(loads, values, load.takt_s)


def crew_spread(loads: Loads, c: int) -> LoadSpread | None:
    """Return the work per person of crew ``c`` over the mix, against takt; None for a crew without people.

    Work that several crews may do is split by their numbers of people, as in `Loads.crews`.
    """
    load = loads.crews[c]
    if not load.count:
        return None
    parts = crew_parts(loads, c)
    people = loads.plan.tasks.people.tolist()
    values = []
    for v in range(len(loads.shares)):
        total = 0.0
        for s in range(len(loads.plan.names.station)):
            for t, time in zip(loads.tasks_of(v, s), loads.times_of(v, s), strict=True):
                total += parts.get(t, 0.0) * people[t] * time
        values.append(total / load.count)
    return _spread(loads, values, load.takt_s)


def crew_parts(loads: Loads, c: int) -> dict[int, float]:
    """Return the tasks that crew ``c`` does and its part of each, 0 to 1."""
    plan, found = loads.plan, {}
    for t in range(len(plan.names.task)):
        eligible = loads.may_do(t, with_floaters=False)
        if c in eligible:
            people = sum(int(plan.crews.people[other]) for other in eligible)
            found[t] = int(plan.crews.people[c]) / people if people else 1 / len(eligible)
    return found


def _spread(loads: Loads, values: Sequence[float], limit: float) -> LoadSpread:
    built = [(value, share, v) for v, (value, (_, share)) in enumerate(zip(values, loads.shares, strict=True))
             if share > 0]  # fmt: skip
    built.sort()
    so_far, p95 = 0.0, built[-1][0]
    for value, share, _ in built:
        so_far += share
        if so_far >= 0.95 - 1e-12:
            p95 = value
            break
    return LoadSpread(
        mean=sum(value * share for value, share, _ in built),
        low=built[0][0],
        high=built[-1][0],
        p95=p95,
        heaviest=variant_name(loads.plan, loads.shares[built[-1][2]][0]),
        over=sum(share for value, share, _ in built if value > limit * (1 + 1e-9)),
    )
