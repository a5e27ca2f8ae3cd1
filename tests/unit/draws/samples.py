"""Shapes to test with: beside their twins of a second library, without spread, and far out."""

import math
from collections.abc import Sequence
from types import MappingProxyType

import numpy as np
from scipy import stats

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
from linesim.ticks import Duration, of_seconds

#: The fields of each kind, in the order in which tests list their figures.
FIELDS = MappingProxyType(
    {
        "constant": ("mean",), "exponential": ("mean",), "lognormal": ("mean", "cv"), "gamma": ("mean", "cv"),
        "erlang": ("mean", "stages"), "weibull": ("scale", "power"), "normal": ("mean", "sd"),
        "uniform": ("low", "high"), "triangular": ("low", "mode", "high"), "pert": ("low", "mode", "high"),
    }
)  # fmt: skip


def shape(kind: str, figures: Sequence[float]) -> Shape:
    """Return the shape of a kind with its figures, times in seconds."""
    family = next(family for family in SHAPES if family.kind == kind)
    given = dict(zip(FIELDS[kind], figures, strict=True))
    plain = {"cv": float, "power": float, "stages": int}
    return family(**{n: plain[n](v) if n in plain else of_seconds(v) for n, v in given.items()})


def figures(made: Shape) -> tuple[float, ...]:
    """Return the figures of a shape, times in seconds."""
    if made.kind not in FIELDS:  # measured times
        return ()
    return tuple(v.seconds if isinstance(v, Duration) else float(v) for v in made.figures.values())


MEASURED = (41.0, 44.5, 44.5, 47.0, 52.0, 60.5)


def lognormal(mean, cv):
    """Return the second library's lognormal of a mean and a coefficient of variation."""
    sigma = math.sqrt(math.log(1 + cv * cv))
    return stats.lognorm(sigma, scale=mean * math.exp(-sigma * sigma / 2))


def pert(a, m, b):
    """Return the second library's beta-PERT."""
    return stats.beta(1 + 4 * (m - a) / (b - a), 1 + 4 * (b - m) / (b - a), loc=a, scale=b - a)


def triangular(a, m, b):
    """Return the second library's triangular distribution."""
    return stats.triang((m - a) / (b - a), loc=a, scale=b - a)


def cut_normal(mean, sd):
    """Return the second library's normal distribution without its part below 0."""
    return stats.truncnorm(-mean / sd, np.inf, loc=mean, scale=sd)


#: Our shape beside the same distribution in scipy.stats.
PAIRS = (
    (Lognormal(mean="60 s", cv=0.1), lognormal(60, 0.1)),
    (Lognormal(mean="45 s", cv=0.3), lognormal(45, 0.3)),
    (Lognormal(mean="360 s", cv=2.0), lognormal(360, 2.0)),
    (Normal(mean="60 s", sd="9 s"), cut_normal(60, 9)),
    (Normal(mean="1 s", sd="0.5 s"), cut_normal(1, 0.5)),
    (Normal(mean="0 s", sd="2 s"), cut_normal(0, 2)),
    (Triangular(low="40 s", mode="50 s", high="75 s"), triangular(40, 50, 75)),
    (Triangular(low="40 s", mode="40 s", high="75 s"), triangular(40, 40, 75)),
    (Triangular(low="40 s", mode="75 s", high="75 s"), triangular(40, 75, 75)),
    (Pert(low="40 s", mode="50 s", high="75 s"), pert(40, 50, 75)),
    (Pert(low="10 s", mode="12 s", high="20 s"), pert(10, 12, 20)),
    (Pert(low="10 s", mode="10 s", high="20 s"), pert(10, 10, 20)),
    (Uniform(low="30 s", high="90 s"), stats.uniform(30, 60)),
    (Exponential(mean="300 s"), stats.expon(scale=300)),
    (Erlang(mean="60 s", stages=4), stats.gamma(4, scale=15)),
    (Erlang(mean="60 s", stages=1), stats.expon(scale=60)),
    (Gamma(mean="60 s", cv=0.2), stats.gamma(25, scale=2.4)),
    (Gamma(mean="60 s", cv=1.5), stats.gamma(1 / 2.25, scale=60 * 2.25)),
    (Weibull(scale="338.51375013 s", power=2.0), stats.weibull_min(2, scale=338.51375013)),
    (Weibull(scale="100 s", power=0.7), stats.weibull_min(0.7, scale=100)),
)
FLAT = (
    Constant(mean="61 s"),
    Constant(mean="0 s"),
    Lognormal(mean="60 s", cv=0.0),
    Normal(mean="60 s", sd="0 s"),
    Triangular(low="50 s", mode="50 s", high="50 s"),
    Pert(low="50 s", mode="50 s", high="50 s"),
    Uniform(low="50 s", high="50 s"),
    Gamma(mean="60 s", cv=0.0),
    Weibull(mean="60 s", cv=0.0),
    Empirical(values_s=(50.0,)),
    Empirical(values_s=(50.0, 50.0)),
)
EXTREME = (
    Lognormal(mean="60 s", cv=5.0),
    Normal(mean="1 s", sd="50 s"),
    Normal(mean="60 s", sd="0.000001 s"),
    Gamma(mean="60 s", cv=1e-6),
    Gamma(mean="60 s", cv=100.0),
    Erlang(mean="60 s", stages=1000),
    Weibull(scale="60 s", power=0.1),
    Weibull(scale="60 s", power=100.0),
    Exponential(mean="1000000000 s"),
    Empirical(values_s=MEASURED),
)
EVERY = (*(made for made, _ in PAIRS), *FLAT, *EXTREME)
#: Without those whose mean is made by times so rare that no sum over a grid sees them.
SUMMABLE = tuple(made for made in EVERY if made.sd_s <= 3 * made.mean_s)
GRID = np.concatenate([[2.0**-53, 1e-12, 1e-6], np.linspace(0.001, 0.999, 999), [1 - 1e-6, 1 - 1e-12]])
