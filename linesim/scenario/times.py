"""A time: text for a constant one, or a table that names a shape and its figures."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import Discriminator, Tag

from linesim.scenario.base import DURATION, Opened, refuse
from linesim.scenario.problems import shown
from linesim.scenario.shapes import (
    SHAPES,
    Constant,
    Empirical,
    Erlang,
    Exponential,
    Gamma,
    Lognormal,
    Normal,
    Pert,
    Shape,
    Triangular,
    Uniform,
    Weibull,
)
from linesim.ticks import Duration

#: Figures that say nothing without the name of a shape.
_NEED_SHAPE = frozenset(
    {"low", "mode", "high", "sd", "stages", "scale", "power", "file", "column", "values_s"}
)
SHAPE_NAMES: tuple[str, ...] = tuple(shape.kind for shape in SHAPES)


def _shape_of(value: Any) -> str | None:
    """Return the name of the shape that a raw value asks for."""
    if isinstance(value, Shape):
        return value.kind
    if isinstance(value, Mapping):
        if "shape" in value:
            name = value["shape"]
            return name if name in SHAPE_NAMES else None
        return "lognormal" if "cv" in value else "constant"
    return "constant"


def _open_time(value: Any) -> Any:
    if isinstance(value, str | int | float | Duration) and not isinstance(value, bool):
        return {"mean": value}
    if not isinstance(value, Mapping | Shape):
        refuse("bad-time", f'found {shown(value)}; write a time such as "61 s", or a table with a shape.')
    if isinstance(value, Mapping) and "shape" not in value and (other := _NEED_SHAPE.intersection(value)):
        refuse(
            "missing-field",
            f"`shape` is missing beside `{min(other)}`; write one of {', '.join(SHAPE_NAMES)}.",
        )
    return value


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

Time = Annotated[_AnyShape, Opened(_open_time, lambda shape: (DURATION, shape))]
"""A time: text for a constant one, or a table with a shape."""
