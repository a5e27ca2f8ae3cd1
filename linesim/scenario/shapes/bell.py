"""Shapes like a bell, without a longest time: lognormal, skewed as manual work is, and normal, cut at 0."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property
from typing import ClassVar, Literal, Self

import numpy as np
from pydantic import Field, model_validator

from linesim import special
from linesim.scenario.base import Dur, refuse
from linesim.scenario.shapes.shape import FloatArray, OfMean, Shape, Spread, array, in_seconds, inside

_UNCUT = 8.0  #: A mean so many spreads above 0 leaves nothing to cut off.


class Lognormal(OfMean):
    """Skewed to the right, never negative: the usual shape of manual work, and the default with `cv`.

    ``sigma**2 = ln(1 + cv**2)`` and ``mu = ln(mean) - sigma**2 / 2`` give the stated mean and
    coefficient of variation exactly.
    """

    kind: ClassVar[str] = "lognormal"
    n_free: ClassVar[int] = 2
    shape: Literal["lognormal"] = Field("lognormal", description="`lognormal`")
    mean: Dur = Field(description="Mean time, more than 0 where `cv` is.")
    cv: Spread = Field(description="Standard deviation divided by the mean.")

    @cached_property
    def sigma(self) -> float:
        """Standard deviation of the logarithm."""
        return float(np.sqrt(math.log1p(self.cv**2)))

    @cached_property
    def mu(self) -> float:
        """Mean of the logarithm of the time in seconds."""
        return float(np.log(self.mean_s)) - math.log1p(self.cv**2) / 2

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]."""
        return self.mean_s * self.cv

    def _quantile(self, u: FloatArray) -> FloatArray:
        return array(np.exp(self.mu + self.sigma * array(special.ndtri(u))))

    @classmethod
    def quantiles(cls, laws: Sequence[Self], u: FloatArray) -> FloatArray:
        """Return times [s] of several shapes, a row of ``u`` each, at once: of these a line has most."""
        if any(law.is_flat for law in laws):
            return super().quantiles(laws, u)
        mu, sigma = (np.array([getattr(law, name) for law in laws])[:, None] for name in ("mu", "sigma"))
        times = array(special.ndtri(inside(u)))
        times *= sigma
        times += mu
        return np.exp(times, times)

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
    """Bell shape without its part below 0. The values below 0 are cut off and the rest is scaled up to a
    whole, so the true mean lies a little above `mean` where `cv` is large.

    It is as if negative times were drawn again, but with one uniform number a time; with ``mean = 2 sd`` the
    true mean is 2.055 sd.
    """  # noqa: D205

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
        low, high = (array(special.ndtri(np.minimum(side, 0.5))) for side in (below, above))
        return np.maximum(centre + spread * np.where(below < 0.5, low, -high), 0.0)

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
