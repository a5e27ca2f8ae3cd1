"""Shapes with two ends: constant, uniform, triangular, beta-PERT, and the measured times themselves."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Literal, Self

import numpy as np
from pydantic import Field, model_validator

from linesim import special
from linesim.scenario.base import Dur, refuse
from linesim.scenario.shapes.shape import FloatArray, Shape, array, in_seconds

Sample = Annotated[float, Field(strict=True, ge=0, le=1e9)]
_FAR = 20.0  #: When ends are fitted, they are looked for up to so many ranges of the data away.


class Constant(Shape):
    """Always the same time. A bare text such as `"48 s"` means this."""

    kind: ClassVar[str] = "constant"
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
        """The time [s]."""
        return self.mean.seconds

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]: none."""
        return 0.0

    @property
    def least_s(self) -> float:
        """The time [s]."""
        return self.mean.seconds

    @property
    def most_s(self) -> float:
        """The time [s]."""
        return self.mean.seconds


class _TwoEnds(Shape):
    """Times from `low` to `high`."""

    if TYPE_CHECKING:  # fields of each shape, so that they stand in the order of the times
        low: Dur
        high: Dur

    @property
    def _ends(self) -> tuple[float, float, float]:
        """Shortest time, longest time and what lies between them [s]."""
        low, high = self.low.seconds, self.high.seconds
        return low, high, high - low

    @property
    def least_s(self) -> float:
        """Shortest time [s]."""
        return self.low.seconds

    @property
    def most_s(self) -> float:
        """Longest time [s]."""
        return self.high.seconds


class Uniform(_TwoEnds):
    """Every time from `low` to `high` is equally likely."""

    kind: ClassVar[str] = "uniform"
    n_free: ClassVar[int] = 2
    above_zero: ClassVar[bool] = False
    shape: Literal["uniform"] = Field("uniform", description="`uniform`")
    low: Dur = Field(description="Shortest time.")
    high: Dur = Field(description="Longest time.")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.low.seconds <= self.high.seconds:
            refuse("out-of-order", f"found low {self.low}, high {self.high}; low <= high must hold.")
        return self

    @property
    def mean_s(self) -> float:
        """Mean [s]: the middle."""
        return (self.low.seconds + self.high.seconds) / 2

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]."""
        return self._ends[2] / math.sqrt(12)

    def _quantile(self, u: FloatArray) -> FloatArray:
        low, _, width = self._ends
        return low + u * width

    def _cumulative(self, x: FloatArray) -> FloatArray:
        low, _, width = self._ends
        return np.clip((x - low) / width, 0, 1)

    def _log_density(self, x: FloatArray) -> FloatArray:
        return np.full(x.shape, -math.log(self._ends[2]))

    @classmethod
    def fitted(cls, times: FloatArray) -> Uniform:
        """Return shortest and longest of the times."""
        return cls.model_construct(low=in_seconds(float(times.min())), high=in_seconds(float(times.max())))


class _ThreePoints(_TwoEnds):
    """Times from `low` to `high` with a most likely one."""

    low: Dur = Field(description="Shortest time.")
    mode: Dur = Field(description="Most likely time.")
    high: Dur = Field(description="Longest time.")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.low.seconds <= self.mode.seconds <= self.high.seconds:
            refuse(
                "out-of-order",
                f"found low {self.low}, mode {self.mode}, high {self.high}; low <= mode <= high must hold.",
            )
        return self


class Triangular(_ThreePoints):
    """Three estimates joined by straight lines.

    Mean ``(a + b + c) / 3``, variance ``(a² + b² + c² - ab - ac - bc) / 18``.
    """

    kind: ClassVar[str] = "triangular"
    n_free: ClassVar[int] = 3
    shape: Literal["triangular"] = Field("triangular", description="`triangular`")

    @property
    def _sides(self) -> tuple[float, float]:
        """From the shortest time to the mode, and from the mode to the longest [s]."""
        return self.mode.seconds - self.low.seconds, self.high.seconds - self.mode.seconds

    @property
    def mean_s(self) -> float:
        """Mean [s]."""
        return (self.low.seconds + self.mode.seconds + self.high.seconds) / 3

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]."""
        rise, fall = self._sides
        return math.sqrt((rise * rise + rise * fall + fall * fall) / 18)

    def _quantile(self, u: FloatArray) -> FloatArray:
        """Return a root from the low end below the mode, from the high end above it."""
        low, high, width = self._ends
        rise, fall = self._sides
        return np.where(
            u * width < rise, low + np.sqrt(u * (width * rise)), high - np.sqrt((1 - u) * (width * fall))
        )

    def _cumulative(self, x: FloatArray) -> FloatArray:
        low, high, width = self._ends
        rise, fall = self._sides
        below = np.clip(x - low, 0, None) ** 2 / (width * rise) if rise else np.zeros(x.shape)
        above = 1 - np.clip(high - x, 0, None) ** 2 / (width * fall) if fall else np.ones(x.shape)
        return np.where(x < low, 0.0, np.where(x < self.mode.seconds, below, above))

    def _log_density(self, x: FloatArray) -> FloatArray:
        low, high, width = self._ends
        rise, fall = self._sides
        rising = (x - low) / rise if rise > 0 else np.ones_like(x)
        falling = (high - x) / fall if fall > 0 else np.ones_like(x)
        return np.asarray(np.log(np.where(x <= self.mode.seconds, rising, falling)) + math.log(2 / width))

    @classmethod
    def fitted(cls, times: FloatArray) -> Triangular:
        """Return the most likely triangle.

        For given ends the most likely mode is one of the times: between two of them the likelihood has no
        maximum. So only the ends are searched: J. R. van Dorp and S. Kotz, Beyond Beta (2004), from memory.
        """
        x = np.sort(times)
        rank = np.arange(1, x.size + 1)

        def by_mode(low: float, high: float) -> FloatArray:
            left, right = np.log(x - low), np.log(high - x)
            below = np.cumsum(left) - rank * left
            above = (right.sum() - np.cumsum(right)) - (x.size - rank) * right
            return np.asarray(below + above - x.size * math.log((high - low) / 2))

        low, high = _likely_ends(x, lambda a, b: float(by_mode(a, b).max()))
        mode = float(x[int(np.argmax(by_mode(low, high)))])
        return cls.model_construct(low=in_seconds(low), mode=in_seconds(mode), high=in_seconds(high))


