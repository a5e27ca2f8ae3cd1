"""Distributions of times as plain functions: mean, spread, chance of less, quantile."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

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
