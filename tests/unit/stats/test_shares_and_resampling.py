"""Shares and resampling: published intervals, coverage, determinism."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats as reference

from linesim.stats.intervals import bootstrap_interval, mean_interval, share_interval


def test_three_of_twenty() -> None:
    """Three of twenty independent replications must have the tabled interval of Wilson."""
    made = share_interval([1] * 3 + [0] * 17, [1] * 20)
    assert (made.low, made.high) == pytest.approx((0.052369, 0.360419), abs=6e-7)  # recomputed: scipy
    assert (made.mean, made.n, made.method) == (0.15, 20, "Wilson over replications")


@pytest.mark.parametrize(("hits", "n"), [(0, 12), (1, 12), (7, 12), (12, 12), (3, 1000)])
def test_shares_agree_with_the_slow_library(hits: int, n: int) -> None:
    """One case a replication must have the interval of scipy.stats, at 0 and 1 too."""
    known = reference.binomtest(hits, n).proportion_ci(0.9, method="wilson")
    made = share_interval([1] * hits + [0] * (n - hits), [1] * n, confidence=0.9)
    assert (made.low, made.high) == pytest.approx((known.low, known.high), abs=1e-9)


def test_cases_that_hang_together_are_worth_fewer() -> None:
    """Replications of all or nothing are one case each; those that all say the same, all their cases."""
    together = share_interval([5, 0, 5, 5, 0, 5], [5] * 6)
    known = reference.binomtest(4, 6).proportion_ci(method="wilson")
    assert together.low is not None and together.high is not None
    # Six cases, and a variance known from six replications only, trusted less than that of thirty cases.
    trust = (reference.t.ppf(0.975, 29) / reference.t.ppf(0.975, 5)) ** 2
    assert trust < 0.64 and together.low < known.low and together.high > known.high
    apart = share_interval([3] * 6, [5] * 6)
    known = reference.binomtest(18, 30).proportion_ci(method="wilson")
    assert (apart.low, apart.high) == pytest.approx((known.low, known.high), abs=1e-9)


def test_all_shifts_make_it_says_what_is_known() -> None:
    """All of twelve replications: the share is at least 12 / (12 + z**2), however many shifts each has."""
    for shifts in (1, 5):
        made = share_interval([shifts] * 12, [shifts] * 12)
        assert (made.mean, made.high) == (1.0, 1.0)
        assert made.low == pytest.approx(12 / (12 + 1.959964**2), abs=1e-6)


def test_bootstrap_of_a_mean_is_close_to_students_t() -> None:
    """For well-behaved data the bootstrap interval of a mean must be close to Student's."""
    data = np.random.default_rng(8).normal(400.0, 6.0, size=60)
    made = bootstrap_interval(lambda rows: data[rows].mean(axis=1), 60)
    known = mean_interval(data)
    assert known.half_width is not None
    assert made.mean == pytest.approx(known.mean)
    assert made.low == pytest.approx(known.low, abs=0.15 * known.half_width)
    assert made.high == pytest.approx(known.high, abs=0.15 * known.half_width)


def test_bootstrap_cuts_off_what_the_slow_library_cuts_off() -> None:
    """With 200,000 studies each, BCa bounds must be those of scipy.stats up to the luck of drawing.

    Of right-skewed data the lower bound lies where drawn figures are dense and varies by 0.1 % of
    their spread, the upper one far out and by 1.5 %. The tolerances are five times the luck of both or more.
    """
    data = np.exp(np.random.default_rng(4).normal(size=9))
    made = bootstrap_interval(lambda rows: data[rows].mean(axis=1), 9, studies=200_000)
    known = reference.bootstrap(
        (data,), np.mean, n_resamples=200_000, batch=20_000, method="BCa", rng=np.random.default_rng(5)
    )
    bounds, spread = known.confidence_interval, known.standard_error
    assert made.low == pytest.approx(bounds.low, abs=0.01 * spread)
    assert made.high == pytest.approx(bounds.high, abs=0.11 * spread)


def test_resampling_is_repeatable() -> None:
    """The same seed must give the same bytes, another seed another interval."""
    values = np.random.default_rng(3).normal(400, 10, size=60)

    def mean(rows: np.ndarray) -> np.ndarray:
        return values[rows].mean(axis=1)

    assert bootstrap_interval(mean, 60) == bootstrap_interval(mean, 60)
    assert bootstrap_interval(mean, 60, seed=2) != bootstrap_interval(mean, 60, seed=1)


