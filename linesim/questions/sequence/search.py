"""Orders that let people drift least: all of them where they are few, else a search near good ones."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linesim.capacity.balance import Balance
from linesim.draws.spacing import counts
from linesim.plan.orders import PlannedOrder, PlannedSpacing
from linesim.plan.tables import FREE, FloatArray
from linesim.theory.departures import drift_overloads

IntArray = NDArray[np.int64]
FEW = 5000  #: So many different orders are gone through one by one.
NEAR = 60_000  #: Places of all the exchanges and shifts together that are looked at in each step of a search.
STEPS = 100  #: Steps of a search at most.
#: What a broken window, a second of drift where nobody has time to spare, and a place moved weigh in seconds
#: of overload: the first comes before everything, the others decide between equals.
BROKEN, _DRIFT, _A_PLACE = 1e6, 1e-2, 1e-4


@dataclass(frozen=True, slots=True)
class Team:
    """Who drifts as one worker: the people at a station, or a crew of several stations.

    Attributes:
        name, kind: The station, or the crew.
        work_s: Work of each order of the list for each person [s], a row for each station, shape
            ``(stations, orders)``; stations further down the line have an order as many takts later.
        later: Takts after which each station has an order.
        takt_s, window_s: Time between two orders, and in which the work on one has to be done.
        people: How many work side by side.
    """

    name: str
    kind: str
    work_s: FloatArray
    later: tuple[int, ...]
    takt_s: float
    window_s: float
    people: float

    def load(self, many: IntArray) -> FloatArray:
        """Return the work of each takt for each person, for each of many orders."""
        n = many.shape[1]
        if self.later == (0,):
            return np.take(self.work_s[0], many)
        found = np.zeros((len(many), n + max(self.later)))
        for work, later in zip(self.work_s, self.later, strict=True):
            found[:, later : later + n] += work[many]
        return found

    def overload(self, many: IntArray) -> FloatArray:
        """Return the work [person-s] that it cannot do within its window, for each of many orders."""
        return self.people * drift_overloads(self.load(many), self.takt_s, self.window_s)[0]

    def judged(self, many: IntArray) -> FloatArray:
        """Return overload, and drift with no time to spare, in proportion to what there is to do."""
        load = self.load(many)
        over, _ = drift_overloads(load, self.takt_s, self.window_s)
        mean = float(self.work_s.mean(axis=1).sum())
        if mean <= 0:
            return self.people * over
        _, drift = drift_overloads(load, mean, math.inf)
        return self.people * (over + _DRIFT * (mean / self.takt_s) ** 2 * drift)


def teams_of(balance: Balance, orders: Sequence[PlannedOrder]) -> tuple[Team, ...]:
    """Return who drifts along the paced sections of a line while a list is built."""
    pacing, section = balance.plan.sections.pacing, balance.plan.stations.section
    paced = [int(pacing[int(s)]) != FREE for s in section]
    known = [order for order, _ in balance.loads.shares]
    variants = [known.index(order) for order in orders]
    found = []
    for s, post in enumerate(balance.posts):
        work, _ = balance.station_loads(balance.at, s)
        if paced[s] and post.hands and work.any():
            each = work[None, variants] / post.hands
            window = max(post.window_s, post.takt_s)
            found.append(Team(post.station, "station", each, (0,), post.takt_s, window, post.hands))
    for c, its in enumerate(balance.crew_stations):
        if len(its) > 1 and balance.people[c] and any(paced[s] for s in its):
            work = np.array([balance.crew_parts(balance.at, c, s) @ balance.mean_s for s in its])
            takt = balance.crew_takt_s(c)
            window = max(takt, float(np.mean([balance.posts[s].window_s for s in its])))
            found.append(
                Team(
                    balance.plan.names.crew[c], "crew", work[:, variants] / balance.people[c],
                    tuple(s - its[0] for s in its), takt, window, balance.people[c],
                )
            )  # fmt: skip
    return tuple(found)


class DriftSearch:
    """Judges orders of one list: rules first, then what people cannot do, then how far they drift.

    Args:
        teams: Who drifts.
        orders: The list as it came.
        due: Place at which each order is due, counted from 0.
        rules: Spacing rules.
        within: Most places that an order moves from where it is due; None for any.
    """

    def __init__(
        self,
        teams: Sequence[Team],
        orders: Sequence[PlannedOrder],
        due: Sequence[int],
        rules: Sequence[PlannedSpacing],
        within: int | None,
    ) -> None:
        self.teams, self.orders, self.rules, self.within = teams, tuple(orders), tuple(rules), within
        self.due: IntArray = np.array(due)
        self._marks = np.array([[counts(rule, order) for order in orders] for rule in rules], dtype=np.int64)
        self._near = _near(len(orders))

    def broken(self, many: IntArray) -> IntArray:
        """Return how many full windows break a rule, over all rules, for each of many orders."""
        found = np.zeros(len(many), dtype=np.int64)
        for rule, marks in zip(self.rules, self._marks, strict=True):
            if rule.in_any <= many.shape[1]:
                sums = np.cumsum(np.pad(marks[many], ((0, 0), (1, 0))), axis=1)
                found += (sums[:, rule.in_any :] - sums[:, : -rule.in_any] > rule.at_most).sum(axis=1)
        return found

    def moved(self, many: IntArray) -> IntArray:
        """Return how far each order stands from where it is due, for each of many orders."""
        away: IntArray = np.take(self.due, many) - np.arange(many.shape[1])
        return np.abs(away)

    def cost(self, many: IntArray) -> FloatArray:
        """Return what is made small, for each of many orders; infinite where one is moved too far."""
        moved = self.moved(many)
        total = BROKEN * self.broken(many) + _A_PLACE * moved.sum(axis=1)
        for team in self.teams:
            total = total + team.judged(many)
        return total if self.within is None else np.where((moved > self.within).any(axis=1), np.inf, total)

    def cost_of(self, one: Sequence[int]) -> float:
        """Return what is made small, for one order."""
        return float(self.cost(np.array([one]))[0])

    def overload(self, one: Sequence[int]) -> float:
        """Return what all teams cannot do within their windows, over one order [person-s]."""
        return float(sum(team.overload(np.array([one]))[0] for team in self.teams))

    def of_kinds(self, kinds: Sequence[PlannedOrder]) -> tuple[int, ...]:
        """Return which orders of the list make a sequence of kinds: of each kind those due first."""
        waiting: dict[PlannedOrder, list[int]] = {}
        for number in sorted(range(len(self.orders)), key=lambda i: (int(self.due[i]), i)):
            waiting.setdefault(self.orders[number], []).append(number)
        return tuple(waiting[kind].pop(0) for kind in kinds)

    def from_start(self, start: Sequence[int]) -> tuple[int, ...]:
        """Return the best order that exchanges and shifts, one after the other, lead to."""
        here: IntArray = np.array(start)
        cost = float(self.cost(here[None])[0])
        for _ in range(STEPS):
            ahead = here[self._near]
            costs = self.cost(ahead)
            best = int(np.argmin(costs))
            if not costs[best] < cost - 1e-9:
                break
            here, cost = ahead[best], float(costs[best])
        return tuple(here.tolist())

    def best_of_all(self) -> tuple[int, ...] | None:
        """Return the best of all orders where they are few; None where they are many."""
        kinds = list(dict.fromkeys(self.orders))
        numbers = [self.orders.count(kind) for kind in kinds]
        ways = math.factorial(len(self.orders)) // math.prod(map(math.factorial, numbers))
        if ways > FEW:
            return None
        every = np.array([self.of_kinds([kinds[k] for k in order]) for order in all_orders(numbers)])
        return tuple(every[int(np.argmin(self.cost(every)))].tolist())


def _near(n: int) -> IntArray:
    """Return the sequences that exchange two places of a list or shift one, the near ones first."""
    rows: list[list[int]] = []
    for far in range(1, n):
        if rows and (len(rows) + 3 * n) * n > NEAR:
            break
        for i in range(n - far):
            j, plain = i + far, list(range(n))
            swapped = plain.copy()
            swapped[i], swapped[j] = j, i
            rows.append(swapped)
            if far > 1:
                rows.append([*plain[:i], *plain[i + 1 : j + 1], i, *plain[j + 1 :]])
                rows.append([*plain[:i], j, *plain[i:j], *plain[j + 1 :]])
    return np.array(rows)


def all_orders(counts: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """Yield every distinct order of ``counts[k]`` jobs of each kind ``k``, in lexical order."""
    left = list(counts)
    order: list[int] = []

    def extend() -> Iterator[tuple[int, ...]]:
        if len(order) == sum(counts):
            yield tuple(order)
            return
        for kind in range(len(left)):
            if left[kind]:
                left[kind] -= 1
                order.append(kind)
                yield from extend()
                order.pop()
                left[kind] += 1

    return extend()
