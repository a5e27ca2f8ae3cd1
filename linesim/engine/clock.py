"""SimPy as the clock: the only file of the engine that knows SimPy.

Every timer is a SimPy timeout. What rings at one tick is gathered until the next timeout lies
later; then the whole instant is handed over at once, in an order of our own.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from simpy import Environment as Environment
    from simpy import Event

#: (rank, first index, second index, serial, what): the first four decide the order within an instant;
#: serials never repeat, so the last is never compared.
Due = tuple[int, int, int, int, int]


class Clock:
    """Time in whole ticks, and what is due at each instant.

    Args:
        instant: Is handed each instant: its tick, and what is due in order.
        environment: SimPy environment to use; a fresh one if None.
    """

    __slots__ = ("_callbacks", "_due", "_environment", "_instant", "_timeout")

    def __init__(
        self, instant: Callable[[int, list[Due]], None], environment: Environment | None = None
    ) -> None:
        import simpy

        self._environment = environment if environment is not None else simpy.Environment()
        self._timeout = simpy.Timeout
        self._instant = instant
        self._due: list[Due] = []
        self._callbacks: list[Any] = [self._ring]  #: one list for all timeouts; SimPy only reads it

    def set_timer(self, at: int, due: Due) -> None:
        """Have ``due`` handed over at tick ``at``, which must not lie in the past."""
        environment = self._environment
        self._timeout(environment, at - environment.now, due).callbacks = self._callbacks

    def begin(self) -> None:
        """Let the first instant pass, in which nothing is due."""
        self._instant(int(self._environment.now), [])

    def run(self, until: int) -> None:
        """Let instants pass up to, and without, the tick ``until``."""
        if until > self._environment.now:
            self._environment.run(until=until)

    def _ring(self, timeout: Event) -> None:
        due, environment = self._due, self._environment
        due.append(timeout.value)  # type: ignore[arg-type]
        if environment.peek() > environment.now:
            self._due = []
            if len(due) > 1:
                due.sort()
            self._instant(int(environment.now), due)
