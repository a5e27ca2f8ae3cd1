"""Goodness of fit: distances by hand and by a second library, and chances that are chances."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from linesim.questions.fit.candidates import (
    AS_WELL,
    BOUNDED,
    FITS,
    FITTED,
    LEAST,
    NOT,
    anderson_darling,
    candidates,
    chance,
    distance,
    grid_of,
    kolmogorov_smirnov,
)
from linesim.scenario.shapes import Gamma, Lognormal, Normal, Shape, Uniform, Weibull
from tests.unit.draws.samples import shape

BY_KIND = {family.kind: family for family in FITTED}
STUDIES = 200


def drawn(shape: Shape, n: int, seed: int) -> np.ndarray:
    """Return times drawn from a shape."""
    return shape.quantile(np.random.Generator(np.random.Philox(seed)).random(n))


def test_distances_by_hand() -> None:
    """Two times at the quartiles of a shape: A² = -2 - (2 ln 1/4 + 6 ln 3/4)/2, largest gap 1/4."""
    share = np.array([0.25, 0.75])
    assert anderson_darling(share) == pytest.approx(-2 - (2 * math.log(0.25) + 6 * math.log(0.75)) / 2)
    assert kolmogorov_smirnov(share) == 0.25


def test_distances_agree_with_a_second_library() -> None:
    """A² of a normal fitted with divisor n - 1, and the largest gap, equal those of scipy.stats."""
    times = drawn(Normal(mean="60 s", sd="5 s"), 60, seed=2)
    share = np.sort(stats.norm(times.mean(), times.std(ddof=1)).cdf(times))
    assert anderson_darling(share) == pytest.approx(_anderson(times), rel=1e-9)
    gap = stats.kstest(times, stats.norm(times.mean(), times.std(ddof=1)).cdf).statistic
    assert kolmogorov_smirnov(share) == pytest.approx(float(gap), rel=1e-12)


def _anderson(times: np.ndarray) -> float:
    """Return scipy's A² for a fitted normal, whatever its way of giving chances."""
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return float(stats.anderson(times, dist="norm").statistic)


@pytest.mark.parametrize(("kind", "params"), [("lognormal", (60.0, 0.2)), ("exponential", (300.0,))])
def test_a_true_shape_is_rarely_refused(kind: str, params: tuple[float, ...]) -> None:
    """Times of the very shape are refused in 5 % of studies: of 200 fewer than 12 %, once in 100,000.

    Binomial: 0.05 + 4.5 * sqrt(0.05 * 0.95 / 200) = 0.119. A goodness of fit with the chances of a known
    shape instead of a fitted one would hardly ever refuse: at least one study is asked for.
    """
    family = BY_KIND[kind]
    refused = 0
    for study in range(STUDIES):
        times = drawn(shape(kind, params), 30, seed=study)
        refused += chance(family.fitted(times), times, samples=59, seed=1)[1] <= LEAST
    assert 1 <= refused < 0.119 * STUDIES


def test_chances_are_not_those_of_a_known_shape() -> None:
    """The distance of a fitted shape is held against fitted ones: by known ones it would look too good."""
    family = BY_KIND["lognormal"]
    found, share = [], []
    for study in range(60):
        times = drawn(Lognormal(mean="60 s", cv=0.2), 30, seed=study)
        off, here = chance(family.fitted(times), times, samples=59, seed=1)
        found.append(off)
        share.append(here)
    # Evenly spread chances have mean 1/2 and standard deviation 0.289: of 60 the mean lies within 0.17.
    assert abs(np.mean(share) - 0.5) < 0.17
    known = [
        anderson_darling(np.sort(np.random.Generator(np.random.Philox(s)).random(30))) for s in range(400)
    ]
    assert np.mean(np.array(known) > np.mean(found)) > 0.8


def test_a_wrong_shape_is_refused() -> None:
    """Skewed times are no bell and no exponential, two humps are nothing smooth at all."""
    times = drawn(Lognormal(mean="60 s", cv=0.6), 150, seed=3)
    for kind in ("normal", "exponential", "uniform"):
        assert chance(BY_KIND[kind].fitted(times), times, samples=99)[1] == 0.01
    humps = np.concatenate(
        [drawn(Normal(mean="50 s", sd="2 s"), 40, 1), drawn(Normal(mean="75 s", sd="2 s"), 40, 2)]
    )
    found, _ = candidates(humps, list(BY_KIND), samples=39, seed=1)
    assert found and all(one.fate == NOT for one in found)


def test_times_on_a_grid_are_not_refused_for_it() -> None:
    """Times written to 5 s are held against samples written alike; the grid is seen, a fine one is not."""
    times = np.round(drawn(Lognormal(mean="60 s", cv=0.15), 120, seed=7) / 5) * 5
    assert grid_of(times) == 5
    family = BY_KIND["lognormal"]
    off, share = chance(family.fitted(times), times, samples=99)
    assert share > LEAST
    plain = drawn(Lognormal(mean="60 s", cv=0.15), 120, seed=7)
    assert grid_of(np.round(plain, 1)) == 0 and off > distance(family.fitted(plain), plain)


def test_the_same_seed_gives_the_same_chance() -> None:
    """Samples follow from the seed and the shape alone."""
    family = BY_KIND["gamma"]
    times = drawn(Gamma(mean="60 s", cv=0.3), 40, seed=9)
    one, again, other = (chance(family.fitted(times), times, samples=39, seed=s) for s in (1, 1, 2))
    assert one == again and one[0] == other[0]


def test_the_usual_shape_is_preferred_where_the_data_cannot_tell() -> None:
    """Gamma times of a small spread may as well be lognormal: that one is proposed, gamma fits as well."""
    times = drawn(Gamma(mean="60 s", cv=0.1), 60, seed=4)
    found, _ = candidates(times, ["gamma", "lognormal", "exponential"], samples=39, seed=1)
    assert [one.fate for one in found] == [FITS, AS_WELL, NOT]
    assert [one.kind for one in found] == ["lognormal", "gamma", "exponential"]


def test_shapes_with_two_ends_come_last() -> None:
    """A triangle or uniform is proposed where nothing else fits, and not where its ends make it likelier."""
    flat = drawn(Uniform(low="40 s", high="60 s"), 150, seed=5)
    found, _ = candidates(flat, list(BY_KIND), samples=39, seed=1)
    assert found[0].kind == "uniform" and found[0].fate == FITS
    wide = drawn(Weibull(scale="340 s", power=2.0), 80, seed=6)
    found, _ = candidates(wide, list(BY_KIND), samples=39, seed=1)
    assert found[0].kind not in BOUNDED


def test_what_cannot_be_is_not_tried() -> None:
    """A time of 0 leaves out the shapes that never give one, and says why."""
    times = np.array([0.0, 5.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 15.0])
    found, out = candidates(times, list(BY_KIND), samples=19, seed=1)
    assert {one.kind for one in found} == {"normal", "uniform"}
    assert {left.why for left in out} == {"a time is 0, which it never gives"}
