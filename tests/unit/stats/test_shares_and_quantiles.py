"""Shares, quantiles and resampling: published intervals, exact coverage, determinism."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats as reference

from linesim.stats import (
    bootstrap_interval,
    clopper_pearson_interval,
    mean_interval,
    normal_ranks,
    pooled_quantile_interval,
    quantile,
    quantile_interval,
    quantile_ranks,
    share_interval,
    wilson_interval,
)
from linesim.stats.quantiles import rank_coverage


def test_three_of_twenty() -> None:
    """Three of twenty must have the tabled Wilson and exact intervals."""
    wilson, exact = wilson_interval(3, 20), clopper_pearson_interval(3, 20)
    assert (wilson.low, wilson.high) == pytest.approx((0.052369, 0.360419), abs=6e-7)  # recomputed: scipy
    assert (exact.low, exact.high) == pytest.approx((0.032071, 0.378927), abs=6e-7)
    assert (wilson.mean, wilson.n) == (0.15, 20)


@pytest.mark.parametrize(("hits", "n"), [(0, 12), (1, 12), (7, 12), (12, 12), (3, 1000)])
def test_shares_agree_with_the_slow_library(hits: int, n: int) -> None:
    """Both intervals must equal those of scipy.stats, at 0 and 1 too."""
    for ours, method in ((wilson_interval, "wilson"), (clopper_pearson_interval, "exact")):
        known = reference.binomtest(hits, n).proportion_ci(0.9, method=method)
        made = ours(hits, n, 0.9)
        assert (made.low, made.high) == pytest.approx((known.low, known.high), abs=1e-9)


def test_wrong_shares_are_refused() -> None:
    """More hits than cases must be refused."""
    with pytest.raises(ValueError, match="13 of 12"):
        wilson_interval(13, 12)
    with pytest.raises(ValueError, match="n >= 1"):
        clopper_pearson_interval(0, 0)


def test_ranks_for_a_quantile() -> None:
    """Ranks must be the textbook ones, their coverage exact, and the exact choice no wider."""
    textbook = normal_ranks(1000, 0.9)  # published table of ranks: 881 and 920
    assert (textbook.low, textbook.high) == (881, 920)
    assert textbook.coverage == pytest.approx(0.96039228, abs=6e-9)  # recomputed: binomial
    law = reference.binom(1000, 0.9)
    assert textbook.coverage == pytest.approx(law.cdf(919) - law.cdf(880), abs=1e-12)
    exact = quantile_ranks(1000, 0.9)
    assert (exact.low, exact.high) == (881, 919)
    assert 0.95 <= exact.coverage < textbook.coverage
    assert rank_coverage(1000, 0.9, 882, 919) - exact.coverage < 0
    short = normal_ranks(10, 0.9)  # 9 - 1.9 and 9 + 1.9: the upper rank lies beyond the list
    assert (short.low, short.high) == (7, None)


@pytest.mark.parametrize(("n", "p"), [(5, 0.5), (6, 0.5), (10, 0.1), (36, 0.9), (57, 0.33), (400, 0.95)])
def test_ranks_cover_as_they_say_and_no_wider(n: int, p: float) -> None:
    """Each tail must miss at most 2.5 %, and one rank further in would miss more."""
    ranks, law = quantile_ranks(n, p), reference.binom(n, p)
    if ranks.low is not None:
        assert law.cdf(ranks.low - 1) <= 0.025 < law.cdf(ranks.low)
    else:
        assert law.cdf(0) > 0.025
    if ranks.high is not None:
        assert law.sf(ranks.high - 1) <= 0.025 < law.sf(ranks.high - 2)
    else:
        assert law.sf(n - 1) > 0.025


def test_short_lists_leave_a_side_open() -> None:
    """P90 of 35 values must have no upper bound at 95 %, of 36 values the largest."""
    assert quantile_interval(list(range(35)), 0.9).high is None
    made = quantile_interval(list(range(36)), 0.9)
    assert (made.low, made.mean, made.high) == (28, 31.5, 35)
    assert made.method == "order statistics"
    few = quantile_interval(list(range(36)), 0.02)
    assert (few.low, few.covers(0.0)) == (None, None)
    one = quantile_ranks(1, 0.5)
    assert (one.low, one.high) == (None, None)
    assert (quantile([3.0, 1.0, 2.0], 0), quantile([3.0, 1.0, 2.0], 1)) == (1.0, 3.0)
    with pytest.raises(ValueError, match="p must lie between 0 and 1"):
        quantile_interval([1.0, 2.0], 1.5)


def test_bootstrap_of_a_mean_is_close_to_students_t() -> None:
    """For well-behaved data the bootstrap interval of a mean must be close to Student's."""
    data = np.random.default_rng(8).normal(400.0, 6.0, size=60)
    made = bootstrap_interval(lambda rows: data[rows].mean(axis=1), 60)
    known = mean_interval(data)
    assert known.half_width is not None
    assert made.mean == pytest.approx(known.mean)
    assert made.low == pytest.approx(known.low, abs=0.15 * known.half_width)
    assert made.high == pytest.approx(known.high, abs=0.15 * known.half_width)


