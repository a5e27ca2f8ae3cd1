"""Lines that start empty, and the exact mean lead time of their first jobs."""

from collections.abc import Callable
from math import fsum
from typing import NamedTuple

import numpy as np

from linesim.scenario import Scenario, from_dict
from linesim.theory.filling import mean_of_first_waits
from tests.validation.lines import TICKS, UNIT, Raw, constant, exponential, listed, paced, queue, tandem

JOBS = 12
HELD = 100 * UNIT  #: Length of a run, which the first jobs never need.
MINUTES = UNIT / 60  #: A unit of time in the unit of `lead_time`.


def station(mean: float) -> Raw:
    """Return jobs that come at random to one exponential station."""
    raw = queue(exponential(UNIT), [exponential(mean * UNIT)], length=HELD)
    return listed(raw, ["job"] * JOBS)


def station_lead(mean: float) -> float:
    """Return the exact mean lead time: the wait of the M/M/1 station from empty, and the work."""
    return mean_of_first_waits(1, mean, JOBS) + mean


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


class Known(NamedTuple):
    """A line and its exact mean lead time [units]."""

    raw: Callable[[float], Raw]
    lead: Callable[[float], float]
    size: float

    @property
    def scenario(self) -> Scenario:
        return from_dict(self.raw(self.size))

    @property
    def exact(self) -> float:
        """The exact answer [min]."""
        return self.lead(self.size) * MINUTES


LINES = {
    "M/M/1 station": (Known(station, station_lead, 0.8), Known(station, station_lead, 0.9)),
    "two stations": (Known(two, two_lead, 0), Known(two, two_lead, 2)),  # type: ignore[arg-type]
    "indexed line": (Known(stepping, stepping_lead, 3), Known(stepping, stepping_lead, 4)),  # type: ignore[arg-type]
}
