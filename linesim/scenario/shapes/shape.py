"""What every shape of time can say of itself, and the care all of them take at the ends.

One uniform number in, one time out: no shape redraws or uses a second number. A quantile rises with
its number and with every mean, mode, scale and end, so a changed input moves each draw one way. (The
ends of a PERT are the exception, as moving one alone changes how the mode is weighed. A wider spread
moves draws away from the middle: short ones down, long ones up.)
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pydantic import ConfigDict, Field, ValidationError, model_validator

from linesim.scenario.base import Dur, Weighed, or_percent, refuse
from linesim.ticks import Duration

FloatArray = NDArray[np.float64]

LOWEST = 2.0**-54  #: Half a step of the grid on which uniform numbers lie.
HIGHEST = 1.0 - 2.0**-53  #: The last number of that grid.

Spread = Annotated[float, or_percent(0, 100), Field(strict=True, ge=0, le=100)]


def inside(u: ArrayLike) -> FloatArray:
    """Return uniform numbers moved off 0 and 1, where a quantile may be infinite.

    Drawn numbers are 0, 2**-53, 2·2**-53, … 1 - 2**-53. A 0 becomes `LOWEST`, the middle between it and
    nothing at all; 1, which is never drawn, becomes `HIGHEST`. No other drawn number moves, and order
    is kept.

    Raises:
        ValueError: If a number is not in [0, 1].
    """
    numbers = np.asarray(u, dtype=np.float64)
    if numbers.size and not (numbers.min() >= 0 and numbers.max() <= 1):
        raise ValueError("uniform numbers must be in [0, 1]")
    return np.clip(numbers, LOWEST, HIGHEST)


def array(values: object) -> FloatArray:
    """Return ``values`` as float64, as libraries without exact types hand them over."""
    return np.asarray(values, dtype=np.float64)


def in_seconds(value: float) -> Duration:
    """Return a computed length of time [s], unchecked: what becomes of it is checked as a whole."""
    return Duration(value, "s", value)


def _shape_is_needed(schema: dict[str, Any], kind: type[Shape]) -> None:
    """Say in the schema which shapes may go without their name, and that `value` is a word for `mean`."""
    if kind.kind == "constant":
        schema["properties"]["value"] = schema["properties"]["mean"]
        schema["required"] = [name for name in schema["required"] if name != "mean"]
        schema["oneOf"] = [{"required": ["mean"]}, {"required": ["value"]}]
    elif kind.kind != "lognormal":
        schema["required"] = ["shape", *schema.get("required", ())]


class Shape(Weighed):
    """Base of the shapes that a time can have: distributions of times >= 0.

    A new shape is a class with its fields (each with unit, limits and words for the reference), a name in
    `kind`, its mean, spread and ends, and how a share of all times becomes a time (`_quantile`) and a time
    a share (`_cumulative`). One that measured times can be fitted to also says its most likely fields
    (`fitted`), the logarithm of its density and the number of its free fields.
    """

    model_config = ConfigDict(json_schema_extra=_shape_is_needed)

    kind: ClassVar[str]  #: What a scenario calls it.
    n_free: ClassVar[int] = 0  #: Fields that are fitted; 0: the shape is not fitted.
    above_zero: ClassVar[bool] = True  #: Whether a time of 0 cannot have come from it, or is its lower end.

    @cached_property
    def _said(self) -> tuple[Any, ...]:
        """What it is and what was said of it, without what was worked out from that and kept."""
        return type(self), *(getattr(self, name) for name in type(self).model_fields)

    def __eq__(self, other: object) -> bool:
        return self is other or (isinstance(other, Shape) and self._said == other._said)

    def __hash__(self) -> int:
        return hash(self._said)

    @property
    def mean_s(self) -> float:
        """Mean of what is drawn [s]."""
        raise NotImplementedError

    @property
    def sd_s(self) -> float:
        """Standard deviation of what is drawn [s]."""
        raise NotImplementedError

    @property
    def least_s(self) -> float:
        """Shortest time that can come [s]."""
        raise NotImplementedError

    @property
    def most_s(self) -> float:
        """Longest time that can come [s]; infinite where there is no end."""
        raise NotImplementedError

    @cached_property
    def is_flat(self) -> bool:
        """Whether only one time can come."""
        return self.least_s == self.most_s

    def _quantile(self, u: FloatArray) -> FloatArray:
        """Return the times [s] that a share ``u`` stays below; 0 < u < 1, with a spread."""
        raise NotImplementedError

    def _cumulative(self, x: FloatArray) -> FloatArray:
        """Return the share of times that are at most ``x`` [s], with a spread."""
        raise NotImplementedError

    def _log_density(self, x: FloatArray) -> FloatArray:
        """Return the logarithm of the density [1/s] at times, with a spread."""
        raise NotImplementedError

    @classmethod
    def fitted(cls, times: FloatArray) -> Shape:
        """Return the most likely distribution of this shape for times [s], not checked (`is_usable`)."""
        raise NotImplementedError

    def quantile(self, u: ArrayLike) -> FloatArray:
        """Return times [s] for uniform numbers, one each.

        Args:
            u: Numbers in [0, 1], of any form; 0 and 1 are moved half a step and a step inwards (`inside`).

        Returns:
            Times [s], finite and >= 0, of the form of ``u``.
        """
        numbers = inside(u)
        return np.full(numbers.shape, self.least_s) if self.is_flat else self._quantile(numbers)

    @classmethod
    def quantiles(cls, laws: Sequence[Self], u: FloatArray) -> FloatArray:
        """Return times [s] of several shapes of one kind, a row of ``u`` each; as `quantile` gives them."""
        return np.array([law.quantile(row) for law, row in zip(laws, u, strict=True)])

    def cumulative(self, x: ArrayLike) -> FloatArray:
        """Return the share of times that are at most ``x`` [s], of the form of ``x``."""
        times = np.asarray(x, dtype=np.float64)
        return array(times >= self.least_s) if self.is_flat else self._cumulative(times)

    def log_likelihood(self, times: FloatArray) -> float:
        """Return the logarithm of the likelihood of times [s]."""
        return float(self._log_density(times).sum())

    @property
    def figures(self) -> dict[str, Any]:
        """The fields that say how long it takes, without the name of the shape and where they come from."""
        given = {name: getattr(self, name) for name in type(self).model_fields if name != "shape"}
        return {n: v for n, v in given.items() if n not in Weighed.model_fields and v not in (None, ())}

    @property
    def bare(self) -> Self:
        """The same shape without where its figures come from and how well they are known."""
        if self.source is None and self.confidence is None and self.range is None:
            return self
        return self.model_copy(update=dict.fromkeys(Weighed.model_fields))

    @property
    def is_usable(self) -> bool:
        """Whether a scenario takes the fields."""
        lengths = [value.seconds for value in self.figures.values() if isinstance(value, Duration)]
        if not np.isfinite(lengths).all():
            return False
        try:
            type(self)(**self.figures)
        except ValidationError:
            return False
        return True


class TakesTime(Shape):
    """A shape that has no sense at a mean of 0."""

    @model_validator(mode="after")
    def _takes_time(self) -> Self:
        if not self.mean_s > 0:
            refuse("out-of-range", f'found a mean of 0; a {self.kind} time has more, or write "0 s" alone.')
        return self


class OfMean(TakesTime):
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