class Pert(_ThreePoints):
    """Three estimates joined by a smooth curve (beta-PERT, weight 4 on the mode).

    ``alpha = 1 + 4 (m - a) / (b - a)``, ``beta = 1 + 4 (b - m) / (b - a)``; the standard deviation is the
    beta's own, ``sqrt((mean - a) (b - mean) / 7)``; the well-known ``(b - a) / 6`` is only near it.
    """

    kind: ClassVar[str] = "pert"
    n_free: ClassVar[int] = 3
    shape: Literal["pert"] = Field("pert", description="`pert`")

    @property
    def _powers(self) -> tuple[float, float]:
        low, high, width = self._ends
        return 1 + 4 * (self.mode.seconds - low) / width, 1 + 4 * (high - self.mode.seconds) / width

    @property
    def mean_s(self) -> float:
        """Mean [s]."""
        return (self.low.seconds + 4 * self.mode.seconds + self.high.seconds) / 6

    @property
    def sd_s(self) -> float:
        """Standard deviation [s]."""
        return math.sqrt(max((self.mean_s - self.low.seconds) * (self.high.seconds - self.mean_s), 0.0) / 7)

    def _quantile(self, u: FloatArray) -> FloatArray:
        low, _, width = self._ends
        return low + width * array(special.betaincinv(*self._powers, u))

    def _cumulative(self, x: FloatArray) -> FloatArray:
        low, _, width = self._ends
        return array(special.betainc(*self._powers, np.clip((x - low) / width, 0, 1)))

    def _log_density(self, x: FloatArray) -> FloatArray:
        low, high, width = self._ends
        m = (self.mode.seconds - low) / width
        whole = 5 * math.log(width) + float(special.betaln(1 + 4 * m, 5 - 4 * m))
        return np.asarray(4 * m * np.log(x - low) + 4 * (1 - m) * np.log(high - x) - whole)

    @classmethod
    def fitted(cls, times: FloatArray) -> Pert:
        """Return the most likely beta-PERT.

        For given ends the likelihood is concave in the place of the mode, whose best value solves an
        equation of digamma functions; so only the ends are searched.
        """
        x = np.sort(times)

        def place(low: float, high: float) -> float:
            return _mode_share(float((np.log(x - low) - np.log(high - x)).mean()))

        def likelihood(low: float, high: float) -> float:
            m = place(low, high)
            before, behind = float(np.log(x - low).sum()), float(np.log(high - x).sum())
            whole = 5 * math.log(high - low) + float(special.betaln(1 + 4 * m, 5 - 4 * m))
            return 4 * m * before + 4 * (1 - m) * behind - x.size * whole

        low, high = _likely_ends(x, likelihood)
        mode = low + place(low, high) * (high - low)
        return cls.model_construct(low=in_seconds(low), mode=in_seconds(mode), high=in_seconds(high))


