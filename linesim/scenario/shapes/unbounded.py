"""Shapes without a longest time: lognormal, normal, exponential, Erlang, gamma, Weibull."""

from __future__ import annotations

import math
from functools import cached_property
from typing import TYPE_CHECKING, ClassVar, Literal, Self

import numpy as np
from pydantic import Field, model_validator
from scipy import special

from linesim.scenario.base import Dur, refuse
from linesim.scenario.shapes.shape import FloatArray, Shape, Spread, TakesTime, array, in_seconds

MOST_STAGES = 1000  #: Of an Erlang time.
_UNCUT = 8.0  #: A mean so many spreads above 0 leaves nothing to cut off.


class _OfMean(TakesTime):
    """A shape with a mean, from 0 without end; flat where it has no spread at all."""

    if TYPE_CHECKING:
        mean: Dur  # a field of each shape, behind its name

    @property
    def mean_s(self) -> float:
        """Mean [s]."""
        return self.mean.seconds

    @property
    def least_s(self) -> float:
        """Shortest time [s]."""
        return 0.0 if self.sd_s else self.mean_s

    @property
    def most_s(self) -> float:
        """Longest time [s]: no end."""
        return math.inf if self.sd_s else self.mean_s


class Lognormal(_OfMean):
    """Skewed to the right, never negative: the usual shape of manual work, and the default with `cv`.

    ``sigma**2 = ln(1 + cv**2)`` and ``mu = ln(mean) - sigma**2 / 2`` give the stated mean and
    coefficient of variation exactly.
    """

    kind: ClassVar[str] = "lognormal"
    n_free: ClassVar[int] = 2
    shape: Literal["lognormal"] = Field("lognormal", description="`lognormal`")
    mean: Dur = Field(description="Mean time, more than 0 where `cv` is.")
    cv: Spread = Field(description="Standard deviation divided by the mean.")

    @property
    def sigma(self) -> float:
        """Standard deviation of the logarithm."""
        return float(np.sqrt(math.log1p(self.cv**2)))

    @property
    def mu(self) -> float:
        """Mean of the logarithm of the time in seconds."""
        return float(np.log(self.mean_s)) - math.log1p(self.cv**2) / 2

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]."""
        return self.mean_s * self.cv

    def _quantile(self, u: FloatArray) -> FloatArray:
        return array(np.exp(self.mu + self.sigma * array(special.ndtri(u))))

    def _cumulative(self, x: FloatArray) -> FloatArray:
        with np.errstate(divide="ignore"):
            z = (np.log(np.maximum(x, 0.0)) - self.mu) / self.sigma
        return array(special.ndtr(z))

    def _log_density(self, x: FloatArray) -> FloatArray:
        variance, logs = math.log1p(self.cv**2), np.log(x)
        off = logs - self.mu
        return np.asarray(-(off**2) / (2 * variance) - logs - 0.5 * math.log(2 * math.pi * variance))

    @classmethod
    def fitted(cls, times: FloatArray) -> Lognormal:
        """Return the most likely lognormal: normal in the logarithms."""
        logs = np.log(times)
        variance = float(logs.var())
        mean = math.exp(float(logs.mean()) + variance / 2)
        return cls.model_construct(mean=in_seconds(mean), cv=math.sqrt(math.expm1(variance)))


class Normal(Shape):
    """Bell shape without its part below 0.

    The values below 0 are cut off and the rest is scaled up to a whole (as if negative times were drawn
    again, but with one uniform number a time), so the true mean lies a little above `mean` where `cv` is
    large: with ``mean = 2 sd`` at 2.055 sd.
    """

    kind: ClassVar[str] = "normal"
    n_free: ClassVar[int] = 2
    above_zero: ClassVar[bool] = False
    shape: Literal["normal"] = Field("normal", description="`normal`")
    mean: Dur = Field(description="Mean of the bell before it is cut at 0.")
    cv: Spread | None = Field(
        None, description="Standard deviation of the bell divided by its mean; or give `sd`."
    )
    sd: Dur | None = Field(None, description="Standard deviation of the bell before it is cut; or give `cv`.")

    @model_validator(mode="after")
    def _one_spread(self) -> Self:
        if (self.cv is None) == (self.sd is None):
            refuse("one-of", "a normal time takes exactly one of `cv` and `sd`.")
        return self

    @property
    def _bell(self) -> tuple[float, float]:
        """Mean and standard deviation before the cut [s]."""
        mean = self.mean.seconds
        return mean, self.sd.seconds if self.sd is not None else (self.cv or 0.0) * mean

    @property
    def _kept(self) -> float:
        """Share of the uncut bell that is not negative."""
        centre, spread = self._bell
        return float(special.ndtr(centre / spread)) if spread else 1.0

    @property
    def _lift(self) -> float:
        """How far the cut moves the mean, in units of the spread (inverse Mills ratio)."""
        centre, spread = self._bell
        if not spread:
            return 0.0
        return math.exp(-0.5 * (centre / spread) ** 2) / math.sqrt(2 * math.pi) / self._kept

    @property
    def mean_s(self) -> float:
        """Mean after the cut [s]."""
        centre, spread = self._bell
        return centre + spread * self._lift

    @property
    def sd_s(self) -> float:
        """Standard deviation after the cut [s]."""
        centre, spread = self._bell
        if not spread:
            return 0.0
        lift = self._lift
        return spread * math.sqrt(1 - lift * (lift + centre / spread))

    @property
    def least_s(self) -> float:
        """Shortest time [s]."""
        centre, spread = self._bell
        return 0.0 if spread else centre

    @property
    def most_s(self) -> float:
        """Longest time [s]: no end."""
        centre, spread = self._bell
        return math.inf if spread else centre

    def _quantile(self, u: FloatArray) -> FloatArray:
        """Return the quantile of what the cut leaves.

        The share below is used in the lower half and the share above in the upper one, so neither
        tail loses digits.
        """
        centre, spread = self._bell
        kept = self._kept
        below, above = float(special.ndtr(-centre / spread)) + u * kept, (1 - u) * kept
        low, high = special.ndtri(np.minimum(below, 0.5)), -special.ndtri(np.minimum(above, 0.5))
        return np.maximum(centre + spread * np.where(below < 0.5, low, high), 0.0)

    def _cumulative(self, x: FloatArray) -> FloatArray:
        centre, spread = self._bell
        above = array(special.ndtr((centre - x) / spread))
        return np.where(x < 0, 0.0, 1 - above / self._kept)

    def _log_density(self, x: FloatArray) -> FloatArray:
        centre, spread = self._bell
        whole = math.log(spread * math.sqrt(2 * math.pi)) + math.log(self._kept)
        return np.asarray(-(((x - centre) / spread) ** 2) / 2 - whole)

    @classmethod
    def fitted(cls, times: FloatArray) -> Normal:
        """Return the most likely bell before it is cut.

        Both figures follow from the mean and the mean square of the times: their ratio depends on
        ``mean / sd`` alone and falls with it. A mean below 0 is not looked for.
        """
        from scipy.optimize import brentq

        first, second = float(times.mean()), float((times**2).mean())
        spread = math.sqrt(max(0.0, second - first**2))
        wanted = second / first**2

        def lifted(a: float) -> float:
            return a + math.exp(-a * a / 2) / math.sqrt(2 * math.pi) / float(special.ndtr(a))

        def off(a: float) -> float:
            return (1 + a * lifted(a)) / lifted(a) ** 2 - wanted

        if first > _UNCUT * spread:
            centre = first
        elif off(0.0) <= 0:
            centre, spread = 0.0, math.sqrt(second)
        else:
            a = float(brentq(off, 0.0, 2 * _UNCUT, xtol=1e-13))
            spread = first / lifted(a)
            centre = a * spread
        return cls.model_construct(mean=in_seconds(centre), sd=in_seconds(spread))


class Exponential(_OfMean):
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


class _GammaLike(_OfMean):
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
