"""Most likely parameters of shapes that follow from a few sums: lognormal, gamma, Weibull and their like."""

from __future__ import annotations

import math

import numpy as np
from scipy import special

from linesim.plan.arrays import FloatArray

Params = tuple[float, ...]

MOST_STAGES = 1000  #: As many as a scenario may ask for.
_UNCUT = 8.0  #: A mean so many spreads above 0 leaves nothing to cut off.


def lognormal(times: FloatArray) -> Params:
    """Return mean [s] and cv of the most likely lognormal: normal in the logarithms."""
    logs = np.log(times)
    variance = float(logs.var())
    return math.exp(float(logs.mean()) + variance / 2), math.sqrt(math.expm1(variance))


def gamma(times: FloatArray) -> Params:
    """Return mean [s] and cv of the most likely gamma.

    The mean is that of the times; the shape number k solves ``ln k - digamma(k) = ln mean - mean ln``,
    by Newton's method from a start that is right to 1.5 %: T. P. Minka, Estimating a Gamma distribution
    (2002), from memory.
    """
    mean = float(times.mean())
    gap = math.log(mean) - float(np.log(times).mean())
    k = (3 - gap + math.sqrt((gap - 3) ** 2 + 24 * gap)) / (12 * gap)
    for _ in range(20):
        off = math.log(k) - float(special.digamma(k)) - gap
        slope = 1 / k - float(special.polygamma(1, k))
        k, before = 1 / (1 / k + off / (k * k * slope)), k
        if abs(k - before) <= 1e-12 * k:
            break
    return mean, 1 / math.sqrt(k)


def erlang(times: FloatArray) -> Params:
    """Return mean [s] and stages of the most likely Erlang: the better whole number beside gamma's."""
    mean, cv = gamma(times)
    k = 1 / cv**2
    logs = float(np.log(times).mean())

    def likelihood(stages: int) -> float:
        return (
            stages * math.log(stages / mean) - float(special.gammaln(stages)) + (stages - 1) * logs - stages
        )

    near = {min(MOST_STAGES, max(1, stages)) for stages in (math.floor(k), math.ceil(k))}
    return mean, float(max(sorted(near), key=likelihood))


def exponential(times: FloatArray) -> Params:
    """Return the mean [s]."""
    return (float(times.mean()),)


def uniform(times: FloatArray) -> Params:
    """Return shortest and longest time [s]."""
    return float(times.min()), float(times.max())


def weibull(times: FloatArray) -> Params:
    """Return scale [s] and power of the most likely Weibull.

    The power p solves ``sum x^p ln x / sum x^p - 1/p = mean ln x``, whose left side rises with p.
    """
    from scipy.optimize import brentq

    top = float(times.max())
    logs = np.log(times / top)  # at most 0: no power of it overflows
    mean = float(logs.mean())

    def off(power: float) -> float:
        weights = np.exp(power * logs)
        return float((weights * logs).sum() / weights.sum()) - 1 / power - mean

    low = high = 1.2 / max(1e-9, float(logs.std()))
    while off(low) > 0:
        low /= 2
    while off(high) < 0:
        high *= 2
    power = float(brentq(off, low, high, xtol=1e-12, rtol=1e-12)) if low < high else low
    return top * math.exp(math.log(float(np.exp(power * logs).mean())) / power), power


def normal(times: FloatArray) -> Params:
    """Return mean and standard deviation [s] of the most likely normal, both before it is cut at 0.

    Both follow from the mean and the mean square of the times: their ratio depends on ``mean / sd`` alone
    and falls with it. A mean below 0 is not looked for.
    """
    from scipy.optimize import brentq

    first, second = float(times.mean()), float((times**2).mean())
    sd = math.sqrt(max(0.0, second - first**2))
    if first > _UNCUT * sd:
        return first, sd
    wanted = second / first**2

    def lifted(a: float) -> float:
        return a + math.exp(-a * a / 2) / math.sqrt(2 * math.pi) / float(special.ndtr(a))

    def off(a: float) -> float:
        return (1 + a * lifted(a)) / lifted(a) ** 2 - wanted

    if off(0.0) <= 0:
        return 0.0, math.sqrt(second)
    a = float(brentq(off, 0.0, 2 * _UNCUT, xtol=1e-13))
    spread = first / lifted(a)
    return a * spread, spread
