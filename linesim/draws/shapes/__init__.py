"""Shapes of time: one file a shape, each through its quantile function.

One uniform number in, one time out: no shape redraws or uses a second number. A quantile rises with
its number and with every mean, mode, scale and end, so a changed input moves each draw one way. (The
ends of a PERT are the exception, as moving one alone changes how the mode is weighed. A wider spread
moves draws away from the middle: short ones down, long ones up.)

A new shape is a file with one class (see `Distribution`) and its line in `distribution_of`.
"""

from __future__ import annotations

from collections.abc import Callable

from numpy.typing import ArrayLike

from linesim.draws.shapes.constant import Constant
from linesim.draws.shapes.distribution import Distribution, array, inside
from linesim.draws.shapes.empirical import Empirical
from linesim.draws.shapes.exponential import Exponential
from linesim.draws.shapes.gamma import Erlang, Gamma
from linesim.draws.shapes.lognormal import Lognormal
from linesim.draws.shapes.normal import Normal
from linesim.draws.shapes.pert import Pert
from linesim.draws.shapes.triangular import Triangular
from linesim.draws.shapes.uniform import Uniform
from linesim.draws.shapes.weibull import Weibull
from linesim.plan.arrays import FloatArray
from linesim.plan.shapes import Shape


def distribution_of(shape: Shape) -> Distribution:
    """Return the distribution that ``shape`` describes.

    A mean or scale of 0 leaves no spread whatever the shape is: always 0 s.

    Raises:
        ValueError: If the kind is unknown, or its numbers are too few, too many or out of bounds.
    """
    if shape.kind == "empirical":
        return Empirical(shape.values)
    families: dict[str, tuple[int, Callable[..., Distribution]]] = {
        "constant": (1, Constant),
        "lognormal": (2, Lognormal),
        "normal": (2, Normal),
        "triangular": (3, Triangular),
        "pert": (3, Pert),
        "uniform": (2, Uniform),
        "exponential": (1, Exponential),
        "erlang": (2, Erlang),
        "gamma": (2, Gamma),
        "weibull": (2, Weibull),
    }
    if shape.kind not in families:
        raise ValueError(f"shape must be one of {', '.join([*families, 'empirical'])}, got {shape.kind!r}")
    wanted, family = families[shape.kind]
    if len(shape.params) != wanted:
        raise ValueError(f"{shape.kind}: the number of params must be {wanted}, got {len(shape.params)}")
    if shape.kind in ("lognormal", "exponential", "erlang", "gamma", "weibull") and shape.params[0] == 0:
        return Constant(0.0)
    return family(*shape.params)


def quantile(shape: Shape, u: ArrayLike) -> FloatArray:
    """Return times [s] for uniform numbers, one each.

    Args:
        shape: The distribution.
        u: Numbers in [0, 1], any shape; 0 and 1 are moved half a step and a step inwards (`inside`).

    Returns:
        Times [s], finite and >= 0, of the shape of ``u``.

    Examples:
        >>> quantile(Shape("uniform", (10.0, 20.0)), [0.25, 0.5]).tolist()
        [12.5, 15.0]
    """
    return distribution_of(shape).quantile(inside(u))


def cumulative(shape: Shape, x: ArrayLike) -> FloatArray:
    """Return the share of times that are at most ``x`` [s], of the shape of ``x``."""
    return distribution_of(shape).cumulative(array(x))


def mean_s(shape: Shape) -> float:
    """Return the mean [s] of what is drawn."""
    return distribution_of(shape).mean_s


def sd_s(shape: Shape) -> float:
    """Return the standard deviation [s] of what is drawn."""
    return distribution_of(shape).sd_s


def least_s(shape: Shape) -> float:
    """Return the shortest time [s] that can come."""
    return distribution_of(shape).least_s


def most_s(shape: Shape) -> float:
    """Return the longest time [s] that can come; infinite where there is no end."""
    return distribution_of(shape).most_s
