"""When each job leaves each station of a free-running line: an exact recursion, no events."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from linesim.theory.departures import LineTimes, Times, line_times


def departure_times(work: ArrayLike, *, takt: float = 0.0, places: int | Sequence[int] = 0) -> Times:
    """Return when each job leaves each station [s], shape of ``work``; see ``line_times``.

    Examples:
        Station 2 needs 30 s at a takt of 20 s, so it sets the pace and holds up station 1; a place
        between them lets station 1 run ahead by one job:

        >>> departure_times([[10, 30], [10, 30], [10, 30]], takt=20)
        array([[ 10.,  40.],
               [ 40.,  70.],
               [ 70., 100.]])
        >>> departure_times([[10, 30], [10, 30], [10, 30]], takt=20, places=1)
        array([[ 10.,  40.],
               [ 30.,  70.],
               [ 50., 100.]])
    """
    return line_times(work, takt=takt, places=places).leave


def waits_in_turn(
    gaps: Sequence[float], services: Sequence[float]
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return how long each job waits, and when it leaves, at one station with endless room before it.

    Args:
        gaps: Time before each arrival [s], >= 0; the first counts from time 0.
        services: Time each job takes [s], >= 0, as many.

    Notes:
        D. V. Lindley, Proceedings of the Cambridge Philosophical Society 48 (1952) 277-289.
    """
    if len(gaps) != len(services):
        raise ValueError(f"gaps and services must be of equal length, got {len(gaps)} and {len(services)}")
    now = free = 0.0
    waits, leaves = [], []
    for gap, service in zip(gaps, services, strict=True):
        now += gap
        begun = max(now, free)
        waits.append(begun - now)
        free = begun + service
        leaves.append(free)
    return tuple(waits), tuple(leaves)


def johnson_order(first: Sequence[float], second: Sequence[float]) -> tuple[int, ...]:
    """Return the order of jobs (from 0) that leaves two stations in a row soonest.

    Args:
        first: Time of each job at the first station.
        second: Time of each job at the second station, behind endless room.

    Notes:
        S. M. Johnson, Naval Research Logistics Quarterly 1 (1954) 61-68. Ties keep file order.
    """
    if len(first) != len(second):
        raise ValueError(f"first and second must be of equal length, got {len(first)} and {len(second)}")
    early = sorted((j for j in range(len(first)) if first[j] <= second[j]), key=lambda j: first[j])
    late = sorted((j for j in range(len(first)) if first[j] > second[j]), key=lambda j: -second[j])
    return (*early, *late)


def spent(made: LineTimes) -> tuple[Times, Times, Times]:
    """Return the time [s] in which each station works, holds a finished job, and waits for its jobs."""
    freed = np.vstack([np.zeros_like(made.leave[:1]), made.leave[:-1]])
    spans = made.finish - made.start, made.leave - made.finish, made.start - freed
    busy, blocked, starved = (np.asarray(span.sum(axis=0)) for span in spans)
    return busy, blocked, starved
