"""Alternatives against each other: published examples, coverage by simulation, orders counted."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import permutations

import numpy as np
import pytest
from scipy import stats as reference
from scipy.stats import betabinom

from linesim.stats.comparisons import (
    between_ranks,
    could_be_highest,
    fair_difference,
    joint_confidence,
    paired_difference,
    welch_degrees,
    welch_difference,
)
from linesim.stats.intervals import student_quantile

# Graduate course notes, lesson "Comparing systems".
X = (10.0, 25.0, 5.0, 20.0, 15.0)
INDEPENDENT = (30.0, 15.0, 40.0, 10.0, 25.0)
PAIRED = (20.0, 40.0, 5.0, 35.0, 20.0)


def test_paired_example() -> None:
    """The paired interval must be the one of the course notes."""
    found = paired_difference(X, PAIRED, confidence=0.90)
    made = found.interval
    assert (made.mean, made.half_width) == pytest.approx((-9.0, 6.215348), abs=5e-7)
    assert (made.low, made.high) == pytest.approx((-15.215348, -2.784652), abs=5e-7)
    assert made.sd is not None
    assert made.sd**2 == pytest.approx(42.5)
    covariance = (62.5 + 192.5 - 42.5) / 2  # var(X - Y) = var(X) + var(Y) - 2 cov(X, Y)
    assert found.correlation == pytest.approx(covariance / math.sqrt(62.5 * 192.5))
    assert found.variance_ratio == pytest.approx((62.5 + 192.5) / 42.5)  # var(X) + var(Y) over var(X - Y)
    assert made.high < 0


def test_independent_example() -> None:
    """Welch's interval must be that of Satterthwaite's degrees of freedom, not of the other formula."""
    found = welch_difference(X, INDEPENDENT, confidence=0.90)
    made = found.interval
    assert made.mean == -9.0
    assert made.half_width == pytest.approx(12.146304, abs=5e-7)  # recomputed: scipy and statsmodels
    assert made.low is not None and made.high is not None and made.low < 0 < made.high
    assert welch_degrees(62.5, 5, 142.5, 5) == pytest.approx(6.942695, abs=5e-7)  # Satterthwaite 1946
    # The notes print another formula, 8.41 rounded to 8, and so a narrower interval.
    a, b = 62.5 / 5, 142.5 / 5
    other = (a + b) ** 2 / (a**2 / 6 + b**2 / 6) - 2
    assert other == pytest.approx(8.41, abs=0.005)
    assert student_quantile(0.95, 8) * math.sqrt(a + b) == pytest.approx(11.906917, abs=5e-7)


def test_welch_agrees_with_the_slow_library() -> None:
    """Welch's interval must equal that of scipy.stats for unequal counts."""
    ours = (4.1, 5.0, 3.7, 6.2, 5.5, 4.4)
    theirs = (3.0, 3.9, 2.2)
    low, high = reference.ttest_ind(ours, theirs, equal_var=False).confidence_interval(0.95)
    made = welch_difference(ours, theirs).interval
    assert (made.low, made.high) == pytest.approx((low, high), rel=1e-12)
    assert made.n == 3


def test_pairing_saves_replications() -> None:
    """Runs that differ by a constant must have correlation 1 and an endless gain."""
    found = paired_difference([2.0, 4.0, 8.0], [1.0, 3.0, 7.0])
    assert (found.interval.half_width, found.interval.low) == (0.0, 1.0)
    assert found.correlation == pytest.approx(1.0)
    assert found.variance_ratio == math.inf


def test_what_is_not_known_is_none() -> None:
    """One pair, or two that never vary, must not pretend to a correlation."""
    single = paired_difference([2.0], [1.0])
    assert (single.correlation, single.variance_ratio, single.interval.low) == (None, None, None)
    still = paired_difference([2.0, 2.0], [1.0, 1.0])
    assert (still.correlation, still.variance_ratio, still.interval.low) == (None, None, 1.0)
    assert welch_difference([2.0], [1.0, 3.0]).interval.low is None
    assert welch_difference([1.0, 3.0], [2.0]).interval.low is None
    assert paired_difference([1.0, 2.0, 4.0], [2.0, 2.0, 2.0]).correlation is None
    assert paired_difference([2.0, 2.0, 2.0], [1.0, 2.0, 4.0]).correlation is None
    assert welch_difference([2.0, 2.0], [1.0, 1.0]).interval.half_width == 0.0


def test_unequal_lengths_are_refused() -> None:
    """A pair without a partner must be refused."""
    with pytest.raises(ValueError, match="equal length, got 2 and 1"):
        paired_difference([1.0, 2.0], [1.0])


# The interval of a difference


