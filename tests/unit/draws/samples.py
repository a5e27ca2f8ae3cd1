"""Shapes to test with: beside their twins of a second library, without spread, and far out."""

import math

import numpy as np
from scipy import stats

from linesim.draws.shapes import mean_s, sd_s
from linesim.plan.shapes import Shape

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
    (Shape("lognormal", (60.0, 0.1)), lognormal(60, 0.1)),
    (Shape("lognormal", (45.0, 0.3)), lognormal(45, 0.3)),
    (Shape("lognormal", (360.0, 2.0)), lognormal(360, 2.0)),
    (Shape("normal", (60.0, 9.0)), cut_normal(60, 9)),
    (Shape("normal", (1.0, 0.5)), cut_normal(1, 0.5)),
    (Shape("normal", (0.0, 2.0)), cut_normal(0, 2)),
    (Shape("triangular", (40.0, 50.0, 75.0)), triangular(40, 50, 75)),
    (Shape("triangular", (40.0, 40.0, 75.0)), triangular(40, 40, 75)),
    (Shape("triangular", (40.0, 75.0, 75.0)), triangular(40, 75, 75)),
    (Shape("pert", (40.0, 50.0, 75.0)), pert(40, 50, 75)),
    (Shape("pert", (10.0, 12.0, 20.0)), pert(10, 12, 20)),
    (Shape("pert", (10.0, 10.0, 20.0)), pert(10, 10, 20)),
    (Shape("uniform", (30.0, 90.0)), stats.uniform(30, 60)),
    (Shape("exponential", (300.0,)), stats.expon(scale=300)),
    (Shape("erlang", (60.0, 4.0)), stats.gamma(4, scale=15)),
    (Shape("erlang", (60.0, 1.0)), stats.expon(scale=60)),
    (Shape("gamma", (60.0, 0.2)), stats.gamma(25, scale=2.4)),
    (Shape("gamma", (60.0, 1.5)), stats.gamma(1 / 2.25, scale=60 * 2.25)),
    (Shape("weibull", (338.51375013, 2.0)), stats.weibull_min(2, scale=338.51375013)),
    (Shape("weibull", (100.0, 0.7)), stats.weibull_min(0.7, scale=100)),
)
FLAT = (
    Shape("constant", (61.0,)),
    Shape("constant", (0.0,)),
    Shape("lognormal", (60.0, 0.0)),
    Shape("normal", (60.0, 0.0)),
    Shape("triangular", (50.0, 50.0, 50.0)),
    Shape("pert", (50.0, 50.0, 50.0)),
    Shape("uniform", (50.0, 50.0)),
    Shape("gamma", (60.0, 0.0)),
    Shape("lognormal", (0.0, 0.2)),
    Shape("exponential", (0.0,)),
    Shape("erlang", (0.0, 3.0)),
    Shape("gamma", (0.0, 0.5)),
    Shape("weibull", (0.0, 2.0)),
    Shape("empirical", values=(50.0,)),
    Shape("empirical", values=(50.0, 50.0)),
)
EXTREME = (
    Shape("lognormal", (60.0, 5.0)),
    Shape("normal", (1.0, 50.0)),
    Shape("normal", (60.0, 1e-6)),
    Shape("gamma", (60.0, 1e-6)),
    Shape("gamma", (60.0, 100.0)),
    Shape("erlang", (60.0, 1000000.0)),
    Shape("weibull", (60.0, 0.05)),
    Shape("weibull", (60.0, 1e6)),
    Shape("exponential", (1e9,)),
    Shape("empirical", values=MEASURED),
)
EVERY = (*(shape for shape, _ in PAIRS), *FLAT, *EXTREME)
#: Without those whose mean is made by times so rare that no sum over a grid sees them.
SUMMABLE = tuple(shape for shape in EVERY if sd_s(shape) <= 3 * mean_s(shape))
GRID = np.concatenate([[2.0**-53, 1e-12, 1e-6], np.linspace(0.001, 0.999, 999), [1 - 1e-6, 1 - 1e-12]])
