"""The shapes that are tried, each with its most likely parameters and its likelihood."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from scipy import special

from linesim.plan.arrays import FloatArray
from linesim.plan.shapes import Shape
from linesim.studies.fitting import bounded, closed
from linesim.studies.fitting.closed import Params


class Family(NamedTuple):
    """A shape with free parameters.

    Attributes:
        kind: Its name in a scenario.
        parameters: How many are fitted.
        above_zero: Whether a time of 0 cannot have come from it, or would be its lower end.
        fitted: Returns the most likely parameters, as `linesim.plan.shapes.Shape` has them.
        log_density: Logarithm of the density at times, for parameters.
    """

    kind: str
    parameters: int
    above_zero: bool
    fitted: Callable[[FloatArray], Params]
    log_density: Callable[[Params, FloatArray], FloatArray]

    def shape(self, times: FloatArray) -> Shape:
        """Return the most likely distribution of this shape."""
        return Shape(self.kind, self.fitted(times))


def log_likelihood(family: Family, shape: Shape, times: FloatArray) -> float:
    """Return the logarithm of the likelihood of times."""
    return float(family.log_density(shape.params, times).sum())


def _lognormal(params: Params, x: FloatArray) -> FloatArray:
    variance = math.log1p(params[1] ** 2)
    logs = np.log(x)
    off = logs - (math.log(params[0]) - variance / 2)
    return np.asarray(-(off**2) / (2 * variance) - logs - 0.5 * math.log(2 * math.pi * variance))


def _gamma_of(k: float, scale: float, x: FloatArray) -> FloatArray:
    return np.asarray((k - 1) * np.log(x) - x / scale - float(special.gammaln(k)) - k * math.log(scale))


def _gamma(params: Params, x: FloatArray) -> FloatArray:
    k = 1 / params[1] ** 2
    return _gamma_of(k, params[0] / k, x)


def _erlang(params: Params, x: FloatArray) -> FloatArray:
    return _gamma_of(params[1], params[0] / params[1], x)


def _weibull(params: Params, x: FloatArray) -> FloatArray:
    scale, power = params
    share = np.log(x / scale)
    return np.asarray(math.log(power / scale) + (power - 1) * share - np.exp(power * share))


def _normal(params: Params, x: FloatArray) -> FloatArray:
    centre, sd = params
    kept = math.log(float(special.ndtr(centre / sd)))
    return np.asarray(-(((x - centre) / sd) ** 2) / 2 - math.log(sd * math.sqrt(2 * math.pi)) - kept)


def _triangular(params: Params, x: FloatArray) -> FloatArray:
    low, mode, high = params
    rising = (x - low) / (mode - low) if mode > low else np.ones_like(x)
    falling = (high - x) / (high - mode) if high > mode else np.ones_like(x)
    return np.asarray(np.log(np.where(x <= mode, rising, falling)) + math.log(2 / (high - low)))


def _pert(params: Params, x: FloatArray) -> FloatArray:
    low, mode, high = params
    m, wide = (mode - low) / (high - low), high - low
    whole = 5 * math.log(wide) + float(special.betaln(1 + 4 * m, 5 - 4 * m))
    return np.asarray(4 * m * np.log(x - low) + 4 * (1 - m) * np.log(high - x) - whole)


def _uniform(params: Params, x: FloatArray) -> FloatArray:
    return np.full(x.shape, -math.log(params[1] - params[0]))


def _exponential(params: Params, x: FloatArray) -> FloatArray:
    return np.asarray(-x / params[0] - math.log(params[0]))


#: In the order in which they are told; the first is what manual work usually has.
FAMILIES = (
    Family("lognormal", 2, True, closed.lognormal, _lognormal),
    Family("gamma", 2, True, closed.gamma, _gamma),
    Family("erlang", 2, True, closed.erlang, _erlang),
    Family("weibull", 2, True, closed.weibull, _weibull),
    Family("normal", 2, False, closed.normal, _normal),
    Family("triangular", 3, True, bounded.triangular, _triangular),
    Family("pert", 3, True, bounded.pert, _pert),
    Family("uniform", 2, False, closed.uniform, _uniform),
    Family("exponential", 1, True, closed.exponential, _exponential),
)
