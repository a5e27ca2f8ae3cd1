"""Laws of times, integrals over them, and what is expected of the largest of several."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linesim import special


def integrate(
    curve: Callable[[NDArray[np.float64]], NDArray[np.float64]],
    low: float,
    high: float,
    *,
    bends: Sequence[float] = (),
    panels: int = 200,
) -> float:
    """Return the integral of ``curve`` from ``low`` to ``high``.

    Gauss-Legendre with 16 points in each panel; panels never span a bend.

    Args:
        curve: Takes and returns arrays of shape ``(points,)``.
        low: Lower end.
        high: Upper end; the integral is 0 if it is not above ``low``.
        bends: Where the curve or its slope jumps; those outside are left out.
        panels: Panels between two neighbouring bends.
    """
    if not high > low:
        return 0.0
    points, weights = np.polynomial.legendre.leggauss(16)
    total = 0.0
    ends = [low, *sorted({b for b in bends if low < b < high}), high]
    for a, b in itertools.pairwise(ends):
        edges = np.linspace(a, b, panels + 1)
        half = np.diff(edges)[:, None] / 2
        at = edges[:-1, None] + half * (1 + points)
        total += float(np.sum(half * weights * curve(at.ravel()).reshape(at.shape)))
    return total


_TAIL = 1e-18  #: Chance left outside the range that integrals run over.

Curve = Callable[[NDArray[np.float64]], NDArray[np.floating[Any]]]


@dataclass(frozen=True, slots=True)
class Law:
    """The distribution of a time.

    Attributes:
        name: What it is, for messages.
        mean: Mean.
        sd: Standard deviation.
        low: Lowest value that matters; less has a chance below 1e-18.
        high: Highest value that matters.
        bends: Values between where the density jumps or bends.
    """

    name: str
    mean: float
    sd: float
    low: float
    high: float
    _below: Curve = field(repr=False)
    _quantile: Curve = field(repr=False)
    bends: tuple[float, ...] = ()

    @property
    def cv(self) -> float:
        """Standard deviation over mean."""
        return self.sd / self.mean

    def below(self, x: ArrayLike) -> NDArray[np.float64]:
        """Return the chance of a value of at most ``x``."""
        return np.asarray(self._below(np.asarray(x, dtype=np.float64)), dtype=np.float64)

    def quantile(self, p: ArrayLike) -> NDArray[np.float64]:
        """Return the value that is not exceeded with chance ``p``, 0 < p < 1."""
        return np.asarray(self._quantile(np.asarray(p, dtype=np.float64)), dtype=np.float64)


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not value > 0:
            raise ValueError(f"{name} must be > 0, got {value}")


def _ordered(low: float, mode: float, high: float) -> None:
    if not (low <= mode <= high and low < high):
        raise ValueError(f"need low <= mode <= high and low < high, got {low}, {mode}, {high}")


def normal(mean: float, sd: float) -> Law:
    """Return the normal law, not cut anywhere."""
    _positive(sd=sd)
    return Law(
        "normal",
        mean,
        sd,
        mean - 9 * sd,
        mean + 9 * sd,
        lambda x: special.ndtr((x - mean) / sd),
        lambda p: mean + sd * special.ndtri(p),
    )


def lognormal(mean: float, cv: float) -> Law:
    """Return the lognormal law: ``sigma**2 = ln(1 + cv**2)``, ``mu = ln(mean) - sigma**2 / 2``."""
    _positive(mean=mean, cv=cv)
    sigma = math.sqrt(math.log1p(cv**2))
    mu = math.log(mean) - sigma**2 / 2

    def below(x: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(special.ndtr((np.log(np.maximum(x, 1e-300)) - mu) / sigma))

    return Law(
        "lognormal",
        mean,
        mean * cv,
        math.exp(mu - 9 * sigma),
        math.exp(mu + 9 * sigma),
        below,
        lambda p: np.exp(mu + sigma * special.ndtri(p)),
    )


def uniform(low: float, high: float) -> Law:
    """Return the uniform law between ``low`` and ``high``."""
    _ordered(low, low, high)
    return Law(
        "uniform",
        (low + high) / 2,
        (high - low) / math.sqrt(12),
        low,
        high,
        lambda x: np.clip((x - low) / (high - low), 0.0, 1.0),
        lambda p: low + p * (high - low),
    )


def gamma(mean: float, cv: float) -> Law:
    """Return the gamma law: shape ``1 / cv**2``, scale ``mean * cv**2``."""
    _positive(mean=mean, cv=cv)
    shape, scale = 1 / cv**2, mean * cv**2
    return Law(
        "gamma",
        mean,
        mean * cv,
        0.0,
        scale * float(special.gammainccinv(shape, _TAIL)),
        lambda x: special.gammainc(shape, np.maximum(x, 0.0) / scale),
        lambda p: scale * special.gammaincinv(shape, p),
    )


def erlang(mean: float, stages: int) -> Law:
    """Return the Erlang law with ``stages`` >= 1 stages: a gamma law of cv ``1 / sqrt(stages)``."""
    _positive(stages=stages)
    return gamma(mean, 1 / math.sqrt(stages))


def exponential(mean: float) -> Law:
    """Return the exponential law."""
    return weibull(mean, 1.0)


def weibull(mean: float, power: float) -> Law:
    """Return the Weibull law of the given mean and power (shape): ``1 - exp(-(x / scale)**power)``."""
    _positive(mean=mean, power=power)
    scale = weibull_scale(mean, power)
    return Law(
        "weibull",
        mean,
        mean * weibull_cv(power),
        0.0,
        scale * (-math.log(_TAIL)) ** (1 / power),
        lambda x: -np.expm1(-((np.maximum(x, 0.0) / scale) ** power)),
        lambda p: scale * (-np.log1p(-p)) ** (1 / power),
    )


def weibull_scale(mean: float, power: float) -> float:
    """Return the scale of a Weibull law of the given mean and power."""
    return mean / math.gamma(1 + 1 / power)


def weibull_cv(power: float) -> float:
    """Return the coefficient of variation of a Weibull law, which depends on its power alone."""
    first = math.lgamma(1 + 1 / power)
    return math.sqrt(math.expm1(math.lgamma(1 + 2 / power) - 2 * first))


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