def _mode_share(gap: float) -> float:
    """Return the m in [0, 1] with ``digamma(1 + 4 m) - digamma(5 - 4 m) = gap``, by bisection."""
    low, high = 0.0, 1.0
    for _ in range(50):
        m = (low + high) / 2
        if float(special.digamma(1 + 4 * m)) - float(special.digamma(5 - 4 * m)) < gap:
            low = m
        else:
            high = m
    return (low + high) / 2


def _likely_ends(x: FloatArray, likelihood: Callable[[float, float], float]) -> tuple[float, float]:
    """Return the most likely ends below and above all times, the lower one not below 0.

    Searched as the logarithms of the distances from the outermost times, by the method of Nelder and
    Mead.
    """
    from scipy.optimize import minimize

    span = float(x[-1] - x[0])
    most_below = float(min(x[0], _FAR * span))

    def ends(at: FloatArray) -> tuple[float, float]:
        below = most_below / (1 + math.exp(-min(max(float(at[0]), -30.0), 30.0)))
        above = span * math.exp(min(max(float(at[1]), -20.0), math.log(_FAR)))
        return float(x[0]) - below, float(x[-1]) + above

    start = min(0.5, 0.1 * span / most_below)

    def loss(at: np.ndarray[tuple[int], np.dtype[np.float64]]) -> float:
        return -likelihood(*ends(at))

    begin = [math.log(start / (1 - start)), math.log(0.1)]
    return ends(minimize(loss, begin, method="Nelder-Mead", tol=1e-4).x)


class Empirical(Shape):
    """Measured times, each as likely as the next; read from a column of a table.

    Joined by straight lines: of ``n`` sorted times, time ``i`` (from 0) is the quantile of
    ``(i + 1/2) / n``; between two of them the quantile runs in a straight line, and before the first and
    after the last it is flat. So

    - the mean is exactly the mean of the measured times, whatever ``n``;
    - nothing shorter or longer than what was measured ever comes;
    - a small change of ``u`` is a small change of the time, which plain redrawing of the measured
      values does not give (two alternatives then keep more in common).

    The standard deviation is a little below that of the measured times (the lines cut the corners).
    Plotting positions: A. Hazen, "Storage to be provided in impounding reservoirs", Transactions
    ASCE 77 (1914) 1539-1640.
    """

    kind: ClassVar[str] = "empirical"
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
    def _has_values(self) -> Self:
        if not self.values_s:
            refuse("missing-field", "measured times need `file` and `column`, or `values_s`.")
        return self

    @cached_property
    def _sorted(self) -> FloatArray:
        return np.sort(np.array(self.values_s, dtype=np.float64))

    @property
    def mean_s(self) -> float:
        """Mean [s]: that of the measured times."""
        return math.fsum(self.values_s) / len(self.values_s)

    @property
    def sd_s(self) -> float:
        """Standard deviation of what is drawn [s]."""
        off = self._sorted - self.mean_s
        a, b = off[:-1], off[1:]
        ends = (off[0] ** 2 + off[-1] ** 2) / 2
        return math.sqrt(float(ends + np.sum(a * a + a * b + b * b) / 3) / off.size)

    @property
    def least_s(self) -> float:
        """Shortest measured time [s]."""
        return min(self.values_s)

    @property
    def most_s(self) -> float:
        """Longest measured time [s]."""
        return max(self.values_s)

    def _quantile(self, u: FloatArray) -> FloatArray:
        n = len(self.values_s)
        return np.interp(u, (np.arange(n) + 0.5) / n, self._sorted)

    def _cumulative(self, x: FloatArray) -> FloatArray:
        """Return the share of times up to ``x`` [s]; it jumps where a measured time repeats."""
        times, n = self._sorted, len(self.values_s)
        last = np.searchsorted(times, x, side="right") - 1
        here = np.clip(last, 0, n - 1)
        step = np.append(np.diff(times), math.inf)[here]
        part = np.clip((x - times[here]) / np.where(step > 0, step, 1.0), 0, 1)
        share = (here + 0.5 + part) / n
        return np.where(last < 0, 0.0, np.where(last == n - 1, 1.0, share))
