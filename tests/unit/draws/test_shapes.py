"""Every shape gives the published figures, agrees with a second library, and never a time that is none."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from linesim.draws.shapes import cumulative, distribution_of, least_s, mean_s, most_s, quantile, sd_s
from linesim.draws.shapes.distribution import HIGHEST, LOWEST, inside
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
pairs = pytest.mark.parametrize(("shape", "other"), PAIRS, ids=lambda x: str(getattr(x, "params", "")))
every = pytest.mark.parametrize("shape", EVERY, ids=lambda shape: f"{shape.kind}{shape.params}")


@pairs
def test_quantile_agrees_with_a_second_library(shape, other):
    """Quantiles equal those of scipy.stats from one end to the other (the upper half by the share above)."""
    theirs = np.where(GRID < 0.5, other.ppf(GRID), other.isf(1 - GRID))
    np.testing.assert_allclose(quantile(shape, GRID), theirs, rtol=1e-8, atol=1e-10)


@pairs
def test_cumulative_agrees_with_a_second_library(shape, other):
    """The share of times up to x equals that of scipy.stats, below, inside and above the range."""
    x = np.concatenate([[-5.0, 0.0], other.ppf(np.linspace(0.01, 0.99, 99)), [other.ppf(0.999) * 2]])
    np.testing.assert_allclose(cumulative(shape, x), other.cdf(x), rtol=1e-9, atol=1e-12)


@pairs
def test_moments_agree_with_a_second_library(shape, other):
    """Mean and standard deviation equal those of scipy.stats."""
    assert mean_s(shape) == pytest.approx(other.mean(), rel=1e-9)
    assert sd_s(shape) == pytest.approx(other.std(), rel=1e-8)


@pairs
def test_ends_agree_with_a_second_library(shape, other):
    """Shortest and longest time equal the ends of the other library's range."""
    assert (least_s(shape), most_s(shape)) == pytest.approx(other.support())


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
    shape = Shape("lognormal", (mean, cv))
    made = distribution_of(shape)
    assert (made.mu, made.sigma) == pytest.approx((mu, sigma), abs=5e-9)
    assert float(quantile(shape, 0.95)) == pytest.approx(q95, abs=5e-7)


def test_lognormal_skewness():
    """Lognormal times of cv 0.2 have skewness 3 cv + cv³ = 0.608."""
    sigma = distribution_of(Shape("lognormal", (60.0, 0.2))).sigma
    w = math.exp(sigma**2)
    assert (w + 2) * math.sqrt(w - 1) == pytest.approx(0.608, abs=1e-12)


def test_triangular_by_its_formulas():
    """Mean (a+b+c)/3 = 55, variance (a²+b²+c²-ab-ac-bc)/18 and the median of (40, 50, 75) come out."""
    shape = Shape("triangular", (40.0, 50.0, 75.0))
    assert mean_s(shape) == 55
    assert sd_s(shape) == pytest.approx(7.35980072, abs=5e-9)  # sqrt(975/18)
    assert float(quantile(shape, 0.5)) == pytest.approx(54.083499, abs=5e-7)  # 75 - sqrt(0.5·35·25)
    assert sd_s(Shape("triangular", (0.7, 1.0, 1.6))) == pytest.approx(0.18708287, abs=5e-9)


def test_pert_deviation_is_the_betas_own():
    """The deviation of (40, 50, 75) is sqrt((mean-a)(b-mean)/7) = 6.3387, not (b-a)/6 = 5.8333."""
    shape = Shape("pert", (40.0, 50.0, 75.0))
    assert (mean_s(shape), sd_s(shape)) == pytest.approx((52.5, 6.33865691), abs=5e-9)
    other = Shape("pert", (10.0, 12.0, 20.0))
    assert (mean_s(other), sd_s(other)) == pytest.approx((13.0, math.sqrt(3)), abs=1e-12)


def test_gamma_erlang_weibull_figures():
    """Figures of gamma, Erlang and Weibull times that follow from their formulas come out."""
    assert float(quantile(Shape("gamma", (60.0, 0.2)), 0.95)) == pytest.approx(
        81.005768, abs=5e-7
    )  # Γ(25, 2.4)
    erlang = Shape("erlang", (60.0, 4.0))
    assert 1 - float(cumulative(erlang, 72.0)) == pytest.approx(
        0.29422992, abs=5e-9
    )  # Σ e^-4.8 4.8^i/i!, i<4
    weibull = Shape("weibull", (338.51375013, 2.0))
    assert mean_s(weibull) == pytest.approx(300, abs=1e-7)  # scale Γ(1.5)
    assert sd_s(weibull) / mean_s(weibull) == pytest.approx(0.52272320, abs=5e-9)  # sqrt(4/π - 1)
    assert mean_s(Shape("weibull", (332.31965023, 1.5))) == pytest.approx(300, abs=1e-7)  # scale Γ(5/3)
    narrow = Shape("weibull", (66.47183204, 3.71377237))
    assert (mean_s(narrow), sd_s(narrow)) == pytest.approx((60, 18), abs=1e-6)  # cv 0.3
    assert distribution_of(Shape("weibull", (1.0, 2.10134909))).cv == pytest.approx(0.5, abs=5e-9)


