"""Times and chances with a shape: what varies, how, and how well that is known."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, ConfigDict, Discriminator, Field, Tag, model_validator

from linesim.scenario.base import Dur, Record, Share, refuse
from linesim.ticks import Duration

Confidence = Literal["measured", "estimated", "guess"]
Positive = Annotated[float, Field(strict=True, gt=0, le=1000)]
Spread = Annotated[float, Field(strict=True, ge=0, le=100)]
Sample = Annotated[float, Field(strict=True, ge=0, le=1e9)]


class Weighed(Record):
    """What may stand beside any time, chance or failure: where the figure comes from."""

    source: str | None = Field(
        None, description="Where the figure comes from, such as `time study, March`.", max_length=500
    )
    confidence: Confidence | None = Field(
        None, description="How well the figure is known: `measured`, `estimated` or `guess`."
    )
    range: tuple[Positive, Positive] | None = Field(
        None,
        description="Lowest and highest factor on the figure that somebody would defend, such as `[0.8, "
        "1.3]`; "
        "read by studies of doubt.",
    )

    @model_validator(mode="after")
    def _range_in_order(self) -> Weighed:
        if self.range is not None and self.range[0] > self.range[1]:
            refuse("out-of-order", f"range {list(self.range)} runs downwards; write the lower factor first.")
        return self


class Chance(Weighed):
    """A chance from 0 to 1; a bare number is enough."""

    value: Share = Field(description="Chance, 0 to 1.")


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


SHAPES: tuple[type[Shape], ...] = (
    Constant, Lognormal, Normal, Triangular, Pert, Uniform, Exponential, Erlang, Gamma, Weibull, Empirical,
)  # fmt: skip
#: Figures that say nothing without the name of a shape.
_NEED_SHAPE = frozenset(
    {"low", "mode", "high", "sd", "stages", "scale", "power", "file", "column", "values_s"}
)
SHAPE_NAMES: tuple[str, ...] = tuple(kind.model_fields["shape"].default for kind in SHAPES)


def _shape_of(value: Any) -> str | None:
    """Return the name of the shape that a raw value asks for."""
    if isinstance(value, Shape):
        return str(value.shape)  # type: ignore[attr-defined]
    if isinstance(value, Mapping):
        if "shape" in value:
            name = value["shape"]
            return name if name in SHAPE_NAMES else None
        return "lognormal" if "cv" in value else "constant"
    return "constant"


def _open_time(value: Any) -> Any:
    if isinstance(value, str | int | float | Duration):
        return {"mean": value}
    if isinstance(value, Mapping) and "shape" not in value and (other := _NEED_SHAPE.intersection(value)):
        refuse(
            "missing-field",
            f"`shape` is missing beside `{min(other)}`; write one of {', '.join(SHAPE_NAMES)}.",
        )
    return value


def _open_chance(value: Any) -> Any:
    return {"value": value} if isinstance(value, int | float) and not isinstance(value, bool) else value


_AnyShape = Annotated[
    Annotated[Constant, Tag("constant")]
    | Annotated[Lognormal, Tag("lognormal")]
    | Annotated[Normal, Tag("normal")]
    | Annotated[Triangular, Tag("triangular")]
    | Annotated[Pert, Tag("pert")]
    | Annotated[Uniform, Tag("uniform")]
    | Annotated[Exponential, Tag("exponential")]
    | Annotated[Erlang, Tag("erlang")]
    | Annotated[Gamma, Tag("gamma")]
    | Annotated[Weibull, Tag("weibull")]
    | Annotated[Empirical, Tag("empirical")],
    Discriminator(
        _shape_of,
        custom_error_type="unknown-shape",
        custom_error_message=f"the shapes are {', '.join(SHAPE_NAMES)}.",
    ),
]

Time = Annotated[_AnyShape, BeforeValidator(_open_time, json_schema_input_type=Dur | _AnyShape)]
"""A time: text for a constant one, or a table with a shape."""

Odds = Annotated[Chance, BeforeValidator(_open_chance, json_schema_input_type=Share | Chance)]
"""A chance: a bare number, or a table with `value`."""
