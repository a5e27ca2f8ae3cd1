"""Lines that start empty, and the exact mean lead time of their first jobs.

Each has two answers that simulate no line: the exact mean, and a recursion over given draws, which tells
how often a correct interval holds the mean.
"""

from collections.abc import Callable
from math import fsum
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from linesim.scenario import Scenario, from_dict
from tests.formulas.filling import mean_of_first_waits
from tests.validation.lines import TICKS, UNIT, Raw, constant, exponential, listed, paced, queue, tandem

JOBS = 12
HELD = 100 * UNIT  #: Length of a run, which the first jobs never need.
MINUTES = UNIT / 60  #: A unit of time in the unit of `lead_time`.

Draws = NDArray[np.float64]  #: Standard exponential draws, shape (streams, jobs, runs).


def station(mean: float) -> Raw:
    """Return jobs that come at random to one exponential station."""
    raw = queue(exponential(UNIT), [exponential(mean * UNIT)], length=HELD)
    return listed(raw, ["job"] * JOBS)


def station_lead(mean: float) -> float:
    """Return the exact mean lead time: the wait of the M/M/1 station from empty, and the work."""
    return mean_of_first_waits(1, mean, JOBS) + mean


def station_drawn(mean: float, draws: Draws) -> NDArray[np.float64]:
    """Return the mean lead time of each run [units]: a wait follows from the wait before it (Lindley)."""
    wait, total = np.zeros(draws.shape[2]), np.zeros(draws.shape[2])
    for gap, work in zip(draws[0], mean * draws[1], strict=True):
        wait = np.maximum(0, wait - gap)
        wait += work  # Until this job is done, as the next one sees it.
        total += wait
    return total / len(draws[0])


def two(places: int) -> Raw:
    """Return two exponential stations with so many places between; a job is always waiting."""
    return listed(tandem([exponential(UNIT)] * 2, places, length=HELD), ["job"] * JOBS)


def two_lead(places: int) -> float:
    """Return the exact mean lead time on `two`: jobs inside, summed over the states of the chain.

    State (a, c): station 1 has finished a jobs, station 2 has finished c. The rate out of a state is the
    number of stations at work, each as likely to be the next to finish.
    """
    chance = np.zeros((JOBS + 1, JOBS + 1))
    chance[0, 0] = 1.0
    inside = 0.0
    for a in range(JOBS + 1):
        for c in range(a + 1):
            first = a < JOBS and a - c < places + 2
            second = a > c
            at_work = first + second
            if not at_work:
                continue
            inside += chance[a, c] / at_work * (a + first - c)
            if first:
                chance[a + 1, c] += chance[a, c] / at_work
            if second:
                chance[a, c + 1] += chance[a, c] / at_work
    return inside / JOBS


def two_drawn(places: int, draws: Draws) -> NDArray[np.float64]:
    """Return the mean lead time of each run [units]: when jobs depart, from when those before them did."""
    none = np.zeros(draws.shape[2])
    first, second, total = [none], [none] * (places + 2), none.copy()  # Departures; ``second`` begins early.
    for work_1, work_2 in zip(draws[0], draws[1], strict=True):
        first.append(np.maximum(first[-1] + work_1, second[-1 - places]))
        second.append(np.maximum(first[-1], second[-1]) + work_2)
        total += second[-1] - first[-2]
    return total / len(draws[0])


def stepping(stations: int) -> Raw:
    """Return exponential stations that step together when the slowest is done; then the line is held."""
    raw = paced([exponential(UNIT)] * stations, length=HELD, takt=1 / TICKS, pacing="indexed")
    listed(raw, ["work"] * JOBS + ["blank"] * (stations - 1) + ["plug"])
    for s in range(stations):
        plug = constant(1e6 * UNIT if s == 0 else 0.0)
        raw["station"][f"S{s}"]["task"]["work"]["time_for"] = {"blank": constant(0.0), "plug": plug}
    return raw


def stepping_lead(stations: int) -> float:
    """Return the exact mean lead time on `stepping`: a step with m jobs in work lasts 1 + 1/2 + ... + 1/m."""

    def step(k: int) -> float:
        m = min(k, JOBS - 1) - max(0, k - stations + 1) + 1
        return fsum(1 / i for i in range(1, m + 1))

    return fsum(step(k) for j in range(JOBS) for k in range(j, j + stations)) / JOBS


def stepping_drawn(stations: int, draws: Draws) -> NDArray[np.float64]:
    """Return the mean lead time of each run [units]: every job inside a step stays as long as its slowest."""
    jobs = len(draws[0])
    total = np.zeros(draws.shape[2])
    for k in range(jobs + stations - 1):
        inside = [draws[s, k - s] for s in range(stations) if 0 <= k - s < jobs]
        total += len(inside) * np.max(inside, axis=0)
    return total / jobs


class Known(NamedTuple):
    """A line, its exact mean lead time [units], and its lead time in runs with given draws."""

    raw: Callable[[float], Raw]
    lead: Callable[[float], float]
    drawn: Callable[[float, Draws], NDArray[np.float64]]
    size: float

    @property
    def scenario(self) -> Scenario:
        return from_dict(self.raw(self.size))

    @property
    def exact(self) -> float:
        """The exact answer [min]."""
        return self.lead(self.size) * MINUTES


STREAMS = 4  #: The most streams of draws that a line needs.
LINES = {
    "M/M/1 station": tuple(Known(station, station_lead, station_drawn, load) for load in (0.8, 0.9)),
    "two stations": tuple(Known(two, two_lead, two_drawn, places) for places in (0, 2)),  # type: ignore[arg-type]
    "indexed line": tuple(Known(stepping, stepping_lead, stepping_drawn, n) for n in (3, 4)),  # type: ignore[arg-type]
}
