"""The sequence: which job comes when."""

from __future__ import annotations

from linesim.draws.mix import Mix
from linesim.draws.streams import Streams
from linesim.plan.orders import Order, Orders


class JobSequence:
    """The jobs of one replication in the order in which they come onto the segment.

    Args:
        orders: The order book.
        streams: The streams of the replication.
    """

    __slots__ = ("_mix", "_orders")

    def __init__(self, orders: Orders, streams: Streams) -> None:
        self._orders = orders
        self._mix = Mix(orders, streams)

    def __getitem__(self, job: int) -> Order | None:
        """Return job ``job`` (counted from 0), or None after the last order of a list that ends."""
        if job < 0:
            raise IndexError(f"job must be >= 0, got {job}")
        if self._orders.sequence == "listed":
            listed = self._orders.listed
            if job < len(listed) or (self._orders.repeats and listed):
                return listed[job % len(listed)]
            return None
        return self._mix[job]
