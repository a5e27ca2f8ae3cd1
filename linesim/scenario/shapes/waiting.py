"""Shapes of waiting for something, such as a failure: exponential, Erlang, gamma, Weibull."""

from __future__ import annotations

import math
from functools import cached_property
from typing import ClassVar, Literal, Self

import numpy as np
from pydantic import Field, model_validator

from linesim import special
from linesim.scenario.base import Dur, refuse
from linesim.scenario.shapes.shape import FloatArray, OfMean, Spread, TakesTime, array, in_seconds

MOST_STAGES = 1000  #: Of an Erlang time.


class Exponential(OfMean):
    """No memory: the usual shape of times between failures."""

    kind: ClassVar[str] = "exponential"
    n_free: ClassVar[int] = 1
    shape: Literal["exponential"] = Field("exponential", description="`exponential`")
    mean: Dur = Field(description="Mean time.")

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]: equal to the mean."""
        return self.mean_s

    def _quantile(self, u: FloatArray) -> FloatArray:
        return array(-self.mean_s * np.log1p(-u))

    def _cumulative(self, x: FloatArray) -> FloatArray:
        return array(-np.expm1(-np.maximum(x, 0.0) / self.mean_s))

    def _log_density(self, x: FloatArray) -> FloatArray:
        return np.asarray(-x / self.mean_s - math.log(self.mean_s))

    @classmethod
    def fitted(cls, times: FloatArray) -> Exponential:
        """Return the one with the mean of the times."""
        return cls.model_construct(mean=in_seconds(float(times.mean())))


class _GammaLike(OfMean):
    """A gamma time; its shape number ``k`` and scale follow from the fields."""

    @property
    def _k(self) -> float:
        raise NotImplementedError

    def _cumulative(self, x: FloatArray) -> FloatArray:
        return array(special.gammainc(self._k, np.maximum(x, 0.0) / (self.mean_s / self._k)))

    def _log_density(self, x: FloatArray) -> FloatArray:
        k, scale = self._k, self.mean_s / self._k
        return np.asarray((k - 1) * np.log(x) - x / scale - float(special.gammaln(k)) - k * math.log(scale))


class Erlang(_GammaLike):
    """Sum of `stages` exponential times of equal mean."""

    kind: ClassVar[str] = "erlang"
    n_free: ClassVar[int] = 2
    shape: Literal["erlang"] = Field("erlang", description="`erlang`")
    mean: Dur = Field(description="Mean of the whole time.")
    stages: int = Field(description="Number of stages, 1 to 1000.", strict=True, ge=1, le=MOST_STAGES)

    @property
    def _k(self) -> float:
        return float(self.stages)

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]."""
        return self.mean_s / math.sqrt(self.stages)

    def _quantile(self, u: FloatArray) -> FloatArray:
        return self.mean_s / self.stages * array(special.gammaincinv(float(self.stages), u))

    @classmethod
    def fitted(cls, times: FloatArray) -> Erlang:
        """Return the most likely Erlang: the better whole number of stages beside gamma's."""
        like = Gamma.fitted(times)
        mean, k = like.mean_s, like._k
        logs = float(np.log(times).mean())

        def likelihood(stages: int) -> float:
            whole = stages * math.log(stages / mean) - float(special.gammaln(stages))
            return whole + (stages - 1) * logs - stages

        near = {min(MOST_STAGES, max(1, stages)) for stages in (math.floor(k), math.ceil(k))}
        return cls.model_construct(mean=like.mean, stages=max(sorted(near), key=likelihood))


class Gamma(_GammaLike):
    """Skewed to the right with a lighter tail than lognormal.

    Its shape number is ``1 / cv**2`` and its scale ``mean * cv**2``; a cv below 1e-9 counts as no spread.
    """

    kind: ClassVar[str] = "gamma"
    n_free: ClassVar[int] = 2
    shape: Literal["gamma"] = Field("gamma", description="`gamma`")
    mean: Dur = Field(description="Mean time.")
    cv: Spread = Field(description="Standard deviation divided by the mean.")

    @property
    def _k(self) -> float:
        return 1 / self.cv**2

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]."""
        return self.mean_s * self.cv if self.cv >= 1e-9 else 0.0

    def _quantile(self, u: FloatArray) -> FloatArray:
        return self.mean_s * self.cv**2 * array(special.gammaincinv(self._k, u))

    @classmethod
    def fitted(cls, times: FloatArray) -> Gamma:
        """Return the most likely gamma.

        The mean is that of the times; the shape number k solves ``ln k - digamma(k) = ln mean - mean ln``,
        by Newton's method from a start that is right to 1.5 %: T. P. Minka, Estimating a Gamma
        distribution (2002), from memory.
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
        return cls.model_construct(mean=in_seconds(mean), cv=1 / math.sqrt(k))


