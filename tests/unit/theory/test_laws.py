"""Distributions: parameters, spreads and quantiles against closed forms and a slow library."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats as reference

from linesim.theory import laws
from linesim.theory.laws import integrate
from tests.formulas.laws import cut_normal, pert, sum_sd, triangular, weibull_power

ALL = [
    laws.normal(54, 5.4),
    cut_normal(1, 0.5),
    laws.lognormal(60, 0.2),
    laws.uniform(45, 63),
    laws.gamma(60, 0.2),
    laws.erlang(60, 4),
    laws.exponential(54),
    laws.weibull(300, 2),
    triangular(40, 50, 75),
    triangular(40, 40, 75),
    triangular(40, 75, 75),
    pert(40, 50, 75),
]


@pytest.mark.parametrize("law", ALL, ids=lambda law: law.name)
def test_mean_and_spread_follow_from_the_curve(law: laws.Law) -> None:
    """Mean and spread must be those of the distribution curve itself."""
    bends = (law.low, *law.bends, law.high)
    mean = law.high - integrate(law.below, law.low, law.high, bends=bends)
    square = law.high**2 - integrate(lambda x: 2 * x * law.below(x), law.low, law.high, bends=bends)
    assert mean == pytest.approx(law.mean, rel=1e-9)
    assert math.sqrt(square - mean**2) == pytest.approx(law.sd, rel=1e-7)


@pytest.mark.parametrize("law", ALL, ids=lambda law: law.name)
def test_quantile_undoes_the_curve(law: laws.Law) -> None:
    """The quantile of the chance of a value must be the value."""
    p = np.array([1e-6, 0.01, 0.2, 0.5, 0.9, 0.999])
    assert law.below(law.quantile(p)) == pytest.approx(p, rel=1e-9)
    assert float(law.below(law.low - 1)) == pytest.approx(0, abs=1e-15)
    assert float(law.below(law.high)) == pytest.approx(1, abs=1e-15)


def test_lognormal() -> None:
    """Lognormal quantiles and skewness must be those of the closed form."""
    # mu = ln(mean) - sigma^2 / 2, sigma^2 = ln(1 + cv^2); recomputed
    for mean, cv, mu, sigma, q95 in (
        (60, 0.1, 4.08936940, 0.09975135, 70.347395),
        (60, 0.2, 4.07473421, 0.19804220, 81.490352),
        (45, 0.3, 3.76357364, 0.29356038, 69.856106),
    ):
        law = laws.lognormal(mean, cv)
        assert math.log(law.quantile(0.5)) == pytest.approx(mu, abs=6e-9)
        assert math.log(law.quantile(0.9) / law.quantile(0.5)) / 1.2815515655446004 == pytest.approx(
            sigma, abs=6e-9
        )
        assert float(law.quantile(0.95)) == pytest.approx(q95, abs=6e-7)
    assert float(reference.lognorm(0.19804220).stats("s")) == pytest.approx(
        0.2 * (3 + 0.2**2), abs=1e-6
    )  # cv (3 + cv^2) = 0.608


def test_triangular_and_pert() -> None:
    """Triangular and beta-PERT must have their published means, spreads and medians."""
    tri = triangular(40, 50, 75)  # recomputed: closed form
    assert (tri.mean, tri.sd, float(tri.quantile(0.5))) == pytest.approx(
        (55, 7.35980072, 54.083499), abs=5e-7
    )
    assert triangular(0.7, 1, 1.6).sd == pytest.approx(0.18708287, abs=6e-9)
    found = pert(40, 50, 75)
    assert (found.mean, found.sd) == pytest.approx((52.5, 6.33865691), abs=6e-9)
    assert abs(found.sd - (75 - 40) / 6) > 0.5  # the classical value 5.83 is only an approximation
    other = pert(10, 12, 20)
    assert (other.mean, other.sd) == pytest.approx((13, 1.73205081), abs=6e-9)


def test_gamma_and_weibull() -> None:
    """Gamma, Erlang and Weibull must have their published parameters."""
    law = laws.gamma(60, 0.2)  # shape 25, scale 2.4; recomputed
    assert float(law.quantile(0.95)) == pytest.approx(81.005768, abs=6e-7)
    assert float(law.below(70)) == pytest.approx(reference.gamma(25, scale=2.4).cdf(70))
    assert 1 - float(laws.erlang(60, 4).below(72)) == pytest.approx(0.29422992, abs=6e-9)
    assert laws.weibull_scale(300, 2) == pytest.approx(338.51375013, abs=6e-9)
    assert laws.weibull(300, 2).cv == pytest.approx(0.52272320, abs=6e-9)
    assert laws.weibull_scale(300, 1.5) == pytest.approx(332.31965023, abs=6e-9)
    assert weibull_power(0.3) == pytest.approx(3.71377237, abs=6e-9)
    assert laws.weibull_scale(60, 3.71377237) == pytest.approx(66.47183204, abs=6e-8)
    assert weibull_power(0.5) == pytest.approx(2.10134909, abs=6e-9)


def test_normal_cut_at_zero() -> None:
    """Cutting a normal time at zero must raise its mean by 2.8 % at a cv of a half."""
    law = cut_normal(1, 0.5)
    assert (law.mean, law.sd) == pytest.approx((1.02762393, 0.47075789), abs=6e-9)  # recomputed


def test_sum_of_task_times() -> None:
    """Independent tasks must add variances, one pace must add spreads."""
    spreads = [0.2 * t for t in (12, 18, 9, 15)]
    assert sum_sd(spreads) == pytest.approx(5.56417110, abs=6e-9)
    assert sum_sd(spreads) / 54 == pytest.approx(0.10304, abs=6e-6)
    assert sum_sd(spreads, one_pace=True) == pytest.approx(10.8)


def test_wrong_parameters_are_named() -> None:
    """What is no distribution must be refused by name."""
    with pytest.raises(ValueError, match="sd must be > 0"):
        laws.normal(1, 0)
    with pytest.raises(ValueError, match="low <= mode <= high"):
        triangular(2, 1, 3)
    with pytest.raises(ValueError, match="cv must lie between"):
        weibull_power(0.001)
