"""How a queue fills from empty: the mean wait of the first jobs, which a warm-up has to leave out."""

from __future__ import annotations

import numpy as np


def first_waits(mean_gap: float, mean_service: float, jobs: int) -> tuple[float, ...]:
    """Return the mean wait of jobs 1 to ``jobs`` at an M/M/1 station that starts empty.

    Args:
        mean_gap: Mean of the exponential time between arrivals, > 0.
        mean_service: Mean of the exponential service time, > 0; the load may exceed 1.
        jobs: How many jobs, >= 1.

    Notes:
        Exact: ``p[n]`` is the chance that a job finds ``n`` before it. Between two arrivals each of
        them leaves before the next arrival with chance ``mu / (lam + mu)``, so the next job finds
        ``n + 1 - k`` with a geometric ``k`` cut at ``n + 1``. O(jobs ** 2).

    Examples:
        >>> [round(w, 6) for w in first_waits(1, 0.9, 3)]
        [0.0, 0.426316, 0.734539]
    """
    if not (mean_gap > 0 and mean_service > 0 and jobs >= 1):
        raise ValueError(f"times must be > 0 and jobs >= 1, got {mean_gap}, {mean_service} and {jobs}")
    arrives_first = (1 / mean_gap) / (1 / mean_gap + 1 / mean_service)
    leaves_first = 1 - arrives_first
    found = np.zeros(jobs + 1)
    found[0] = 1.0
    numbers = np.arange(jobs + 1)
    waits = []
    for job in range(jobs):
        waits.append(float(found @ numbers) * mean_service)
        # With n inside after the arrival, the next finds m >= 1 with chance leaves^(n-m) * arrives.
        nxt = np.zeros_like(found)
        carried = 0.0
        for m in range(job + 1, 0, -1):
            carried = carried * leaves_first + found[m - 1]
            nxt[m] = carried * arrives_first
        nxt[0] = 1.0 - nxt[1:].sum()
        found = nxt
    return tuple(waits)


def mean_of_first_waits(mean_gap: float, mean_service: float, jobs: int) -> float:
    """Return the mean over the first ``jobs`` of their mean waits; see ``first_waits``."""
    return float(np.mean(first_waits(mean_gap, mean_service, jobs)))
