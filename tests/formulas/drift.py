"""How far a crew drifts along a moving line: open and closed stations, traces job by job."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import special

from linesim.theory.laws import Law


@dataclass(frozen=True, slots=True)
class Drift:
    """Mean start of a job after it passed the border [s], and the chance of starting there late."""

    mean: float
    chance_late: float


def normal_drift(mean: float, sd: float, takt: float) -> Drift:
    """Return the drift in a station without a right-hand limit, normal work content.

    ``s' = max(0, s + T - takt)`` is the wait in a queue with arrivals every takt.

    Args:
        mean: Mean work content, < takt.
        sd: Its standard deviation, > 0.
        takt: Time between jobs.

    Notes:
        F. Spitzer, Transactions of the AMS 82 (1956) 323-339: the mean is the sum over n of
        ``E[max(0, S_n)] / n`` with ``S_n`` the sum of n differences ``T - takt``.
    """
    if not (mean < takt and sd > 0):
        raise ValueError(f"mean must be below takt and sd > 0, got {mean}, {takt} and {sd}")
    most = math.ceil((12 * sd / (takt - mean)) ** 2) + 10
    n = np.arange(1, most + 1)
    centre, spread = -n * (takt - mean), sd * np.sqrt(n)
    z = centre / spread
    above = special.ndtr(z)
    excess = spread * np.exp(-(z**2) / 2) / math.sqrt(2 * math.pi) + centre * above
    return Drift(float(np.sum(excess / n)), -math.expm1(-float(np.sum(above / n))))


def exponential_drift(mean: float, takt: float) -> Drift:
    """Return the drift in a station without a right-hand limit, exponential work content.

    The chance to start late is the root below 1 of ``x = exp(-(1 - x) * takt / mean)``.
    """
    if not 0 < mean < takt:
        raise ValueError(f"mean must be > 0 and below takt, got {mean} and {takt}")
    low, high = 0.0, 1.0 - 1e-12
    for _ in range(200):
        middle = (low + high) / 2
        if math.exp(-(1 - middle) * takt / mean) > middle:
            low = middle
        else:
            high = middle
    chance = (low + high) / 2
    return Drift(mean * chance / (1 - chance), chance)


def open_drift(law: Law, takt: float, *, reach: float, cells: int = 2000) -> Drift:
    """Return the drift in a station without a right-hand limit for any law, on a lattice.

    Args:
        law: Work content, mean below ``takt``.
        takt: Time between jobs.
        reach: Highest drift on the lattice; choose it so high that more has no weight.
        cells: Steps of the lattice; the error falls with its square.
    """
    if not law.mean < takt:
        raise ValueError(f"mean work {law.mean} must be below the takt {takt}")
    from scipy.linalg import solve

    step = reach / cells
    # A cell holds what lands within half a step of it; everything below counts as 0, above as reach.
    edges = takt + step * (np.arange(-cells, cells + 2) - 0.5)
    jump = law.below(edges)
    moves = np.empty((cells + 1, cells + 1))
    for k in range(cells + 1):
        upper = jump[cells - k + 1 : 2 * cells - k + 2].copy()
        upper[-1] = 1.0
        moves[k] = np.diff(upper, prepend=0.0)
    balance = moves.T - np.eye(cells + 1)
    balance[0] = 1.0
    right = np.zeros(cells + 1)
    right[0] = 1.0
    shares = solve(balance, right)
    return Drift(float(shares @ (step * np.arange(cells + 1))), float(1 - shares[0]))


@dataclass(frozen=True, slots=True)
class Trace:
    """Start and finish of each job after it passed the border, work left over, and the next start."""

    starts: tuple[float, ...]
    finishes: tuple[float, ...]
    overloads: tuple[float, ...]
    final: float


def displacement_trace(
    work: Sequence[float], takt: float, length: float, *, walk_speed: float = math.inf
) -> Trace:
    """Return where a crew starts and finishes each job of a moving line.

    The crew works until the job is finished or leaves the station, then walks towards the next job,
    which comes to meet it, and waits at the border if it is there first.

    Args:
        work: Work content of each job, in order.
        takt: Time between jobs, > 0.
        length: Station length as time of conveyor travel, >= takt.
        walk_speed: Walking speed as a multiple of the conveyor's, > 0; ``inf``: no time.

    Examples:
        >>> displacement_trace([70, 70, 52], takt=60, length=80).starts
        (0.0, 10.0, 20.0)
    """
    if not (takt > 0 and walk_speed > 0 and length >= takt):
        raise ValueError(f"need takt, walk_speed > 0 and length >= takt, got {takt}, {walk_speed}, {length}")
    # The job is one takt behind; walking w times as fast as it comes, they meet after takt / (w + 1).
    gained = takt if math.isinf(walk_speed) else takt * walk_speed / (walk_speed + 1)
    start = 0.0
    starts, finishes, overloads = [], [], []
    for content in work:
        end = min(start + content, length)
        starts.append(start)
        finishes.append(end)
        overloads.append(start + content - end)
        start = max(0.0, end - gained)
    return Trace(tuple(starts), tuple(finishes), tuple(overloads), start)


@dataclass(frozen=True, slots=True)
class MovingLine:
    """Plain kinematics: jobs per hour, seconds from end to end, jobs on the line."""

    jobs_per_hour: float
    transit_s: float
    jobs_on_line: float


def moving_line(speed: float, spacing: float, station_length: float, stations: int) -> MovingLine:
    """Return what follows from speed [m/s], spacing of jobs [m], station length [m] and their number."""
    if not (speed > 0 and spacing > 0 and station_length > 0 and stations >= 1):
        raise ValueError("speed, spacing and station_length must be > 0, stations >= 1")
    length = station_length * stations
    return MovingLine(3600 * speed / spacing, length / speed, length / spacing)
