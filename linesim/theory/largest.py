"""The slowest of several stations: what sets the pace of a line whose jobs all move together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linesim.theory.laws import Law
from linesim.theory.quadrature import integrate


def expected_largest(laws: Sequence[Law], *, at_least: float = -math.inf) -> float:
    """Return the mean of the largest of independent times, or of ``at_least`` if that is larger.

    Args:
        laws: One law per station, at least one.
        at_least: A time that counts as one more, constant station, for instance the takt.

    Examples:
        >>> from linesim.theory.laws import exponential
        >>> round(expected_largest([exponential(1)] * 3), 6)
        1.833333
    """
    if not laws:
        raise ValueError("laws must name at least one station")
    high = max(law.high for law in laws)
    low = max(at_least, max(law.low for law in laws))
    if high <= low:
        return low

    def all_below(x: NDArray[np.float64]) -> NDArray[np.float64]:
        product = np.ones_like(x)
        for law in laws:
            product = product * law.below(x)
        return product

    bends = [b for law in laws for b in (law.low, *law.bends, law.high)]
    return high - integrate(all_below, low, high, bends=bends)


def two_machine_throughput(first: Law, second: Law) -> float:
    """Return jobs per unit of time of two saturated machines without a place between them.

    Both start together each time: ``1 / E[max]``. Exact for any two independent laws.
    """
    return 1 / expected_largest([first, second])


@dataclass(frozen=True, slots=True)
class Overload:
    """Chance that a job's work does not fit, and the mean work that is left, over all jobs."""

    chance: float
    mean: float


def overload(law: Law, limit: float) -> Overload:
    """Return how often and by how much work of the given law exceeds ``limit``.

    Passed on unfinished, the work that reaches an end-of-line bay is the sum over the stations.
    """
    chance = 1 - float(law.below(limit))
    if limit >= law.high:
        return Overload(chance, 0.0)
    at = max(limit, law.low)
    left = integrate(lambda x: 1 - law.below(x), at, law.high, bends=law.bends)
    return Overload(chance, left + at - limit)


@dataclass(frozen=True, slots=True)
class StoppedPitch:
    """A pitch of a line that stops at fixed positions; times in the unit of the takt, here [s].

    Attributes:
        mean: Mean time between two jobs.
        chance_of_stop: Chance that at least one station stops the line in a pitch.
        mean_stop: Mean length of the stop in a pitch that has one.
        jobs_per_hour: 3600 over the mean.
    """

    mean: float
    chance_of_stop: float
    mean_stop: float
    jobs_per_hour: float


def stopped_pitch(laws: Sequence[Law], takt: float) -> StoppedPitch:
    """Return the pitch of a moving line whose stations are one pitch long and stop it at their end.

    All jobs reach their stop positions at the same instant, so stops coincide and the pitch is the
    largest of the takt and all the work. Adding up the stops of the stations would overstate the loss.
    """
    mean = expected_largest(laws, at_least=takt)
    chance = 1 - math.prod(float(law.below(takt)) for law in laws)
    return StoppedPitch(mean, chance, (mean - takt) / chance if chance else 0.0, 3600 / mean)
