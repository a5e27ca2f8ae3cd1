"""Published figures of each shape, measured times, and impossible numbers."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from linesim.scenario.shapes import (
    HIGHEST,
    LOWEST,
    Empirical,
    Erlang,
    Gamma,
    Lognormal,
    Normal,
    Pert,
    Triangular,
    Uniform,
    Weibull,
    inside,
)
from tests.unit.draws.samples import MEASURED


@pytest.mark.parametrize(
    ("mean", "cv", "mu", "sigma", "q95"),
    [  # sigma² = ln(1 + cv²), mu = ln(mean) - sigma²/2; quantiles recomputed from these
        (60, 0.1, 4.08936940, 0.09975135, 70.347395),
        (60, 0.2, 4.07473421, 0.19804220, 81.490352),
        (45, 0.3, 3.76357364, 0.29356038, 69.856106),
    ],
)
def test_lognormal_by_its_definition(mean, cv, mu, sigma, q95):
    """A lognormal of given mean and cv has the logarithmic mean and deviation that follow from them."""
    shape = Lognormal(mean=f"{mean} s", cv=cv)
    made = shape
    assert (made.mu, made.sigma) == pytest.approx((mu, sigma), abs=5e-9)
    assert float(shape.quantile(0.95)) == pytest.approx(q95, abs=5e-7)


def test_lognormal_skewness():
    """Lognormal times of cv 0.2 have skewness 3 cv + cv³ = 0.608."""
    sigma = Lognormal(mean="60 s", cv=0.2).sigma
    w = math.exp(sigma**2)
    assert (w + 2) * math.sqrt(w - 1) == pytest.approx(0.608, abs=1e-12)


def test_triangular_by_its_formulas():
    """Mean (a+b+c)/3 = 55, variance (a²+b²+c²-ab-ac-bc)/18 and the median of (40, 50, 75) come out."""
    shape = Triangular(low="40 s", mode="50 s", high="75 s")
    assert shape.mean_s == 55
    assert shape.sd_s == pytest.approx(7.35980072, abs=5e-9)  # sqrt(975/18)
    assert float(shape.quantile(0.5)) == pytest.approx(54.083499, abs=5e-7)  # 75 - sqrt(0.5·35·25)
    assert Triangular(low="0.7 s", mode="1 s", high="1.6 s").sd_s == pytest.approx(0.18708287, abs=5e-9)


def test_pert_deviation_is_the_betas_own():
    """The deviation of (40, 50, 75) is sqrt((mean-a)(b-mean)/7) = 6.3387, not (b-a)/6 = 5.8333."""
    shape = Pert(low="40 s", mode="50 s", high="75 s")
    assert (shape.mean_s, shape.sd_s) == pytest.approx((52.5, 6.33865691), abs=5e-9)
    other = Pert(low="10 s", mode="12 s", high="20 s")
    assert (other.mean_s, other.sd_s) == pytest.approx((13.0, math.sqrt(3)), abs=1e-12)


def test_gamma_erlang_weibull_figures():
    """Figures of gamma, Erlang and Weibull times that follow from their formulas come out."""
    assert float(Gamma(mean="60 s", cv=0.2).quantile(0.95)) == pytest.approx(
        81.005768, abs=5e-7
    )  # Γ(25, 2.4)
    erlang = Erlang(mean="60 s", stages=4)
    assert 1 - float(erlang.cumulative(72.0)) == pytest.approx(0.29422992, abs=5e-9)  # Σ e^-4.8 4.8^i/i!, i<4
    weibull = Weibull(scale="338.51375013 s", power=2.0)
    assert weibull.mean_s == pytest.approx(300, abs=1e-7)  # scale Γ(1.5)
    assert weibull.sd_s / weibull.mean_s == pytest.approx(0.52272320, abs=5e-9)  # sqrt(4/π - 1)
    assert Weibull(scale="332.31965023 s", power=1.5).mean_s == pytest.approx(300, abs=1e-7)  # scale Γ(5/3)
    narrow = Weibull(scale="66.47183204 s", power=3.71377237)
    assert (narrow.mean_s, narrow.sd_s) == pytest.approx((60, 18), abs=1e-6)  # cv 0.3
    other = Weibull(scale="1 s", power=2.10134909)
    assert other.sd_s / other.mean_s == pytest.approx(0.5, abs=5e-9)


def test_normal_is_cut_and_made_whole():
    """A normal (1, 0.5) without its negative part has mean 1 + 0.5·φ(2)/Φ(2), deviation 0.4708."""
    shape = Normal(mean="1 s", sd="0.5 s")
    assert shape.mean_s == pytest.approx(1.02762393, abs=5e-9)
    assert shape.sd_s == pytest.approx(0.47075789, abs=5e-9)


def test_empirical_keeps_the_measured_mean_and_range():
    """Measured times keep their mean exactly and their shortest and longest; halfway values lie on lines."""
    shape = Empirical(values_s=MEASURED)
    assert shape.mean_s == pytest.approx(sum(MEASURED) / 6)
    assert shape.quantile([0.0, 1 / 12, 3 / 12, 10 / 12, 11 / 12, 1.0]).tolist() == pytest.approx(
        [41.0, 41.0, 44.5, 56.25, 60.5, 60.5]
    )
    exact, _ = integrate.quad(lambda u: float(shape.quantile(u)), 0, 1, points=[i / 12 for i in range(12)])
    square, _ = integrate.quad(
        lambda u: float(shape.quantile(u)) ** 2, 0, 1, points=[i / 12 for i in range(12)]
    )
    assert (shape.mean_s, shape.sd_s) == pytest.approx((exact, math.sqrt(square - exact**2)), rel=1e-9)


def test_empirical_share_jumps_where_times_repeat():
    """The share of times up to x is 0 before the first, jumps by 1/n at a repeated time, and ends at 1."""
    shape = Empirical(values_s=MEASURED)
    x = [40.9, 41.0, 42.75, 44.5, 45.75, 60.4999999, 60.5, 99.0]
    share = [0.0, 1 / 12, 2 / 12, 5 / 12, 6 / 12, 11 / 12, 1.0, 1.0]
    assert shape.cumulative(x).tolist() == pytest.approx(share, abs=1e-8)
    assert float(shape.cumulative(44.4999999)) == pytest.approx(3 / 12, abs=1e-8)


@given(st.lists(st.floats(0, 1e6), min_size=1, max_size=30), st.floats(0, 1))
def test_empirical_stays_within_what_was_measured(times, u):
    """No draw is shorter than the shortest or longer than the longest measured time."""
    shape = Empirical(values_s=tuple(times))
    assert min(times) <= float(shape.quantile(u)) <= max(times)


def test_numbers_are_moved_off_the_ends_only():
    """0 becomes half a step, 1 the last number of the grid; every other drawn number stays as it is."""
    drawn = [0.0, 2.0**-53, 0.3, 1 - 2.0**-53, 1.0]
    assert inside(drawn).tolist() == [LOWEST, 2.0**-53, 0.3, HIGHEST, HIGHEST]


@pytest.mark.parametrize("u", [-0.1, 1.1, math.nan])
def test_numbers_outside_are_refused(u):
    """A uniform number outside [0, 1] is an error, not a time."""
    with pytest.raises(ValueError, match=r"must be in \[0, 1\]"):
        Uniform(low="1 s", high="2 s").quantile([0.5, u])
