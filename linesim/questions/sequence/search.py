"""Orders that let crews drift least: all of them where they are few, else a search near good ones."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from linesim.capacity.balance import Balance
from linesim.draws.spacing import counts
from linesim.plan.arrays import FloatArray
from linesim.plan.orders import Order, Spacing
from linesim.plan.tables import FREE
from linesim.theory.drift import drift_overloads
from linesim.theory.sequences import all_orders

IntArray = NDArray[np.int64]
FEW = 5000  #: So many different orders are gone through one by one.
NEAR = 3000  #: Exchanges and shifts that are looked at in each step of a search.
STEPS = 80  #: Steps of a search at most.
_BROKEN_S, _A_PLACE_S = 1e6, 1e-4  #: What a broken window, and a place moved, weigh in seconds of overload.


class DriftSearch:
    """Judges orders of one list by how far crews drift past what they can reach.

    A crew is one displaced worker: in each takt it has the work of its stations on the jobs that stand there,
    and what it cannot do within its window is overload.

    Args:
        balance: The work of the line.
        orders: The list as it came.
        due: Place at which each order is due, counted from 0.
        rules: Spacing rules; broken windows weigh more than any overload.
        within: Most places that an order moves from where it is due; None for any.
    """

    def __init__(
        self,
        balance: Balance,
        orders: Sequence[Order],
        due: Sequence[int],
        rules: Sequence[Spacing],
        within: int | None,
    ) -> None:
        self.balance, self.orders, self.rules, self.within = balance, tuple(orders), tuple(rules), within
        self.due: IntArray = np.array(due)
        known = [order for order, _ in balance.loads.shares]
        self._variant: IntArray = np.array([known.index(order) for order in orders])
        self._marks = np.array([[counts(rule, order) for order in orders] for rule in rules], dtype=np.int64)
        self.crews = [c for c, its in enumerate(balance.crew_stations) if self._is_paced(its)]
        self._near = _near(len(orders))

    def _is_paced(self, stations: Sequence[int]) -> bool:
        sections = self.balance.plan.stations.section
        pacing = self.balance.plan.sections.pacing
        return any(int(pacing[int(sections[s])]) != FREE for s in stations)

    def overload(self, many: IntArray, c: int) -> FloatArray:
        """Return the work [person-s] that a crew cannot do within its window, for each of many orders.

        Args:
            many: Numbers of the orders in sequence, shape ``(sequences, orders)``.
            c: The crew.
        """
        balance, its = self.balance, self.balance.crew_stations[c]
        n, shift = many.shape[1], [s - its[0] for s in its]
        work = np.zeros((len(many), n + max(shift)))
        for s, later in zip(its, shift, strict=True):
            by_variant = balance.crew_parts(balance.at, c, s) @ balance.mean_s
            work[:, later : later + n] += by_variant[self._variant[many]]
        takt = balance.crew_takt_s(c)
        window = float(np.mean([balance.posts[s].window_s for s in its]))
        people = max(1, balance.people[c])
        return people * drift_overloads(work / people, takt, max(window, takt))

    def broken(self, many: IntArray) -> IntArray:
        """Return how many full windows break a rule, over all rules, for each of many orders."""
        found = np.zeros(len(many), dtype=np.int64)
        for rule, marks in zip(self.rules, self._marks, strict=True):
            if rule.in_any <= many.shape[1]:
                sums = np.cumsum(np.pad(marks[many], ((0, 0), (1, 0))), axis=1)
                found += (sums[:, rule.in_any :] - sums[:, : -rule.in_any] > rule.at_most).sum(axis=1)
        return found

    def cost(self, many: IntArray) -> FloatArray:
        """Return what is made small: broken windows, then overload, then places moved; infinite too far."""
        moved = np.abs(self.due[many] - np.arange(many.shape[1]))
        total = _BROKEN_S * self.broken(many) + _A_PLACE_S * moved.sum(axis=1)
        for c in self.crews:
            total = total + self.overload(many, c)
        return (
            np.where((moved > self.within).any(axis=1), np.inf, total) if self.within is not None else total
        )

    def total(self, one: Sequence[int]) -> float:
        """Return the overload of one order [person-s], all crews together."""
        return float(sum(self.overload(np.array([one]), c)[0] for c in self.crews))

    def of_kinds(self, kinds: Sequence[Order]) -> tuple[int, ...]:
        """Return which orders of the list make a sequence of kinds: of each kind those due first."""
        waiting: dict[Order, list[int]] = {}
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
        if len(rows) + 3 * n > NEAR and rows:
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