def test_normal_is_cut_and_made_whole():
    """A normal (1, 0.5) without its negative part has mean 1 + 0.5·φ(2)/Φ(2), deviation 0.4708."""
    shape = Shape("normal", (1.0, 0.5))
    assert mean_s(shape) == pytest.approx(1.02762393, abs=5e-9)
    assert sd_s(shape) == pytest.approx(0.47075789, abs=5e-9)


@pytest.mark.parametrize("shape", SUMMABLE, ids=lambda shape: f"{shape.kind}{shape.params}")
def test_moments_are_those_of_the_quantile(shape):
    """Mean and deviation equal the integrals of the quantile function: no formula stands alone."""
    grid = (np.arange(400_000) + 0.5) / 400_000
    times = quantile(shape, grid)
    assert times.mean() == pytest.approx(mean_s(shape), rel=3e-3, abs=1e-9)
    assert times.std() == pytest.approx(sd_s(shape), rel=3e-2, abs=1e-5 * mean_s(shape) + 1e-9)


@every
def test_every_number_gives_a_time(shape):
    """0, 1, their neighbours and all between give finite times >= 0 within the shape's own ends."""
    u = np.concatenate([[0.0, 2.0**-54, 2.0**-53, 2.0**-52], GRID, [1 - 2.0**-53, 1.0]])
    times = quantile(shape, u)
    assert np.isfinite(times).all()
    assert (times >= max(0.0, least_s(shape))).all()
    assert (times <= most_s(shape)).all()


@every
def test_time_rises_with_the_number(shape):
    """A larger uniform number never gives a shorter time (but for the last digits of rounding)."""
    times = quantile(shape, np.sort(np.concatenate([GRID, np.linspace(0, 1, 5001)])))
    assert (np.diff(times) >= -1e-12 * times[1:]).all()


@every
def test_cumulative_turns_the_quantile_back(shape):
    """The share of times up to the quantile of u is u, or more where one time has a share of its own."""
    if least_s(shape) == most_s(shape):
        assert cumulative(shape, [least_s(shape) - 1e-6, least_s(shape)]).tolist() == [0.0, 1.0]
        return
    u = np.linspace(0.02, 0.98, 97)
    u = u[quantile(shape, u) > 0]  # with a cv of 100 most gamma times are too small for a float
    assert u.size >= 5
    share = cumulative(shape, quantile(shape, u))
    assert (share >= u - 1e-6).all()
    if shape.kind != "empirical":
        np.testing.assert_allclose(share, u, atol=1e-6)


RISING = {
    "lognormal": ((60.0, 0.2), (0,)),
    "normal": ((60.0, 20.0), (0,)),
    "triangular": ((40.0, 50.0, 75.0), (0, 1, 2)),
    "pert": ((40.0, 50.0, 75.0), (1,)),  # an end moved alone also changes how the mode is weighed
    "uniform": ((40.0, 75.0), (0, 1)),
    "exponential": ((60.0,), (0,)),
    "erlang": ((60.0, 3.0), (0,)),
    "gamma": ((60.0, 0.4), (0,)),
    "weibull": ((60.0, 1.5), (0,)),
    "constant": ((60.0,), (0,)),
}


@pytest.mark.parametrize("kind", RISING)
def test_time_rises_with_means_ends_modes_and_scales(kind):
    """Every single draw gets longer, or stays, when a mean, a mode, a scale or (but for PERT) an end does."""
    params, places = RISING[kind]
    for place in places:
        more = list(params)
        more[place] += 4.0
        base, moved = quantile(Shape(kind, params), GRID), quantile(Shape(kind, tuple(more)), GRID)
        assert (moved >= base * (1 - 1e-12)).all()
        assert moved[500] > base[500]


@pytest.mark.parametrize("kind", ["lognormal", "gamma"])
def test_spread_moves_draws_away_from_the_middle(kind):
    """With a wider spread the short tenth of the draws gets shorter, the long tenth longer."""
    u = np.array([0.001, 0.01, 0.1, 0.9, 0.99, 0.999])
    narrow, wide = quantile(Shape(kind, (60.0, 0.2)), u), quantile(Shape(kind, (60.0, 0.3)), u)
    assert (wide < narrow).tolist() == [True, True, True, False, False, False]