def test_bootstrap_agrees_with_the_slow_library() -> None:
    """BCa bounds must agree with those of scipy.stats up to the luck of drawing."""
    hits, cases = np.array([1, 0, 4, 0, 1, 3, 0, 2, 9, 1]), np.full(10, 50)
    made = share_interval(hits, cases, studies=20_000)
    known = reference.bootstrap(
        (hits / cases,), np.mean, n_resamples=20_000, method="BCa", rng=np.random.default_rng(2)
    ).confidence_interval
    assert made.mean == pytest.approx(21 / 500)
    assert (made.low, made.high) == pytest.approx((known.low, known.high), abs=0.004)
    assert made.low is not None and made.high is not None
    assert made.high - made.mean > made.mean - made.low  # skewed data, skewed interval


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
    groups = [np.random.default_rng(r).normal(400, 10, size=5) for r in range(12)]
    made = pooled_quantile_interval(groups, 0.1)
    assert made == pooled_quantile_interval(groups, 0.1)
    values = np.concatenate(groups)  # a mean moves with every draw, a quantile may stay on its value

    def mean(rows: np.ndarray) -> np.ndarray:
        return values[rows].mean(axis=1)

    assert bootstrap_interval(mean, 60, seed=2) != bootstrap_interval(mean, 60, seed=1)
    uneven = [*groups[:-1], groups[-1][:3]]
    assert pooled_quantile_interval(uneven, 0.1).mean == pytest.approx(
        float(np.quantile(np.concatenate(uneven), 0.1))
    )


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
    assert (none.low, none.mean, none.method) == (0.0, 0.0, "Clopper-Pearson")
    assert none.high == pytest.approx(1 - 0.025 ** (1 / 100))  # exact upper bound for 0 of 100
    assert share_interval([0, 0], [40, 60]) == none
    assert share_interval([3, 0, 3], [6, 0, 6]).mean == 0.5
    same = share_interval([3, 3], [6, 6])
    assert (same.low, same.high) == (0.5, 0.5)
    for hits, cases in (([3], [2]), ([0], [0]), ([1, 1], [2]), ([-1, 1], [2, 2])):
        with pytest.raises(ValueError, match="hits must lie between 0 and cases"):
            share_interval(hits, cases)
    with pytest.raises(ValueError, match="confidence must lie between 0 and 1"):
        bootstrap_interval(lambda rows: rows.mean(axis=1), 1, confidence=1.5)
    with pytest.raises(ValueError, match="replications >= 1"):
        bootstrap_interval(lambda rows: rows.mean(axis=1), 0)
    with pytest.raises(ValueError, match="studies >= 100"):
        bootstrap_interval(lambda rows: rows.mean(axis=1), 3, studies=99)
    with pytest.raises(ValueError, match="at least one group"):
        pooled_quantile_interval([], 0.5)


def test_bootstrap_shares_cover_about_as_often_as_they_say() -> None:
    """Most intervals of a share from clustered data must cover it; ignoring the clusters must not do."""
    luck = np.random.default_rng(21)
    covered = ignoring = 0
    for _ in range(300):
        chances = luck.beta(4, 36, size=30)  # true share 0.1, varying between replications
        hits = luck.binomial(200, chances)
        covered += bool(share_interval(hits, [200] * 30, studies=400).covers(0.1))
        ignoring += bool(wilson_interval(int(hits.sum()), 6000).covers(0.1))
    # BCa over 30 replications covers 92 to 95 %; one that covers 90 % fails here with chance 1e-5.
    least = reference.binom.ppf(1e-5, 300, 0.90)
    assert covered >= least
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
