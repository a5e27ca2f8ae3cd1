"""SimPy as the clock: the only file of the engine that knows SimPy.

Every timer is a SimPy timeout. What rings at one tick is gathered until the next timeout lies
later; then the whole instant is handed over at once, in an order of our own.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import simpy

#: (rank, first index, second index, serial, whatever the handler needs). The first four decide the
#: order within an instant; serials never repeat, so the last is never compared.
Entry = tuple[int, int, int, int, Any]


class Clock:
    """Time in whole ticks, and the entries due at each instant."""

    __slots__ = ("_due", "_environment", "_serial", "_settle", "now")

    def __init__(
        self,
        settle: Callable[[list[Entry]], None],
        environment: simpy.Environment | None = None,
    ) -> None:
        self._environment = environment if environment is not None else simpy.Environment()
        self._settle = settle
        self._due: list[Entry] = []
        self._serial = 0
        self.now = 0

    def serial(self) -> int:
        """Return a number that was never given out before."""
        self._serial += 1
        return self._serial

    def at(self, tick: int, entry: Entry) -> None:
        """Have ``entry`` handed over at ``tick``, which must not lie in the past."""
        timeout = simpy.Timeout(self._environment, tick - self.now, entry)
        assert timeout.callbacks is not None
        timeout.callbacks.append(self._ring)

    def run(self, until: int) -> None:
        """Let instants pass up to, and without, the tick ``until``."""
        self._environment.run(until=until)
        self.now = until

    def _ring(self, timeout: simpy.Event) -> None:
        entry: Entry = timeout.value  # type: ignore[assignment]
        self._due.append(entry)
        environment = self._environment
        if environment.peek() > environment.now:
            self.now = int(environment.now)
            due, self._due = self._due, []
            due.sort()
            self._settle(due)
