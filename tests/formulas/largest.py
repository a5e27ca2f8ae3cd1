"""The slowest of several stations: what sets the pace of a line whose jobs all move together."""

from __future__ import annotations

import math

from linesim.theory.laws import Law, expected_largest


def indexed_makespan(law: Law, jobs: int, stations: int, *, transfer: float = 0.0) -> float:
    """Return the mean time to take ``jobs`` through an indexed line that starts and ends empty.

    Args:
        law: Working time at every station, independent.
        jobs: How many jobs, >= 1.
        stations: How many stations, >= 1.
        transfer: Time of each of the ``jobs + stations - 1`` moves.
    """
    if jobs < 1 or stations < 1:
        raise ValueError(f"jobs and stations must be >= 1, got {jobs} and {stations}")
    full = min(jobs, stations)
    ramp = math.fsum(expected_largest([law] * m) for m in range(1, full))
    steps = jobs + stations - 1
    return 2 * ramp + (steps - 2 * (full - 1)) * expected_largest([law] * full) + steps * transfer