@pytest.mark.parametrize("studies", [100, 250, 400])
def test_resampling_draws_as_many_studies_as_asked(studies: int) -> None:
    """Of three replications: the study itself, those drawn, and one without each of the three."""
    seen: list[tuple[int, int]] = []

    def middle(rows: np.ndarray) -> np.ndarray:
        seen.append(rows.shape)
        return rows.mean(axis=1)

    bootstrap_interval(middle, 3, studies=studies)
    assert sum(n for n, replications in seen if replications == 3) == 1 + studies
    assert [shape for shape in seen if shape[1] == 2] == [(1, 2)] * 3


def test_what_resampling_cannot_say() -> None:
    """One replication must have no bounds; nothing observed must still have an upper bound."""
    single = share_interval([2], [40])
    assert (single.mean, single.low, single.high, single.n) == (0.05, None, None, 1)
    nothing = share_interval([0], [40])
    assert (nothing.mean, nothing.low, nothing.high) == (0.0, None, None)
    none = share_interval([0, 0, 0], [40, 30, 30])
    assert (none.low, none.mean, none.n) == (0.0, 0.0, 3)
    assert none.high == pytest.approx(1.959964**2 / (3 + 1.959964**2), abs=1e-6)
    left_out = share_interval([3, 0, 3], [6, 0, 6])
    assert (left_out.mean, left_out.n) == (0.5, 2)
    for hits, cases in (([3], [2]), ([0], [0]), ([1, 1], [2]), ([-1, 1], [2, 2])):
        with pytest.raises(ValueError, match="hits must lie between 0 and cases"):
            share_interval(hits, cases)
    with pytest.raises(ValueError, match="confidence must lie between 0 and 1"):
        bootstrap_interval(lambda rows: rows.mean(axis=1), 1, confidence=1.5)
    with pytest.raises(ValueError, match="replications >= 1"):
        bootstrap_interval(lambda rows: rows.mean(axis=1), 0)
    with pytest.raises(ValueError, match="studies >= 100"):
        bootstrap_interval(lambda rows: rows.mean(axis=1), 3, studies=99)


def test_shares_cover_about_as_often_as_they_say() -> None:
    """Of 1,000 intervals of a share from clustered data 95 % must cover it, and not without clusters."""
    luck = np.random.default_rng(21)
    covered = ignoring = 0
    for _ in range(1000):
        chances = luck.beta(4, 36, size=30)  # true share 0.1, varying between replications
        hits = luck.binomial(200, chances)
        covered += bool(share_interval(hits, [200] * 30).covers(0.1))
        known = reference.binomtest(int(hits.sum()), 6000).proportion_ci(method="wilson")
        ignoring += known.low <= 0.1 <= known.high
    # An interval that covers 94 to 96 % fails here with chance 1e-5.
    least, most = reference.binom.ppf(5e-6, 1000, 0.94), reference.binom.isf(5e-6, 1000, 0.96)
    assert least <= covered <= most
    assert ignoring < least


def test_bounds_beyond_the_reach_of_the_correction_are_the_outermost_figures() -> None:
    """Where skewness would turn the correction back on itself the bound is the largest figure drawn.

    One replication of thirty differs: the acceleration is 0.158, and at 99.99999999 % z exceeds 1 / 0.158.
    """
    data = np.array([0.0] * 29 + [1.0])
    drawn: list[np.ndarray] = []

    def mean(rows: np.ndarray) -> np.ndarray:
        drawn.append(data[rows].mean(axis=1))
        return drawn[-1]

    made = bootstrap_interval(mean, 30, confidence=1 - 1e-10)
    assert made.high == max(part.max() for part in drawn) > 3 / 30


def test_a_figure_above_all_that_are_drawn_has_bounds_among_those() -> None:
    """How many different replications a study has is never exceeded by resampling; the bounds stay finite."""

    def different(rows: np.ndarray) -> np.ndarray:
        return np.array([len(set(row)) for row in rows.tolist()], dtype=float)

    made = bootstrap_interval(different, 12, studies=200)
    assert made.mean == 12
    assert made.low is not None and made.high is not None
    assert 4 <= made.low <= made.high <= 12
