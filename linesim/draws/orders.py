"""The sequence: which job comes when."""

from __future__ import annotations

from threading import Lock

from linesim.draws.arrange import arrange
from linesim.draws.mix import Mix
from linesim.draws.spacing import SpacingCheck, violations
from linesim.draws.streams import Streams
from linesim.plan.orders import PlannedOrder, PlannedOrders

POOL = 100  #: Orders arranged at a time, about a shift's; a rule that looks further back makes it longer.

_KEPT = 256  #: Pools remembered, about a kilobyte each: all cases of a study read them.


class JobSequence:
    """The jobs of one replication in the order in which they come onto the segment.

    - ``random`` without spacing rules: job ``j`` is the ``j``-th order drawn (see `Mix`).
    - ``levelled``, or ``random`` with spacing rules: as a planner does, orders are collected in pools of
      100 and each pool is put in sequence (see `arrange`), by goal chasing or near the order as drawn.
      The next pool minds the end of the one before. The number of each option in a pool is as drawn.
    - ``listed``: as written, from the start again after the last where the list repeats. Spacing rules
      don't move a listed job; they are only checked.

    ``sequence[job]`` doesn't depend on what was read before. Some pools are kept; an older one is
    arranged anew when it is asked for (with spacing rules from the first pool on, which takes time).

    Args:
        orders: The order book.
        streams: The streams of the replication.
    """

    __slots__ = ("_is_pooled", "_lock", "_mix", "_orders", "_pools", "_reach", "_size")

    def __init__(self, orders: PlannedOrders, streams: Streams) -> None:
        self._orders = orders
        self._mix = Mix(orders, streams)
        self._is_pooled = orders.sequence == "levelled" or bool(orders.spacings)
        self._reach = max((spacing.in_any for spacing in orders.spacings), default=1) - 1
        self._size = max(POOL, self._reach)
        self._pools: dict[int, list[PlannedOrder]] = {}
        self._lock = Lock()

    def __getitem__(self, job: int) -> PlannedOrder | None:
        """Return job ``job`` (counted from 0), or None after the last order of a list that ends."""
        return self.orders(job, 1)[0]

    def orders(self, first: int, n: int) -> list[PlannedOrder | None]:
        """Return ``n`` jobs from job ``first`` on, None after the last order of a list that ends."""
        if first < 0:
            raise IndexError(f"job must be >= 0, got {first}")
        if self._orders.sequence == "listed":
            listed = self._orders.listed
            n_there = n if self._orders.repeats and listed else max(0, min(n, len(listed) - first))
            there = [listed[job % len(listed)] for job in range(first, first + n_there)]
            return [*there, *[None] * (n - n_there)]
        with self._lock:
            if not self._is_pooled:
                return [*self._mix.orders(first, n)]
            whole: list[PlannedOrder | None] = []
            for number in range(first // self._size, (first + n - 1) // self._size + 1):
                whole += self._pool(number)
            skipped = first % self._size
            return whole[skipped : skipped + n]

    def spacing_checks(self, n_jobs: int) -> tuple[SpacingCheck, ...]:
        """Return how the first ``n_jobs`` jobs keep each spacing rule, in the order of the rules.

        A rule that the generator could not keep has ``broken > 0``; ``is_hopeless`` tells that no other
        sequence of these jobs would have kept it either.
        """
        jobs = self.orders(0, n_jobs)
        return violations((order for order in jobs if order is not None), self._orders.spacings)

    def _pool(self, number: int) -> list[PlannedOrder]:
        """Return pool ``number`` in sequence, arranging those it depends on where they are not kept."""
        if number in self._pools:
            return self._pools[number]
        first = number
        if self._reach:
            while first > 0 and first - 1 not in self._pools:
                first -= 1
        pool = self._pools.get(first - 1, [])
        for b in range(first, number + 1):
            pool = arrange(
                self._mix.orders(b * self._size, self._size),
                levelled=self._orders.sequence == "levelled",
                spacings=self._orders.spacings,
                before=pool[len(pool) - self._reach :] if pool and self._reach else [],
            )
            if len(self._pools) >= _KEPT:
                del self._pools[next(iter(self._pools))]
            self._pools[b] = pool
        return pool
