"""The shapes that a time can have, with what each needs and its mean."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field, model_validator

from linesim.scenario.base import Dur, or_percent, refuse
from linesim.scenario.weights import Weighed

Spread = Annotated[float, or_percent(0, 100), Field(strict=True, ge=0, le=100)]
Sample = Annotated[float, Field(strict=True, ge=0, le=1e9)]


def _shape_is_needed(schema: dict[str, Any], kind: type[Shape]) -> None:
    """Say in the schema which shapes may go without their name, and that `value` is a word for `mean`."""
    if kind is Constant:
        schema["properties"]["value"] = schema["properties"]["mean"]
        schema["required"] = [name for name in schema["required"] if name != "mean"]
        schema["oneOf"] = [{"required": ["mean"]}, {"required": ["value"]}]
    elif kind is not Lognormal:
        schema["required"] = ["shape", *schema.get("required", ())]


class Shape(Weighed):
    """Base of the shapes that a time can have."""

    model_config = ConfigDict(json_schema_extra=_shape_is_needed)

    @property
    def mean_s(self) -> float:
        """Mean of the shape [s]."""
        raise NotImplementedError


class _MoreThanZero(Shape):
    """A shape that has no sense at a mean of 0."""

    @model_validator(mode="after")
    def _takes_time(self) -> _MoreThanZero:
        if not self.mean_s > 0:
            name = getattr(self, "shape", "varying")
            refuse("out-of-range", f'found a mean of 0; a {name} time has more, or write "0 s" alone.')
        return self


class Constant(Shape):
    """Always the same time. A bare text such as `"48 s"` means this."""

    shape: Literal["constant"] = Field("constant", description="`constant`")
    mean: Dur = Field(description="The time; `value` is read as another word for it.")

    @model_validator(mode="before")
    @classmethod
    def _value_is_mean(cls, data: Any) -> Any:
        if isinstance(data, Mapping) and "value" in data and "mean" not in data:
            return {("mean" if key == "value" else key): item for key, item in data.items()}
        return data

    @property
    def mean_s(self) -> float:
        """Mean of the shape [s]."""
        return self.mean.seconds


class Lognormal(_MoreThanZero):
    """Skewed to the right, never negative: the usual shape of manual work, and the default with `cv`."""

    shape: Literal["lognormal"] = Field("lognormal", description="`lognormal`")
    mean: Dur = Field(description="Mean time, more than 0 where `cv` is.")
    cv: Spread = Field(description="Standard deviation divided by the mean.")

    @property
    def mean_s(self) -> float:
        """Mean of the shape [s]."""
        return self.mean.seconds


class Normal(Shape):
    """Bell shape without its part below 0.

    The values below 0 are cut off and the rest is scaled up to a whole, so the true mean lies
    a little above `mean` where `cv` is large.
    """

    shape: Literal["normal"] = Field("normal", description="`normal`")
    mean: Dur = Field(description="Mean of the bell before it is cut at 0.")
    cv: Spread | None = Field(
        None, description="Standard deviation of the bell divided by its mean; or give `sd`."
    )
    sd: Dur | None = Field(None, description="Standard deviation of the bell before it is cut; or give `cv`.")

    @model_validator(mode="after")
    def _one_spread(self) -> Normal:
        if (self.cv is None) == (self.sd is None):
            refuse("one-of", "a normal time takes exactly one of `cv` and `sd`.")
        return self

    @property
    def sd_s(self) -> float:
        """Standard deviation of the bell before it is cut [s]."""
        if self.sd is not None:
            return self.sd.seconds
        assert self.cv is not None
        return self.cv * self.mean.seconds

    @property
    def mean_s(self) -> float:
        """Mean of what is left after the cut [s]."""
        m, s = self.mean.seconds, self.sd_s
        if s == 0:
            return m
        density = math.exp(-0.5 * (m / s) ** 2) / math.sqrt(2 * math.pi)
        return m + s * density / (0.5 * math.erfc(-m / s / math.sqrt(2)))


class _ThreePoints(Shape):
    low: Dur = Field(description="Shortest time.")
    mode: Dur = Field(description="Most likely time.")
    high: Dur = Field(description="Longest time.")

    @model_validator(mode="after")
    def _in_order(self) -> _ThreePoints:
        if not self.low.seconds <= self.mode.seconds <= self.high.seconds:
            refuse(
                "out-of-order",
                f"found low {self.low}, mode {self.mode}, high {self.high}; low <= mode <= high must hold.",
            )
        return self


class Triangular(_ThreePoints):
    """Three estimates joined by straight lines."""

    shape: Literal["triangular"] = Field("triangular", description="`triangular`")

    @property
    def mean_s(self) -> float:
        """Mean of the shape [s]."""
        return (self.low.seconds + self.mode.seconds + self.high.seconds) / 3


class Pert(_ThreePoints):
    """Three estimates joined by a smooth curve (beta-PERT, weight 4 on the mode)."""

    shape: Literal["pert"] = Field("pert", description="`pert`")

    @property
    def mean_s(self) -> float:
        """Mean of the shape [s]."""
        return (self.low.seconds + 4 * self.mode.seconds + self.high.seconds) / 6


class Uniform(Shape):
    """Every time from `low` to `high` is equally likely."""

    shape: Literal["uniform"] = Field("uniform", description="`uniform`")
    low: Dur = Field(description="Shortest time.")
    high: Dur = Field(description="Longest time.")

    @model_validator(mode="after")
    def _in_order(self) -> Uniform:
        if not self.low.seconds <= self.high.seconds:
            refuse("out-of-order", f"found low {self.low}, high {self.high}; low <= high must hold.")
        return self

    @property
    def mean_s(self) -> float:
        """Mean of the shape [s]."""
        return (self.low.seconds + self.high.seconds) / 2


class Exponential(_MoreThanZero):
    """No memory: the usual shape of times between failures."""

    shape: Literal["exponential"] = Field("exponential", description="`exponential`")
    mean: Dur = Field(description="Mean time.")

    @property
    def mean_s(self) -> float:
        """Mean of the shape [s]."""
        return self.mean.seconds


class Erlang(_MoreThanZero):
    """Sum of `stages` exponential times of equal mean."""

    shape: Literal["erlang"] = Field("erlang", description="`erlang`")
    mean: Dur = Field(description="Mean of the whole time.")
    stages: int = Field(description="Number of stages, 1 to 1000.", strict=True, ge=1, le=1000)

    @property
    def mean_s(self) -> float:
        """Mean of the shape [s]."""
        return self.mean.seconds


class Gamma(_MoreThanZero):
    """Skewed to the right with a lighter tail than lognormal."""

    shape: Literal["gamma"] = Field("gamma", description="`gamma`")
    mean: Dur = Field(description="Mean time.")
    cv: Spread = Field(description="Standard deviation divided by the mean.")

    @property
    def mean_s(self) -> float:
        """Mean of the shape [s]."""
        return self.mean.seconds


class Weibull(_MoreThanZero):
    """Times to wear-out (`power` > 1) or to early failure (`power` < 1)."""

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
    def _one_pair(self) -> Weibull:
        given = [name for name in ("mean", "cv", "scale", "power") if getattr(self, name) is not None]
        if given not in (["mean", "cv"], ["scale", "power"]):
            refuse("one-of", "a weibull time takes either `mean` and `cv` or `scale` and `power`.")
        if self.cv is not None and 0 < self.cv < 0.001:
            refuse("out-of-range", f"found a cv of {self.cv:g}; write 0, or at least 0.001.")
        return self

    @property
    def mean_s(self) -> float:
        """Mean of the shape [s]."""
        if self.mean is not None:
            return self.mean.seconds
        assert self.scale is not None and self.power is not None
        return self.scale.seconds * math.gamma(1 + 1 / self.power)


class Empirical(Shape):
    """Measured times, each as likely as the next; read from a column of a table."""

    shape: Literal["empirical"] = Field("empirical", description="`empirical`")
    file: str | None = Field(
        None, description="Table with the measured times (CSV or Excel), in the scenario's folder or below."
    )
    column: str | None = Field(
        None, description="Heading of the column, ending in `_s` for seconds or `_min` for minutes."
    )
    values_s: tuple[Sample, ...] = Field(
        (),
        description="The measured times themselves [s]; filled from `file`, or written here instead of it.",
    )

    @model_validator(mode="after")
    def _has_values(self) -> Empirical:
        if not self.values_s:
            refuse("missing-field", "measured times need `file` and `column`, or `values_s`.")
        return self

    @property
    def mean_s(self) -> float:
        """Mean of the measured times [s]."""
        return math.fsum(self.values_s) / len(self.values_s)
