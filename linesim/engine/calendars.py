"""Working time: when sections, crews and robots are on."""

from __future__ import annotations

from bisect import bisect_right

from linesim.plan.tables import Calendar


class WorkingTime:
    """One calendar, read from tick to tick."""

    __slots__ = ("_edges", "_period", "changes", "is_on")

    def __init__(self, calendar: Calendar) -> None:
        self._period = calendar.period
        # Spans that touch leave their border twice, and working time goes on through it.
        self._edges = sorted(edge for span in calendar.on for edge in span)
        turns = {edge % self._period for edge in self._edges}
        self.changes = sorted(
            edge for edge in turns if self.on_at(edge) != self.on_at(edge + self._period - 1)
        )
        self.is_on = self.on_at(0)

    def on_at(self, tick: int) -> bool:
        """Return whether ``tick`` is working time."""
        return bisect_right(self._edges, tick % self._period) % 2 == 1

    def next_change(self, tick: int) -> int | None:
        """Return the first tick after ``tick`` at which working time begins or ends, or None."""
        if not self.changes:
            return None
        turn, phase = divmod(tick, self._period)
        later = bisect_right(self.changes, phase)
        if later < len(self.changes):
            return turn * self._period + self.changes[later]
        return (turn + 1) * self._period + self.changes[0]