def _pairs(rho: float, n: int, studies: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    luck = np.random.Generator(np.random.Philox(seed))
    z = luck.standard_normal((2, studies, n))
    return z[0], rho * z[0] + math.sqrt(1 - rho**2) * z[1]


@pytest.mark.parametrize(("rho", "n"), [(0.0, 10), (-0.5, 10), (-0.8, 5), (0.5, 5)])
def test_choosing_the_interval_keeps_its_promise(rho: float, n: int) -> None:
    """Of 2,000 studies with no true difference at least 93 % have an interval that covers 0.

    The choice costs at most 1.3 points of coverage (simulated apart: 0.937 at worst); Welch's interval
    alone, taken whenever the correlation is not above 0, would cover 0.86 of them at rho = -0.8.
    """
    ours, theirs = _pairs(rho, n, 2000, seed=5)
    found = [fair_difference(a, b, 0.95).interval.covers(0.0) for a, b in zip(ours, theirs, strict=True)]
    assert np.mean(found) >= 0.93


# Several at once


@pytest.mark.parametrize(
    ("comparisons", "quantiles"),
    [  # Bonferroni, recomputed: t(1 - 0.05 / (2 k), df) at df 4, 9, 19
        (2, (3.495406, 2.685011, 2.433440)),
        (4, (4.314656, 3.110935, 2.758586)),
    ],
)
def test_joint_confidence(comparisons: int, quantiles: tuple[float, ...]) -> None:
    """Joint intervals must use the tabled, larger quantiles."""
    each = joint_confidence(0.95, comparisons)
    got = [student_quantile((1 + each) / 2, df) for df in (4, 9, 19)]
    assert got == pytest.approx(quantiles, abs=6e-7)
    with pytest.raises(ValueError, match="comparisons must be >= 1"):
        joint_confidence(0.95, 0)


# The highest


STUDIES = 2000
Chosen = Callable[[np.ndarray], tuple[int, ...]]


def kept(means: list[float], noise: float, n: int, seed: int, chosen: Chosen = could_be_highest) -> float:
    """Return the share of invented studies in which the true highest is kept."""
    luck = np.random.Generator(np.random.Philox(seed))
    common = luck.standard_normal((STUDIES, n, 1))
    tables = np.array(means) + common + noise * luck.standard_normal((STUDIES, n, len(means)))
    best = int(np.argmax(means))
    return float(np.mean([best in chosen(table) for table in tables]))


@pytest.mark.parametrize("n", [3, 10])
def test_the_true_highest_is_kept_as_promised(n: int) -> None:
    """With all means alike but one a hair higher, the true highest is kept in at least 95 % of studies.

    Of 2,000 studies at exactly 0.95 fewer than 0.928 come once in 100,000 (binomial, four and a half sd).
    """
    means = [5.0, 5.0, 5.0, 5.000001]
    assert kept(means, 0.5, n, seed=3) >= 0.928
    assert kept(means, 0.5, n, seed=3, chosen=lambda table: could_be_highest(table)[:1]) < 0.4


def test_far_ones_drop_out_and_equal_ones_stay() -> None:
    """One far behind drops out, two that take turns both stay, the higher mean first."""
    assert could_be_highest([[1.0, 5.0, 5.1], [1.2, 5.2, 5.1], [0.9, 4.9, 5.0]]) == (2, 1)
    assert could_be_highest([[2.0, 1.0]] * 3) == (0,)
    assert could_be_highest([[1.0, 1.0]] * 3) == (0, 1)


def test_common_luck_does_not_blur_the_order() -> None:
    """A small but steady lead counts, however much both move together."""
    table = [[v, v + 0.1] for v in (1.0, 9.0, 4.0, 7.0)]
    assert could_be_highest(table) == (1,)


def test_one_replication_tells_nothing_apart() -> None:
    """With one replication all could be the highest; no table is refused."""
    assert could_be_highest([[1.0, 3.0, 2.0]]) == (1, 2, 0)
    assert could_be_highest([[1.0], [2.0]]) == (0,)
    with pytest.raises(ValueError, match="table"):
        could_be_highest([1.0, 2.0])
    with pytest.raises(ValueError, match="finite"):
        could_be_highest([[1.0, float("nan")]])


def test_two_replications_tell_what_they_can() -> None:
    """The quantile of one degree of freedom at 0.95 is 6.314 (every table): 10.05 on average is told from 0.

    Ahead by 10 and 10.1, the second is surely higher: 0.05 of standard error reaches 0.32. Ahead by 1 and
    19, it is not: 9 of standard error reach 57.
    """
    assert could_be_highest([[0.0, 10.0], [0.0, 10.1]]) == (1,)
    assert could_be_highest([[0.0, 1.0], [0.0, 19.0]]) == (1, 0)
    assert could_be_highest([[0.0, 10.0]]) == (1, 0)


# Further values in a range


@pytest.mark.parametrize(("sample", "further", "gaps"), [(2, 2, 1), (3, 2, 2), (4, 3, 2), (3, 4, 1)])
def test_every_order_is_counted(sample: int, further: int, gaps: int) -> None:
    """All orders of sample and further values are equally likely: counted, they give the same chances."""
    counts = [0] * (further + 1)
    for order in permutations(range(sample + further)):
        ranks = sorted(order[:sample])
        low, high = ranks[0], ranks[gaps]
        counts[sum(low < value < high for value in order[sample:])] += 1
    total = sum(counts)
    for inside in range(further + 1):
        found = between_ranks(inside, further, gaps=gaps, sample=sample)
        assert found.at_most == pytest.approx(sum(counts[: inside + 1]) / total)
        assert found.at_least == pytest.approx(sum(counts[inside:]) / total)


@pytest.mark.parametrize("further", [250, 5000])
def test_large_counts_agree_with_scipy(further: int) -> None:
    """For hundreds and thousands of shifts and a sample of 1,000 the sums keep eight digits."""
    inside = round(0.77 * further)
    found = between_ranks(inside, further, gaps=800, sample=1000)
    law = betabinom(further, 800, 201)
    assert found.at_most == pytest.approx(law.cdf(inside), rel=1e-8)
    assert found.at_least == pytest.approx(law.sf(inside - 1), rel=1e-8)


@pytest.mark.parametrize(
    ("inside", "further", "gaps", "sample"), [(2, 1, 1, 2), (0, 0, 1, 2), (0, 1, 2, 2), (0, 1, 0, 2)]
)
def test_impossible_counts_are_refused(inside: int, further: int, gaps: int, sample: int) -> None:
    """More inside than there are, none at all, and a range wider than the sample are errors."""
    with pytest.raises(ValueError, match="further values"):
        between_ranks(inside, further, gaps=gaps, sample=sample)
