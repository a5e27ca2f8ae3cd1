"""Work against takt over the mix: not only what an average job asks, but the lightest and heaviest one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from linesim.capacity.loads import Loads
from linesim.capacity.variants import variant_name


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