def test_empirical_keeps_the_measured_mean_and_range():
    """Measured times keep their mean exactly and their shortest and longest; halfway values lie on lines."""
    shape = Shape("empirical", values=MEASURED)
    assert mean_s(shape) == pytest.approx(sum(MEASURED) / 6)
    assert quantile(shape, [0.0, 1 / 12, 3 / 12, 10 / 12, 11 / 12, 1.0]).tolist() == pytest.approx(
        [41.0, 41.0, 44.5, 56.25, 60.5, 60.5]
    )
    exact, _ = integrate.quad(lambda u: float(quantile(shape, u)), 0, 1, points=[i / 12 for i in range(12)])
    square, _ = integrate.quad(
        lambda u: float(quantile(shape, u)) ** 2, 0, 1, points=[i / 12 for i in range(12)]
    )
    assert (mean_s(shape), sd_s(shape)) == pytest.approx((exact, math.sqrt(square - exact**2)), rel=1e-9)


def test_empirical_share_jumps_where_times_repeat():
    """The share of times up to x is 0 before the first, jumps by 1/n at a repeated time, and ends at 1."""
    shape = Shape("empirical", values=MEASURED)
    x = [40.9, 41.0, 42.75, 44.5, 45.75, 60.4999999, 60.5, 99.0]
    share = [0.0, 1 / 12, 2 / 12, 5 / 12, 6 / 12, 11 / 12, 1.0, 1.0]
    assert cumulative(shape, x).tolist() == pytest.approx(share, abs=1e-8)
    assert float(cumulative(shape, 44.4999999)) == pytest.approx(3 / 12, abs=1e-8)


@given(st.lists(st.floats(0, 1e6), min_size=1, max_size=30), st.floats(0, 1))
def test_empirical_stays_within_what_was_measured(times, u):
    """No draw is shorter than the shortest or longer than the longest measured time."""
    shape = Shape("empirical", values=tuple(sorted(times)))
    assert min(times) <= float(quantile(shape, u)) <= max(times)


def test_numbers_are_moved_off_the_ends_only():
    """0 becomes half a step, 1 the last number of the grid; every other drawn number stays as it is."""
    drawn = [0.0, 2.0**-53, 0.3, 1 - 2.0**-53, 1.0]
    assert inside(drawn).tolist() == [LOWEST, 2.0**-53, 0.3, HIGHEST, HIGHEST]


@pytest.mark.parametrize("u", [-0.1, 1.1, math.nan])
def test_numbers_outside_are_refused(u):
    """A uniform number outside [0, 1] is an error, not a time."""
    with pytest.raises(ValueError, match=r"must be in \[0, 1\]"):
        quantile(Shape("uniform", (1.0, 2.0)), [0.5, u])


@pytest.mark.parametrize(
    ("shape", "message"),
    [
        (Shape("triangel", (1.0,)), "shape must be one of constant, .*, got 'triangel'"),
        (Shape("lognormal", (1.0,)), "lognormal: the number of params must be 2, got 1"),
        (Shape("constant", (-1.0,)), "constant: value must be >= 0 and finite, got value=-1"),
        (Shape("constant", (math.inf,)), "constant: value must be >= 0"),
        (Shape("lognormal", (-60.0, 0.2)), "lognormal: mean must be > 0"),
        (Shape("lognormal", (60.0, -0.2)), "lognormal: .*cv=-0.2"),
        (Shape("normal", (-1.0, 1.0)), "normal: mean and sd must be >= 0"),
        (Shape("triangular", (3.0, 2.0, 4.0)), "triangular: 0 <= low <= mode <= high"),
        (
            Shape("pert", (1.0, 5.0, 4.0)),
            "pert: 0 <= low <= mode <= high must hold, got low=1, mode=5, high=4",
        ),
        (Shape("uniform", (3.0, 2.0)), "uniform: 0 <= low <= high"),
        (Shape("exponential", (-1.0,)), "exponential: mean must be > 0"),
        (Shape("erlang", (60.0, 2.5)), "erlang: .*stages=2.5"),
        (Shape("gamma", (60.0, 101.0)), "gamma: .*cv=101"),
        (Shape("weibull", (60.0, 0.01)), "weibull: .*power=0.01"),
        (Shape("weibull", (math.nan, 1.0)), "weibull: .*scale=nan"),
        (Shape("empirical"), "empirical: at least one time"),
        (Shape("empirical", values=(2.0, 1.0)), "empirical: .* sorted, got place=1, before=2, time=1"),
        (Shape("empirical", values=(-1.0,)), "empirical: times must be >= 0"),
    ],
    ids=str,
)
def test_impossible_shapes_are_refused(shape, message):
    """A shape with an unknown kind or impossible numbers is refused with the numbers in the message."""
    with pytest.raises(ValueError, match=message):
        distribution_of(shape)
