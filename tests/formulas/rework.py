"""Work that comes back: passes until good, loops between stations, and learning."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Routing:
    """Mean visits to each station per job started, and the share of jobs that end at each exit."""

    visits: Mapping[str, float]
    exits: Mapping[str, float]


def route_jobs(chances: Mapping[str, Mapping[str, float]], start: str) -> Routing:
    """Return how often jobs visit stations and where they end if they move on by chance.

    Args:
        chances: For each station, where a job goes next and with what chance; a name that is no
            station is an exit. Chances of each station add up to 1.
        start: The station where jobs start.

    Raises:
        ValueError: If chances do not add up to 1 or a job may never leave.

    Examples:
        >>> route_jobs({"A": {"A": 0.5, "out": 0.5}}, "A").visits["A"]
        2.0
    """
    names = list(chances)
    for name, row in chances.items():
        if not math.isclose(math.fsum(row.values()), 1.0) or min(row.values()) < 0:
            raise ValueError(f"the chances after {name} must be >= 0 and add up to 1, got {dict(row)}")
    inner = np.array([[chances[a].get(b, 0.0) for b in names] for a in names])
    right = np.array([float(name == start) for name in names])
    try:
        visits = np.linalg.solve(np.eye(len(names)) - inner.T, right)
    except np.linalg.LinAlgError as error:
        raise ValueError("a job may go round for ever") from error
    exits: dict[str, float] = {}
    for name, count in zip(names, visits.tolist(), strict=True):
        for goal, chance in chances[name].items():
            if goal not in chances:
                exits[goal] = exits.get(goal, 0.0) + count * chance
    return Routing(dict(zip(names, visits.tolist(), strict=True)), exits)


def tightest_interval(routing: Routing, times: Mapping[str, float]) -> tuple[str, float]:
    """Return the busiest station and the shortest interval between jobs started that it can follow."""
    work = {name: routing.visits[name] * times[name] for name in times}
    busiest = max(work, key=lambda name: work[name])
    return busiest, work[busiest]


def work_per_start(routing: Routing, times: Mapping[str, float]) -> float:
    """Return the mean work per job started, all visits counted."""
    return math.fsum(routing.visits[name] * times[name] for name in times)


def learned_time(first: float, rate: float, unit: int) -> float:
    """Return the time of the ``unit``-th job if each doubling multiplies it by ``rate``.

    ``first * unit ** log2(rate)``, unit >= 1, 0 < rate <= 1.
    """
    return float(first * unit ** math.log2(rate))


def learned_total(first: float, rate: float, units: int) -> float:
    """Return the time of the first ``units`` jobs together."""
    return math.fsum(learned_time(first, rate, unit) for unit in range(1, units + 1))


def seconds_from_tmu(tmu: float) -> float:
    """Return seconds from time measurement units: 1 TMU is 0.00001 h = 0.036 s."""
    return tmu * 0.036
