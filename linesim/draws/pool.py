"""A pool of orders that waits to be put in sequence, under spacing rules."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

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
        self.kinds = sorted(tally, key=lambda order: (order.model, order.options))
        self.left = [tally[kind] for kind in self.kinds]
        self.used = [0] * len(self.kinds)
        self.sequence: list[int] = []
        self._limits = [(spacing.at_most, spacing.in_any) for spacing in spacings]
        marks = [tuple(int(counts(spacing, kind)) for spacing in spacings) for kind in self.kinds]
        #: For each rule, whether it counts the jobs of a class: ``classes[c][r]``.
        self.classes = sorted(set(marks), reverse=True)
        self.class_of = [self.classes.index(mark) for mark in marks]
        #: The kinds of each class, and which kinds have none left: `NEVER` there, else 0.
        self.members = [
            np.array([kind for kind, own in enumerate(self.class_of) if own == c], dtype=np.int64)
            for c in range(len(self.classes))
        ]
        self.gone = np.zeros(len(self.kinds), dtype=np.int64)
        self._class_left = [0] * len(self.classes)
        for kind, number in enumerate(self.left):
            self._class_left[self.class_of[kind]] += number
        #: Jobs of each rule that wait, and running totals of those in sequence.
        self._waiting = [
            sum(number * marks[kind][r] for kind, number in enumerate(self.left))
            for r in range(len(spacings))
        ]
        self._sums: list[list[int]] = []
        for spacing in spacings:
            sums = [0]
            for order in before:
                sums.append(sums[-1] + counts(spacing, order))
            self._sums.append(sums)
        self.n_left = len(orders)

    def place(self, kind: int) -> None:
        """Put one order of ``kind`` at the end of the sequence."""
        self._move(kind, 1)
        self.sequence.append(kind)
        for sums, mark in zip(self._sums, self.classes[self.class_of[kind]], strict=True):
            sums.append(sums[-1] + mark)

    def take_back(self) -> None:
        """Take the last order of the sequence back into the pool."""
        self._move(self.sequence.pop(), -1)
        for sums in self._sums:
            sums.pop()

    def _move(self, kind: int, step: int) -> None:
        self.left[kind] -= step
        self.gone[kind] = 0 if self.left[kind] else NEVER
        self.used[kind] += step
        self.n_left -= step
        self._class_left[self.class_of[kind]] -= step
        for r, mark in enumerate(self.classes[self.class_of[kind]]):
            self._waiting[r] -= step * mark

    def open_classes(self) -> list[int]:
        """Return the classes of which orders wait."""
        return [c for c, number in enumerate(self._class_left) if number]

    def broken_by(self, c: int) -> int:
        """Return how many rules have a broken window at their end once class ``c`` comes next."""
        broken = 0
        for sums, (at_most, in_any), mark in zip(self._sums, self._limits, self.classes[c], strict=True):
            broken += sums[-1] + mark - sums[max(0, len(sums) - in_any)] > at_most
        return broken

    def excess_after(self, c: int | None) -> int:
        """Return how many waiting orders can no longer be placed within the rules once ``c`` is next.

        The places left are cut, from the last one backwards, into windows that do not overlap. Each
        holds at most what its rule says; the foremost one may reach back into the sequence and is the
        fuller for it. What does not fit there fits nowhere, so 0 is necessary (for a single rule also
        enough). None asks for the pool as it stands.
        """
        places = self.n_left - (c is not None)
        excess = 0
        for r, (at_most, in_any) in enumerate(self._limits):
            mark = self.classes[c][r] if c is not None else 0
            whole, rest = divmod(places, in_any)
            room = whole * min(at_most, in_any)
            if rest:
                sums = self._sums[r]
                reach = in_any - rest - (c is not None)  # places of the foremost window in the sequence
                behind = sums[-1] - sums[max(0, len(sums) - 1 - reach)] + mark
                room += max(0, min(rest, at_most - behind))
            excess += max(0, self._waiting[r] - mark - room)
        return excess

    def strain(self, c: int) -> int:
        """Return how much of what the rules still allow the waiting orders of class ``c`` will use up.

        The sum, over the rules that count it, of needed over available places, in millionths: the
        dynamic sum of utilisation rates of Gottlieb, Puchta, Solnon, "A study of greedy, local search
        and ant colony optimization approaches for car sequencing problems", EvoWorkshops 2003,
        LNCS 2611, 246-257.
        """
        return sum(
            1_000_000 * self._waiting[r] * in_any // (max(1, at_most) * self.n_left)
            for r, (at_most, in_any) in enumerate(self._limits)
            if self.classes[c][r]
        )
