"""Shapes of time: each is one class, what a scenario says of it, what it draws and how it is fitted."""

from linesim.scenario.shapes.bell import Lognormal, Normal
from linesim.scenario.shapes.bounded import Constant, Empirical, Pert, Sample, Triangular, Uniform
from linesim.scenario.shapes.shape import HIGHEST, LOWEST, Shape, inside
from linesim.scenario.shapes.waiting import Erlang, Exponential, Gamma, Weibull

__all__ = [
    "HIGHEST",
    "LOWEST",
    "SHAPES",
    "Constant",
    "Empirical",
    "Erlang",
    "Exponential",
    "Gamma",
    "Lognormal",
    "Normal",
    "Pert",
    "Sample",
    "Shape",
    "Triangular",
    "Uniform",
    "Weibull",
    "inside",
]

#: In the order of the reference; those that can be fitted are told in the order of `fit`.
SHAPES: tuple[type[Shape], ...] = (
    Constant, Lognormal, Normal, Triangular, Pert, Uniform, Exponential, Erlang, Gamma, Weibull, Empirical,
)  # fmt: skip
