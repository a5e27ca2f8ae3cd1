"""SimPy as the clock: the only file of the engine that knows SimPy.

Every timer is a SimPy timeout. What rings at one tick is gathered until the next timeout lies
later; then the whole instant is handed over at once, in an order of our own.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import count
from typing import Any

import simpy
from simpy.events import Timeout

Environment = simpy.Environment  #: what a run may be given as its clock

#: (rank, first index, second index, serial, whatever the handler needs). The first four decide the
#: order within an instant; serials never repeat, so the last is never compared.
Entry = tuple[int, int, int, int, Any]


class Clock:
    """Time in whole ticks, and the entries due at each instant.

    Attributes:
        now: The present tick.
        serial: Call it for a number that was never given out before.
    """

    __slots__ = ("_callbacks", "_due", "_environment", "_settle", "now", "serial")

    def __init__(
        self,
        settle: Callable[[list[Entry]], None],
        environment: simpy.Environment | None = None,
    ) -> None:
        self._environment = environment if environment is not None else simpy.Environment()
        self._settle = settle
        self._due: list[Entry] = []
        self._callbacks: list[Any] = [self._ring]  #: one list for all timeouts; SimPy only reads it
        self.now = 0
        self.serial: Callable[[], int] = count(1).__next__

    def at(self, tick: int, entry: Entry) -> None:
        """Have ``entry`` handed over at ``tick``, which must not lie in the past."""
        timeout = Timeout(self._environment, tick - self.now, entry)
        timeout.callbacks = self._callbacks

    def run(self, until: int) -> None:
        """Let instants pass up to, and without, the tick ``until``."""
        self._environment.run(until=until)
        self.now = until

    def _ring(self, timeout: simpy.Event) -> None:
        entry: Entry = timeout.value  # type: ignore[assignment]
        due, environment = self._due, self._environment
        due.append(entry)
        now = environment.now
        if environment.peek() > now:
            self.now = int(now)
            self._due = []
            if len(due) > 1:
                due.sort()
            self._settle(due)
