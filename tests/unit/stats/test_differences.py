"""Two alternatives: paired and independent, against a published example."""

from __future__ import annotations

import math

import pytest
from scipy import stats as reference

from linesim.stats import paired_difference, student_quantile, welch_degrees, welch_difference

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
    assert found.verdict == "lower"


def test_independent_example() -> None:
    """Welch's interval must be that of Satterthwaite's degrees of freedom, not of the other formula."""
    found = welch_difference(X, INDEPENDENT, confidence=0.90)
    made = found.interval
    assert made.mean == -9.0
    assert made.half_width == pytest.approx(12.146304, abs=5e-7)  # recomputed: scipy and statsmodels
    assert found.verdict == "can't tell"
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
    assert (found.interval.half_width, found.verdict) == (0.0, "higher")
    assert found.correlation == pytest.approx(1.0)
    assert found.variance_ratio == math.inf


def test_what_is_not_known_is_none() -> None:
    """One pair, or two that never vary, must not pretend to a correlation."""
    single = paired_difference([2.0], [1.0])
    assert (single.correlation, single.variance_ratio, single.interval.low) == (None, None, None)
    assert single.verdict == "can't tell"
    still = paired_difference([2.0, 2.0], [1.0, 1.0])
    assert (still.correlation, still.variance_ratio, still.verdict) == (None, None, "higher")
    assert welch_difference([2.0], [1.0, 3.0]).interval.low is None
    assert welch_difference([1.0, 3.0], [2.0]).interval.low is None
    assert paired_difference([1.0, 2.0, 4.0], [2.0, 2.0, 2.0]).correlation is None
    assert paired_difference([2.0, 2.0, 2.0], [1.0, 2.0, 4.0]).correlation is None
    assert welch_difference([2.0, 2.0], [1.0, 1.0]).interval.half_width == 0.0


def test_unequal_lengths_are_refused() -> None:
    """A pair without a partner must be refused."""
    with pytest.raises(ValueError, match="equal length, got 2 and 1"):
        paired_difference([1.0, 2.0], [1.0])
