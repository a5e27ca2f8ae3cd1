"""Spacing rules, "at most p in any q in a row": who keeps them and where they are broken."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from linesim.plan.orders import PlannedOrder, PlannedSpacing

_SHOWN = 10  #: Places named of each rule; the count is complete.


@dataclass(frozen=True, slots=True)
class SpacingCheck:
    """How a sequence of jobs keeps one spacing rule.

    Attributes:
        name: The rule.
        jobs: Jobs that the rule counts.
        fit: Most such jobs that a sequence of this length can hold without breaking the rule.
        windows: Full windows looked at: the sequence's length less the window's, and one.
        broken: Windows with more such jobs than the rule allows.
        first: Jobs (counted from 0) at which the first ten broken windows begin.
    """

    name: str
    jobs: int
    fit: int
    windows: int
    broken: int
    first: tuple[int, ...]

    @property
    def is_hopeless(self) -> bool:
        """Whether these jobs break the rule in every order, because there are more than fit."""
        return self.jobs > self.fit


def counts(spacing: PlannedSpacing, order: PlannedOrder) -> bool:
    """Return whether ``spacing`` counts a job of ``order``."""
    if spacing.model >= 0:
        return order.model == spacing.model
    return bool(order.options >> spacing.option & 1)


def most_that_fit(spacing: PlannedSpacing, n_jobs: int) -> int:
    """Return the most jobs of the rule that ``n_jobs`` in a row can hold.

    >>> most_that_fit(PlannedSpacing("roof", -1, 0, at_most=1, in_any=3), 100)
    34
    """
    whole, rest = divmod(n_jobs, spacing.in_any)
    return whole * min(spacing.at_most, spacing.in_any) + min(spacing.at_most, rest)


def violations(
    orders: Iterable[PlannedOrder], spacings: Sequence[PlannedSpacing]
) -> tuple[SpacingCheck, ...]:
    """Return how ``orders``, in this order, keep each of ``spacings``.

    Only full windows count: a rule over 5 in a row has no window in a sequence of 4. Every window is
    counted by itself, so one job too many breaks several overlapping ones. The orders may come
    from a generator; no more than a window of them is kept.
    """
    trackers = [_Tracker(spacing) for spacing in spacings]
    for order in orders:
        for tracker in trackers:
            tracker.add(order)
    return tuple(tracker.result() for tracker in trackers)


class _Tracker:
    """One rule, job after job."""

    def __init__(self, spacing: PlannedSpacing) -> None:
        self._spacing = spacing
        self._window: deque[bool] = deque(maxlen=spacing.in_any)
        self._inside = self._jobs = self._seen = self._broken = 0
        self._first: list[int] = []

    def add(self, order: PlannedOrder) -> None:
        """Take the next job in."""
        if len(self._window) == self._spacing.in_any:
            self._inside -= self._window[0]
        mark = counts(self._spacing, order)
        self._window.append(mark)
        self._inside += mark
        self._jobs += mark
        self._seen += 1
        if self._inside > self._spacing.at_most and self._seen >= self._spacing.in_any:
            self._broken += 1
            if len(self._first) < _SHOWN:
                self._first.append(self._seen - self._spacing.in_any)

    def result(self) -> SpacingCheck:
        """Return what was found."""
        return SpacingCheck(
            name=self._spacing.name,
            jobs=self._jobs,
            fit=most_that_fit(self._spacing, self._seen),
            windows=max(0, self._seen - self._spacing.in_any + 1),
            broken=self._broken,
            first=tuple(self._first),
        )
