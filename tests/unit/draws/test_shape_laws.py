"""What holds for every shape: it agrees with a second library, rises, and never gives a time that is none."""

import numpy as np
import pytest

from tests.unit.draws.samples import EVERY, GRID, PAIRS, SUMMABLE, shape


def name_of(item):
    """Return kind and figures of a shape; nothing of its twin."""
    return f"{item.kind}{tuple(item.figures.values())}" if hasattr(item, "kind") else ""


pairs = pytest.mark.parametrize(("shape", "other"), PAIRS, ids=name_of)
every = pytest.mark.parametrize("shape", EVERY, ids=name_of)


@pairs
def test_quantile_agrees_with_a_second_library(shape, other):
    """Quantiles equal those of scipy.stats from one end to the other (the upper half by the share above)."""
    theirs = np.where(GRID < 0.5, other.ppf(GRID), other.isf(1 - GRID))
    np.testing.assert_allclose(shape.quantile(GRID), theirs, rtol=1e-8, atol=1e-10)


@pairs
def test_cumulative_agrees_with_a_second_library(shape, other):
    """The share of times up to x equals that of scipy.stats, below, inside and above the range."""
    x = np.concatenate([[-5.0, 0.0], other.ppf(np.linspace(0.01, 0.99, 99)), [other.ppf(0.999) * 2]])
    np.testing.assert_allclose(shape.cumulative(x), other.cdf(x), rtol=1e-9, atol=1e-12)


@pairs
def test_moments_agree_with_a_second_library(shape, other):
    """Mean and standard deviation equal those of scipy.stats."""
    assert shape.mean_s == pytest.approx(other.mean(), rel=1e-9)
    assert shape.sd_s == pytest.approx(other.std(), rel=1e-8)


@pairs
def test_ends_agree_with_a_second_library(shape, other):
    """Shortest and longest time equal the ends of the other library's range."""
    assert (shape.least_s, shape.most_s) == pytest.approx(other.support())


@pytest.mark.parametrize("shape", SUMMABLE, ids=name_of)
def test_moments_are_those_of_the_quantile(shape):
    """Mean and deviation equal the integrals of the quantile function: no formula stands alone."""
    grid = (np.arange(400_000) + 0.5) / 400_000
    times = shape.quantile(grid)
    assert times.mean() == pytest.approx(shape.mean_s, rel=3e-3, abs=1e-9)
    assert times.std() == pytest.approx(shape.sd_s, rel=3e-2, abs=1e-5 * shape.mean_s + 1e-9)


@every
def test_every_number_gives_a_time(shape):
    """0, 1, their neighbours and all between give finite times >= 0 within the shape's own ends."""
    u = np.concatenate([[0.0, 2.0**-54, 2.0**-53, 2.0**-52], GRID, [1 - 2.0**-53, 1.0]])
    times = shape.quantile(u)
    assert np.isfinite(times).all()
    assert (times >= max(0.0, shape.least_s)).all()
    assert (times <= shape.most_s).all()


@every
def test_time_rises_with_the_number(shape):
    """A larger uniform number never gives a shorter time (but for the last digits of rounding)."""
    times = shape.quantile(np.sort(np.concatenate([GRID, np.linspace(0, 1, 5001)])))
    assert (np.diff(times) >= -1e-12 * times[1:]).all()


@every
def test_cumulative_turns_the_quantile_back(shape):
    """The share of times up to the quantile of u is u, or more where one time has a share of its own."""
    if shape.least_s == shape.most_s:
        assert shape.cumulative([shape.least_s - 1e-6, shape.least_s]).tolist() == [0.0, 1.0]
        return
    u = np.linspace(0.02, 0.98, 97)
    u = u[shape.quantile(u) > 0]  # with a cv of 100 most gamma times are too small for a float
    assert u.size >= 5
    share = shape.cumulative(shape.quantile(u))
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
        base, moved = shape(kind, params).quantile(GRID), shape(kind, more).quantile(GRID)
        assert (moved >= base * (1 - 1e-12)).all()
        assert moved[500] > base[500]


@pytest.mark.parametrize("kind", ["lognormal", "gamma"])
def test_spread_moves_draws_away_from_the_middle(kind):
    """With a wider spread the short tenth of the draws gets shorter, the long tenth longer."""
    u = np.array([0.001, 0.01, 0.1, 0.9, 0.99, 0.999])
    narrow, wide = shape(kind, (60.0, 0.2)).quantile(u), shape(kind, (60.0, 0.3)).quantile(u)
    assert (wide < narrow).tolist() == [True, True, True, False, False, False]
