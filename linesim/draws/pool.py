"""A pool of orders that waits to be put in sequence, under spacing rules."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from itertools import accumulate

import numpy as np

from linesim.draws.spacing import counts
from linesim.plan.orders import PlannedOrder, PlannedSpacing

NEVER = 1 << 60  #: Cost of a kind of which none is left, beyond all others.


class Pool:
    """Orders of some days, part of them already in sequence.

    Orders that are alike make one *kind*; kinds that the same rules count make one *class*, because
    for the rules they are interchangeable. Orders can be placed at the end of the sequence and taken
    back from it, which is all that a search needs.

    Args:
        orders: The orders to arrange, in the order in which they were drawn.
        spacings: The rules.
        before: The jobs in front of the pool, the last one last.
    """

    def __init__(
        self,
        orders: Sequence[PlannedOrder],
        spacings: Sequence[PlannedSpacing],
        before: Sequence[PlannedOrder],
    ) -> None:
        tally = Counter(orders)
        #: The different orders, by model and then by options in file order.
        self.kinds = sorted(tally)
        self.left = [tally[kind] for kind in self.kinds]
        self.used = [0] * len(self.kinds)
        self.sequence: list[int] = []
        #: What each kind costs as the next job: the least is wished most. `NEVER` more where none is left.
        self.costs = np.zeros(len(self.kinds), dtype=np.int64)
        #: What keeps them up to date: called with the kind and 1 once it is placed, -1 once it is taken back.
        self.count: Callable[[int, int], None] = lambda kind, step: None
        by_rule = [[int(counts(spacing, kind)) for kind in self.kinds] for spacing in spacings]
        marks = list(zip(*by_rule, strict=True)) if spacings else [()] * len(self.kinds)
        #: For each rule, whether it counts the jobs of a class: ``classes[c][r]``.
        self.classes = sorted(set(marks), reverse=True)
        self.class_of = [self.classes.index(mark) for mark in marks]
        #: The kinds of each class.
        of = np.array(self.class_of, dtype=np.int64)
        self.members = [np.flatnonzero(of == c) for c in range(len(self.classes))]
        self._class_left = [sum(self.left[kind] for kind in own.tolist()) for own in self.members]
        #: Each rule: running totals of its jobs in sequence, how many of how many, the total once none waits.
        self._rules: list[tuple[list[int], int, int, int]] = []
        for spacing, row in zip(spacings, by_rule, strict=True):
            sums = list(accumulate((counts(spacing, order) for order in before), initial=0))
            waiting = sum(n for n, mark in zip(self.left, row, strict=True) if mark)
            self._rules.append((sums, spacing.at_most, spacing.in_any, sums[-1] + waiting))
        self.n_left = len(orders)

    def place(self, kind: int) -> None:
        """Put one order of ``kind`` at the end of the sequence."""
        c = self.class_of[kind]
        self.n_left -= 1
        self.left[kind] -= 1
        self.used[kind] += 1
        self._class_left[c] -= 1
        if self.left[kind] == 0:
            self.costs[kind] += NEVER
        self.sequence.append(kind)
        for (sums, _, _, _), mark in zip(self._rules, self.classes[c], strict=True):
            sums.append(sums[-1] + mark)
        self.count(kind, 1)

    def take_back(self) -> None:
        """Take the last order of the sequence back into the pool."""
        kind = self.sequence.pop()
        self.n_left += 1
        if self.left[kind] == 0:
            self.costs[kind] -= NEVER
        self.left[kind] += 1
        self.used[kind] -= 1
        self._class_left[self.class_of[kind]] += 1
        for sums, _, _, _ in self._rules:
            sums.pop()
        self.count(kind, -1)

    def open_classes(self) -> list[int]:
        """Return the classes of which orders wait."""
        return [c for c, number in enumerate(self._class_left) if number]

    def broken_by(self, c: int) -> int:
        """Return how many rules have a broken window at their end once class ``c`` comes next."""
        broken = 0
        for (sums, at_most, in_any, _), mark in zip(self._rules, self.classes[c], strict=True):
            broken += sums[-1] + mark - sums[max(0, len(sums) - in_any)] > at_most
        return broken

    def has_room_for(self, c: int) -> bool:
        """Return whether class ``c`` may come next: no window is broken then, and all that waits has room."""
        places = self.n_left - 1
        for (sums, at_most, in_any, total), mark in zip(self._rules, self.classes[c], strict=True):
            seen = sums[-1] + mark
            if seen - sums[-in_any if in_any < len(sums) else 0] > at_most:
                return False
            if total - seen > places // in_any * min(at_most, in_any):  # else no need to look closer
                return self.broken_by(c) == 0 and self.excess_after(c) == 0
        return True

    def excess_after(self, c: int | None) -> int:
        """Return how many waiting orders can no longer be placed within the rules once ``c`` is next.

        The places left are cut, from the last one backwards, into windows that do not overlap. Each
        holds at most what its rule says; the foremost one may reach back into the sequence and is the
        fuller for it. What does not fit there fits nowhere, so 0 is necessary (for a single rule also
        enough). None asks for the pool as it stands.
        """
        places = self.n_left - (c is not None)
        excess = 0
        for r, (sums, at_most, in_any, total) in enumerate(self._rules):
            mark = self.classes[c][r] if c is not None else 0
            whole, rest = divmod(places, in_any)
            too_many = total - sums[-1] - mark - whole * min(at_most, in_any)
            if too_many > 0 and rest:
                reach = in_any - rest - (c is not None)  # places of the foremost window in the sequence
                behind = sums[-1] - sums[max(0, len(sums) - 1 - reach)] + mark
                too_many -= max(0, min(rest, at_most - behind))
            excess += max(0, too_many)
        return excess

    def strain(self, c: int) -> int:
        """Return how much of what the rules still allow the waiting orders of class ``c`` will use up.

        The sum, over the rules that count it, of needed over available places, in millionths: the
        dynamic sum of utilisation rates of Gottlieb, Puchta, Solnon, "A study of greedy, local search
        and ant colony optimization approaches for car sequencing problems", EvoWorkshops 2003,
        LNCS 2611, 246-257.
        """
        return sum(
            1_000_000 * (total - sums[-1]) * in_any // (max(1, at_most) * self.n_left)
            for r, (sums, at_most, in_any, total) in enumerate(self._rules)
            if self.classes[c][r]
        )
