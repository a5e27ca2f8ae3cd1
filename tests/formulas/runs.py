"""How often chance alone brings heavy jobs together: runs and crowded windows."""

from __future__ import annotations

import math


def _check(share: float, length: int) -> None:
    if not 0 < share < 1 or length < 1:
        raise ValueError(f"share must lie between 0 and 1 and the length be >= 1, got {share} and {length}")


def jobs_to_first_run(share: float, length: int) -> float:
    """Return the mean number of jobs until ``length`` heavy ones have come in a row.

    Args:
        share: Chance that a job is heavy, independently of the others.
        length: Length of the run, >= 1.

    Examples:
        >>> round(jobs_to_first_run(0.4, 2), 6)
        8.75
    """
    _check(share, length)
    return (share**-length - 1) / (1 - share)


def chance_of_run(share: float, length: int, jobs: int) -> float:
    """Return the chance of at least one run of ``length`` or more heavy jobs among ``jobs``."""
    _check(share, length)
    now = [1.0] + [0.0] * (length - 1)  # chance of each length of the run in progress, none so far
    for _ in range(jobs):
        now = [(1 - share) * math.fsum(now)] + [share * p for p in now[:-1]]
    return 1 - math.fsum(now)


def mean_runs(share: float, length: int, jobs: int) -> float:
    """Return the mean number of runs of ``length`` or more heavy jobs among ``jobs`` >= length."""
    _check(share, length)
    return share**length * (1 + (jobs - length) * (1 - share)) if jobs >= length else 0.0


def chance_none_adjacent(heavy: int, jobs: int) -> float:
    """Return the chance that no two of ``heavy`` jobs are neighbours in a random order of ``jobs``."""
    if not 0 <= heavy <= jobs:
        raise ValueError(f"heavy must lie between 0 and jobs, got {heavy} and {jobs}")
    return math.comb(jobs - heavy + 1, heavy) / math.comb(jobs, heavy)


def chance_crowded(share: float, at_most: int, in_any: int) -> float:
    """Return the chance that more than ``at_most`` of ``in_any`` independent jobs are heavy."""
    _check(share, in_any)
    return math.fsum(
        math.comb(in_any, k) * share**k * (1 - share) ** (in_any - k) for k in range(at_most + 1, in_any + 1)
    )


def mean_crowded_windows(share: float, at_most: int, in_any: int, jobs: int) -> float:
    """Return the mean number of full windows among ``jobs`` that break the spacing rule."""
    return max(0, jobs - in_any + 1) * chance_crowded(share, at_most, in_any)
