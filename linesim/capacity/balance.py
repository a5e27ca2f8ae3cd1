"""How well work fits its stations, without simulating: what is expected to stay above their windows.

What one job asks of a station may be more than its people can do in its window, and what jobs ask on average
more than they can do in a takt. People of a crew with several stations go where work is: at most `GATHER`
even shares of them stand at one station, and all its people bound what all its stations ask in a takt. These
are expected values over the mix, with the spread of the times; chains of tasks, tools, zones and walking are
not in them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from linesim import special
from linesim.capacity.loads import Loads
from linesim.plan.tables import FREE, INDEXED, FloatArray
from linesim.ticks import seconds

GATHER = 2.0  #: Even shares of a crew that work at one of its stations at most.


@dataclass(frozen=True, slots=True)
class Post:
    """A station as its people see it.

    Attributes:
        station, section: Names.
        crews: Who covers it, floaters left out, by number.
        people: An even share of the people of each crew.
        hands: People that can be at it: `GATHER` even shares of each crew, at most all of it.
        takt_s: Time between two jobs [s], times the jobs that it holds.
        window_s: Time in which the work on one job has to be done [s].
    """

    station: str
    section: str
    crews: tuple[int, ...]
    people: float
    hands: float
    takt_s: float
    window_s: float


@dataclass(frozen=True, slots=True)
class Fit:
    """Work that does not fit, in person-seconds a job.

    Attributes:
        stations: Above each station's window, or above what its people can do in a takt if that is more.
        crews: Above what the people of each crew can do in a takt; 0 for crews of one station, whose work is
            counted there.
    """

    stations: tuple[float, ...]
    crews: tuple[float, ...]

    @property
    def total(self) -> float:
        """All of it."""
        return sum(self.stations) + sum(self.crews)


class Balance:
    """The tasks of a plan as work to be spread over its stations.

    Attributes:
        loads: The loads of the plan.
        at: Where each task is done, by number of the station.
        mean_s: Work of each task on each variant [person-s], shape ``(tasks, variants)``.
        variance: Its variance [person-s²], likewise.
        share: Share of jobs of each variant, shape ``(variants,)``.
    """

    def __init__(self, loads: Loads) -> None:
        plan = self.plan = loads.plan
        self.loads = loads
        self.at: tuple[int, ...] = tuple(plan.tasks.station.tolist())
        shape = (len(self.at), len(loads.shares))
        self.mean_s: FloatArray = np.zeros(shape)
        self.variance: FloatArray = np.zeros(shape)
        self.share: FloatArray = np.array([share for _, share in loads.shares])
        people, sds = plan.tasks.people.tolist(), [shape.sd_s for shape in plan.shapes]
        for v, (order, _) in enumerate(loads.shares):
            for s, work in enumerate(plan.variants.get(order.model, order.options).work):
                for t, time, kind in zip(work.tasks, loads.times_of(v, s), work.shapes, strict=True):
                    self.mean_s[t, v] = people[t] * time
                    self.variance[t, v] = (people[t] * sds[kind]) ** 2
        self.people: list[int] = plan.crews.people.tolist()

    @cached_property
    def crew_stations(self) -> tuple[tuple[int, ...], ...]:
        """Stations of each crew at which people have work, by number."""
        covers, busy = (
            self.plan.stations.crews.tolists(),
            {s for t, s in enumerate(self.at) if self.is_done(t)},
        )
        return tuple(
            tuple(s for s, crews in enumerate(covers) if c in crews and s in busy)
            for c in range(len(self.people))
        )

    @cached_property
    def posts(self) -> tuple[Post, ...]:
        """The stations, in the order of the plan."""
        plan = self.plan
        found = []
        for s, station in enumerate(plan.names.station):
            section = int(plan.stations.section[s])
            takt, pacing = int(plan.sections.takt[section]), int(plan.sections.pacing[section])
            crews = tuple(plan.stations.crews[s].tolist())
            people = sum(self.people[c] / max(1, len(self.crew_stations[c])) for c in crews)
            hands = sum(self.people[c] * min(1.0, GATHER / max(1, len(self.crew_stations[c]))) for c in crews)
            window = takt + int(plan.stations.early[s]) + int(plan.stations.late[s])
            if pacing == INDEXED:
                takt = window = takt - int(plan.sections.transfer[section])
            if pacing == FREE:
                takt = window = takt * max(1, int(plan.stations.places[s]))
            name = plan.names.section[section]
            found.append(Post(station, name, crews, people, hands, seconds(takt), seconds(window)))
        return tuple(found)

    def is_done(self, t: int) -> bool:
        """Return whether people have work with a task, on any variant."""
        return bool(self.mean_s[t].any())

    def part(self, c: int, t: int, s: int) -> float:
        """Return which part of a task crew ``c`` does if it is done at station ``s``."""
        named = self.plan.tasks.crews[t].tolist() if self._is_named(t) else self.posts[s].crews
        there = sum(self.people[other] for other in named)
        return self.people[c] / there if c in named and there else 0.0

    def _is_named(self, t: int) -> bool:
        """Return whether a task names its crews: not all of those at its station may do it."""
        return set(self.plan.tasks.crews[t].tolist()) != set(self.posts[self.at[t]].crews)

    def station_loads(self, at: Sequence[int], s: int) -> tuple[FloatArray, FloatArray]:
        """Return work [person-s] and its variance at a station, by variant."""
        mine = [t for t, place in enumerate(at) if place == s]
        return self.mean_s[mine].sum(axis=0), self.variance[mine].sum(axis=0)

    @cached_property
    def parts(self) -> FloatArray:
        """Which part of a task a crew does if it is done at a station, shape ``(crews, stations, tasks)``."""
        return np.array(
            [[[self.part(c, t, s) for t in range(len(self.at))] for s in range(len(self.posts))]
             for c in range(len(self.people))]
        )  # fmt: skip

    def crew_parts(self, at: Sequence[int], c: int, s: int) -> FloatArray:
        """Return which part of each task crew ``c`` does at station ``s``; 0 for those done elsewhere."""
        return np.where(np.array(at) == s, self.parts[c, s], 0.0)

    def moments(self, parts: FloatArray) -> tuple[float, float]:
        """Return mean and variance over jobs of some parts of the tasks [person-s]."""
        work = parts @ self.mean_s
        centre = float(work @ self.share)
        return centre, float((work - centre) ** 2 @ self.share + parts**2 @ self.variance @ self.share)

    def crew_load(self, at: Sequence[int], c: int) -> tuple[float, float]:
        """Return mean and variance of all that a crew has to do in a takt [person-s].

        At each of its stations stands another job, so that the variants there are independent.
        """
        found = [self.moments(self.crew_parts(at, c, s)) for s in self.crew_stations[c]]
        return sum(mean for mean, _ in found), sum(variance for _, variance in found)

    def shift(self, c: int, t: int, s: int) -> tuple[float, float]:
        """Return how mean and variance of a crew's load change if task ``t`` alone moves to station ``s``."""
        mean = variance = 0.0
        for place, part in ((self.at[t], 0.0), (s, self.parts[c, s, t])):
            if place in self.crew_stations[c]:
                parts = self.crew_parts(self.at, c, place)
                before = self.moments(parts)
                parts[t] = part
                after = self.moments(parts)
                mean, variance = mean + after[0] - before[0], variance + after[1] - before[1]
        return mean, variance

    def crew_takt_s(self, c: int) -> float:
        """Return the longest takt that a crew works to [s]."""
        return max((self.posts[s].takt_s for s in self.crew_stations[c]), default=0.0)

    def fit(self, at: Sequence[int]) -> Fit:
        """Return what does not fit with each task at a station.

        Args:
            at: Number of the station of each task.
        """
        stations = []
        for s, post in enumerate(self.posts):
            work, variance = self.station_loads(at, s)
            above = excess(work, post.hands * post.window_s, np.sqrt(variance)) @ self.share
            stations.append(max(float(above), float(work @ self.share) - post.hands * post.takt_s, 0.0))
        crews = []
        for c, its in enumerate(self.crew_stations):
            centre, spread = self.crew_load(at, c)
            limit = self.people[c] * self.crew_takt_s(c)
            above = excess(np.array(centre), limit, np.sqrt(spread))
            crews.append(float(above) if len(its) > 1 else 0.0)
        return Fit(tuple(stations), tuple(crews))


def excess(load: FloatArray, limit: float, sd: FloatArray) -> FloatArray:
    """Return how much of a normal load is expected above a limit.

    Args:
        load: Mean load.
        limit: What fits.
        sd: Standard deviation of the load, >= 0; 0 is a constant load.

    Examples:
        >>> excess(np.array([54.0, 54.0]), 60.0, np.array([5.4, 0.0])).round(8)
        array([0.36247771, 0.        ])
    """
    over, spread = load - limit, np.maximum(sd, 1e-12)
    z = over / spread
    middle = spread * np.exp(-(z**2) / 2) / np.sqrt(2 * np.pi)
    return np.asarray(middle + over * special.ndtr(z), dtype=np.float64)