class Weibull(TakesTime):
    """Times to wear-out (`power` > 1) or to early failure (`power` < 1).

    ``P(X > x) = exp(-(x / scale)**power)``.
    """

    kind: ClassVar[str] = "weibull"
    n_free: ClassVar[int] = 2
    shape: Literal["weibull"] = Field("weibull", description="`weibull`")
    mean: Dur | None = Field(None, description="Mean time; together with `cv`.")
    cv: Spread | None = Field(
        None, description="Standard deviation divided by the mean; together with `mean`."
    )
    scale: Dur | None = Field(None, description="Time that 63.2 % do not exceed; together with `power`.")
    power: float | None = Field(
        None,
        description="Power of the time in the exponent, 0.1 to 100; with `scale`.",
        strict=True,
        ge=0.1,
        le=100,
    )

    @model_validator(mode="after")
    def _one_pair(self) -> Self:
        given = [name for name in ("mean", "cv", "scale", "power") if getattr(self, name) is not None]
        if given not in (["mean", "cv"], ["scale", "power"]):
            refuse("one-of", "a weibull time takes either `mean` and `cv` or `scale` and `power`.")
        if self.cv is not None and 0 < self.cv < 0.001:
            refuse("out-of-range", f"found a cv of {self.cv:g}; write 0, or at least 0.001.")
        return self

    @cached_property
    def _scale_and_power(self) -> tuple[float, float]:
        """Scale [s] and power; a power without end where there is no spread."""
        if self.scale is not None and self.power is not None:
            return self.scale.seconds, self.power
        assert self.mean is not None and self.cv is not None
        if self.cv == 0:
            return self.mean.seconds, math.inf
        power = weibull_power(self.cv)
        return self.mean.seconds / math.gamma(1 + 1 / power), power

    @property
    def mean_s(self) -> float:
        """Mean [s]."""
        if self.mean is not None:
            return self.mean.seconds
        scale, power = self._scale_and_power
        return scale * math.exp(math.lgamma(1 + 1 / power))

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]; over the mean it depends on the power alone."""
        power = self._scale_and_power[1]
        squared = special.expm1(math.lgamma(1 + 2 / power) - 2 * math.lgamma(1 + 1 / power))
        return self.mean_s * math.sqrt(float(squared))

    @property
    def least_s(self) -> float:
        """Shortest time [s]."""
        scale, power = self._scale_and_power
        return scale if power == math.inf else 0.0

    @property
    def most_s(self) -> float:
        """Longest time [s]: no end."""
        scale, power = self._scale_and_power
        return scale if power == math.inf else math.inf

    def _quantile(self, u: FloatArray) -> FloatArray:
        scale, power = self._scale_and_power
        return array(scale * (-np.log1p(-u)) ** (1 / power))

    def _cumulative(self, x: FloatArray) -> FloatArray:
        scale, power = self._scale_and_power
        return array(-np.expm1(-((np.maximum(x, 0.0) / scale) ** power)))

    def _log_density(self, x: FloatArray) -> FloatArray:
        scale, power = self._scale_and_power
        share = np.log(x / scale)
        return np.asarray(math.log(power / scale) + (power - 1) * share - np.exp(power * share))

    @classmethod
    def fitted(cls, times: FloatArray) -> Weibull:
        """Return the most likely Weibull.

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
        scale = top * math.exp(math.log(float(np.exp(power * logs).mean())) / power)
        return cls.model_construct(scale=in_seconds(scale), power=power)


def weibull_power(cv: float) -> float:
    """Return the power of the Weibull distribution with coefficient of variation ``cv`` > 0.

    Solves ``1 + cv² = Γ(1 + 2/k) / Γ(1 + 1/k)²`` for k by halving; cv falls as k rises.

    Examples:
        >>> round(weibull_power(1.0), 6)
        1.0
    """
    target = math.log1p(cv * cv)
    low, high = 0.02, 1e4
    for _ in range(200):
        middle = math.sqrt(low * high)
        if math.lgamma(1 + 2 / middle) - 2 * math.lgamma(1 + 1 / middle) > target:
            low = middle
        else:
            high = middle
    return math.sqrt(low * high)
