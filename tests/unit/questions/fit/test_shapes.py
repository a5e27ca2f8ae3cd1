"""Most likely parameters: those of a second library, published figures of shapes, and proper maxima."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from linesim.questions.fit.candidates import FITTED
from linesim.scenario.shapes import Exponential, Gamma, Lognormal, Normal, Shape, Weibull
from tests.unit.draws.samples import figures, shape

BY_KIND = {family.kind: family for family in FITTED}
every = pytest.mark.parametrize("family", FITTED, ids=lambda family: family.kind)

#: A shape of each kind, of an ordinary task or failure.
SHAPES = {
    "lognormal": (60.0, 0.2), "gamma": (60.0, 0.2), "erlang": (60.0, 4.0), "weibull": (338.51375013, 2.0),
    "normal": (60.0, 6.0), "triangular": (40.0, 50.0, 75.0), "pert": (40.0, 50.0, 75.0),
    "uniform": (40.0, 75.0), "exponential": (300.0,),
}  # fmt: skip


def spread_evenly(shape: Shape, n: int = 4000) -> np.ndarray:
    """Return times that lie as the shape says, without luck: its quantiles at the middles of n steps."""
    return shape.quantile((np.arange(n) + 0.5) / n)


def drawn(shape: Shape, n: int = 300, seed: int = 5) -> np.ndarray:
    """Return times drawn from a shape."""
    return shape.quantile(np.random.Generator(np.random.Philox(seed)).random(n))


@every
def test_a_shape_is_found_again_in_its_own_times(family: type[Shape]) -> None:
    """Times that lie exactly as a shape says give its parameters back, to the fineness of their grid."""
    made = shape(family.kind, SHAPES[family.kind])
    times = spread_evenly(made)
    found = family.fitted(times)
    assert figures(found) == pytest.approx(figures(made), rel=0.02)
    assert found.mean_s == pytest.approx(made.mean_s, rel=2e-3)
    assert found.sd_s == pytest.approx(made.sd_s, rel=2e-2)


@pytest.mark.parametrize(
    ("kind", "params", "mean", "sd", "q95"),
    [  # recomputed from the definitions of the shapes, closed forms
        ("lognormal", (60, 0.1), 60, 6, 70.347395),
        ("lognormal", (60, 0.2), 60, 12, 81.490352),
        ("lognormal", (45, 0.3), 45, 13.5, 69.856106),
        ("triangular", (40, 50, 75), 55, 7.35980072, None),
        ("pert", (40, 50, 75), 52.5, 6.33865691, None),  # not (b - a)/6 = 5.833
        ("gamma", (60, 0.2), 60, 12, 81.005768),
        ("erlang", (60, 4), 60, 30, None),
        ("weibull", (338.51375013, 2), 300, 300 * 0.52272320, None),
        ("weibull", (332.31965023, 1.5), 300, None, None),
        ("weibull", (66.47183204, 3.71377237), 60, 18, None),
        ("normal", (1, 0.5), 1.02762393, 0.47075789, None),  # cut at 0: the mean is 2.8 % higher
    ],
)
def test_fitted_shapes_have_the_published_moments(
    kind: str, params: tuple[float, ...], mean: float, sd: float | None, q95: float | None
) -> None:
    """What is fitted to times of a known shape has its mean, spread and 95 % point."""
    times = spread_evenly(shape(kind, params), 20_000)
    found = BY_KIND[kind].fitted(times)
    assert found.mean_s == pytest.approx(mean, rel=1e-3)
    if sd is not None:
        assert found.sd_s == pytest.approx(sd, rel=5e-3)
    if q95 is not None:
        assert float(found.quantile(0.95)) == pytest.approx(q95, rel=2e-3)


def test_parameters_agree_with_a_second_library() -> None:
    """On drawn times the parameters of lognormal, gamma and Weibull equal those of scipy.stats.fit."""
    times = drawn(Gamma(mean="60 s", cv=0.3))
    sigma, _, scale = stats.lognorm.fit(times, floc=0)
    mean, cv = figures(Lognormal.fitted(times))
    assert (math.log(mean) - math.log1p(cv**2) / 2, math.sqrt(math.log1p(cv**2))) == pytest.approx(
        (math.log(scale), sigma), rel=1e-5
    )
    k, _, scale = stats.gamma.fit(times, floc=0)
    assert figures(Gamma.fitted(times)) == pytest.approx((k * scale, 1 / math.sqrt(k)), rel=1e-4)
    power, _, scale = stats.weibull_min.fit(times, floc=0)
    assert figures(Weibull.fitted(times)) == pytest.approx((scale, power), rel=1e-4)


def test_likelihoods_agree_with_a_second_library() -> None:
    """The logarithm of the likelihood of each shape equals that of scipy.stats."""
    others = {
        "lognormal": stats.lognorm(math.sqrt(math.log1p(0.04)), scale=60 / math.sqrt(1.04)),
        "gamma": stats.gamma(25, scale=2.4),
        "erlang": stats.gamma(4, scale=15),
        "weibull": stats.weibull_min(2, scale=338.51375013),
        "normal": stats.truncnorm(-10, np.inf, loc=60, scale=6),
        "triangular": stats.triang(10 / 35, loc=40, scale=35),
        "pert": stats.beta(1 + 40 / 35, 1 + 100 / 35, loc=40, scale=35),
        "uniform": stats.uniform(40, 35),
        "exponential": stats.expon(scale=300),
    }
    for kind, other in others.items():
        made = shape(kind, SHAPES[kind])
        times = drawn(made, 50)
        found = made.log_likelihood(times)
        assert found == pytest.approx(float(other.logpdf(times).sum()), rel=1e-9), kind


@every
def test_no_near_parameters_are_more_likely(family: type[Shape]) -> None:
    """Moving a fitted parameter up or down by 2 % never makes the times more likely."""
    times = drawn(shape(family.kind, SHAPES[family.kind]), 120)
    best = figures(family.fitted(times))
    most = family.fitted(times).log_likelihood(times)
    for place in range(len(best)):
        for factor in (0.98, 1.02):
            params = list(best)
            params[place] *= factor
            if family.kind == "erlang" and place == 1:
                params[place] = best[1] + (1 if factor > 1 else -1)
            ends = (min(params), max(params))
            if len(params) == 3 and (ends[0] != params[0] or ends[1] != params[2]):
                continue
            if family.kind in ("uniform", "triangular", "pert") and (
                params[0] >= times.min() or params[-1] <= times.max()
            ):
                continue  # such a shape cannot give all the times
            other = shape(family.kind, params).log_likelihood(times)
            assert other <= most + 1e-6, (place, factor)


def test_a_normal_that_is_far_from_0_is_the_usual_one() -> None:
    """With nothing to cut off, mean and standard deviation are those of the data; with much, half a bell."""
    times = drawn(Normal(mean="60 s", sd="5 s"))
    assert figures(Normal.fitted(times)) == pytest.approx((times.mean(), times.std()))
    wide = drawn(Exponential(mean="60 s"), 500)
    centre, sd = figures(Normal.fitted(wide))
    assert centre == 0 and sd == pytest.approx(math.sqrt((wide**2).mean()))
