"""Time accounts: for each thing, how long it was in each state."""

from __future__ import annotations

import numpy as np

from linesim.plan.arrays import IntArray


class StateAccount:
    """The time that ``n`` things spend in ``n_states`` states, each in exactly one at any moment."""

    __slots__ = ("_n_states", "_since", "_totals", "state")

    def __init__(self, n: int, n_states: int, state: int = 0) -> None:
        self._n_states = n_states
        self.state = [state] * n  #: what each is now
        self._since = [0] * n
        self._totals = [[0] * n_states for _ in range(n)]

    def switch(self, i: int, state: int, now: int) -> None:
        """Note that thing ``i`` is in ``state`` from ``now`` on."""
        self._totals[i][self.state[i]] += now - self._since[i]
        self.state[i] = state
        self._since[i] = now

    def restart(self, now: int) -> None:
        """Forget what was before ``now``."""
        self._since = [now] * len(self.state)
        self._totals = [[0] * self._n_states for _ in self.state]

    def totals(self, now: int) -> IntArray:
        """Return the ticks up to ``now``, shape ``(things, states)``; every row sums to the whole time."""
        for i, state in enumerate(self.state):
            self.switch(i, state, now)
        return np.array(self._totals, dtype=np.int64).reshape(len(self.state), self._n_states)


class LevelAccount:
    """The time that ``n`` quantities spend at each whole level, for levels that have no upper end."""

    __slots__ = ("_level", "_since", "_totals")

    def __init__(self, n: int) -> None:
        self._level = [0] * n
        self._since = [0] * n
        self._totals: list[dict[int, int]] = [{} for _ in range(n)]

    def switch(self, i: int, level: int, now: int) -> None:
        """Note that quantity ``i`` is at ``level`` from ``now`` on."""
        totals, old = self._totals[i], self._level[i]
        totals[old] = totals.get(old, 0) + now - self._since[i]
        self._level[i] = level
        self._since[i] = now

    def change(self, i: int, by: int, now: int) -> None:
        """Note that quantity ``i`` changes by ``by`` at ``now``."""
        self.switch(i, self._level[i] + by, now)

    def restart(self, now: int) -> None:
        """Forget what was before ``now``."""
        self._since = [now] * len(self._level)
        self._totals = [{} for _ in self._level]

    def levels(self, now: int) -> tuple[IntArray, ...]:
        """Return, per quantity, the ticks at level 0, 1, 2, … up to ``now``."""
        rows = []
        for i, level in enumerate(self._level):
            self.switch(i, level, now)
            totals = self._totals[i]
            row = np.zeros(max(totals) + 1, dtype=np.int64)
            for at, ticks in totals.items():
                row[at] = ticks
            rows.append(row)
        return tuple(rows)

    def integrals(self, now: int) -> IntArray:
        """Return, per quantity, level times ticks summed up to ``now``."""
        return np.array(
            [int(row @ np.arange(len(row), dtype=np.int64)) for row in self.levels(now)], dtype=np.int64
        )
