"""Intervals of means: Student's against published examples, that of every figure against its rules."""

from __future__ import annotations

from itertools import pairwise

import pytest
from scipy import stats as reference

from linesim.stats.intervals import Interval, mean_interval, student_interval, student_quantile

# Ten replications of a bank model; Law, Simulation Modeling and Analysis (2013), example 4.27.
# The data are quoted in public programs that name the example; the printed interval is from memory.
LAW = (1.20, 1.50, 1.68, 1.89, 0.95, 1.49, 1.58, 1.55, 0.50, 1.09)


def test_quantiles_are_the_tabled_ones() -> None:
    """Student quantiles at 0.975 must be those of every table."""
    assert student_quantile(0.975, 4) == pytest.approx(2.776445, abs=5e-7)  # standard t table
    assert student_quantile(0.975, 9) == pytest.approx(2.262157, abs=5e-7)
    assert student_quantile(0.975, 19) == pytest.approx(2.093024, abs=5e-7)
    assert student_quantile(0.5, 3) == 0.0


@pytest.mark.parametrize("df", [1, 2.5, 9, 29, 400])
@pytest.mark.parametrize("p", [1e-6, 0.025, 0.3, 0.9, 1 - 5e-6])
def test_quantiles_agree_with_the_slow_library(p: float, df: float) -> None:
    """Quantiles must equal those of scipy.stats, also far out, where statistical tests look."""
    assert student_quantile(p, df) == pytest.approx(reference.t.ppf(p, df), rel=1e-9)


def test_interval_of_ten_replications() -> None:
    """Mean, variance and both half widths must be those of the published example."""
    made = student_interval(LAW, confidence=0.90)
    assert made.mean == pytest.approx(1.343, abs=1e-12)
    assert made.sd is not None
    assert made.sd**2 == pytest.approx(0.167512, abs=5e-7)  # recomputed with scipy
    assert made.half_width == pytest.approx(0.237253, abs=5e-7)  # book, from memory: 1.34 +- 0.24
    assert student_interval(LAW).half_width == pytest.approx(0.292783, abs=5e-7)  # recomputed with scipy


def test_interval_of_five_replications() -> None:
    """The interval of five replication means must be the printed one."""
    made = student_interval([3.2, 4.3, 5.1, 4.2, 4.6])
    # Graduate course notes, lesson "Output data analysis": printed [3.41, 5.15].
    assert (made.low, made.high) == pytest.approx((3.413500, 5.146500), abs=5e-7)
    assert made.sd is not None
    assert (made.mean, made.sd**2, made.n) == pytest.approx((4.28, 0.487, 5))


def test_one_replication_has_no_interval() -> None:
    """A figure from one replication must have no bounds at all."""
    made = mean_interval([7.5])
    assert made == Interval(7.5, None, None, None, None, 1)
    assert made.covers(7.5) is None
    assert made.relative_half_width is None


def test_equal_values_have_width_zero() -> None:
    """Equal replications must have a width of exactly 0, whatever rounding would make of their mean."""
    made = mean_interval([0.1] * 7)
    assert (made.mean, made.low, made.high, made.sd) == (0.1, 0.1, 0.1, 0.0)


def test_order_of_values_is_irrelevant() -> None:
    """The same values in another order must give the same bytes."""
    assert mean_interval(LAW) == mean_interval(LAW[::-1]) == mean_interval(sorted(LAW))


def test_interval_survives_its_own_text() -> None:
    """An interval must be rebuilt from its repr."""
    made = mean_interval(LAW)
    assert eval(repr(made)) == made
    assert made.covers(made.mean)
    assert student_interval(LAW).relative_half_width == pytest.approx(0.292783 / 1.343, abs=1e-6)


@pytest.mark.parametrize(
    ("values", "confidence", "words"),
    [
        ([], 0.95, "at least 1"),
        ([1.0, float("nan")], 0.95, r"values\[1\] must be a finite number"),
        ([1.0, 2.0], 95, "confidence must lie between 0 and 1, got 95"),
        ([[1.0], [2.0]], 0.95, "shape"),
    ],
)
def test_wrong_input_is_named(values: list[float], confidence: float, words: str) -> None:
    """What is not a list of finite numbers must be refused with its place."""
    with pytest.raises(ValueError, match=words):
        mean_interval(values, confidence)


def bent(t: float, skewness: float, n: int) -> float:
    """Return Hall's cubic, with the constants of a studentised mean (1/3, 1/6) written out."""
    return t + skewness / n**0.5 * (t**2 / 3 + 1 / 6) + skewness**2 * t**3 / (27 * n)


SKEWED = (
    (60, 59, 60, 61, 60, 60, 59, 61, 60, 50),
    (0.0, 0.0, 0.0, 0.0, 0.0, 7.0),
    tuple(float(k * k) for k in range(40)),
)


@pytest.mark.parametrize("values", SKEWED)
@pytest.mark.parametrize("confidence", [0.5, 0.95, 0.99])
def test_the_outer_end_solves_the_cubic(values: tuple[float, ...], confidence: float) -> None:
    """The t of the end on the long side is bent to Student's quantile; the other end is Student's own."""
    made, n = mean_interval(values, confidence), len(values)
    assert made.sd is not None and made.low is not None and made.high is not None
    skewness, error = float(reference.skew(values)), made.sd / n**0.5
    reach = reference.t.ppf((1 + confidence) / 2, n - 1)
    lower, upper = (made.mean - made.low) / error, (made.mean - made.high) / error
    if skewness < 0:
        assert bent(lower, skewness, n) == pytest.approx(reach, rel=1e-9)
        assert lower > reach and upper == pytest.approx(-reach, rel=1e-12)
    else:
        assert bent(upper, skewness, n) == pytest.approx(-reach, rel=1e-9)
        assert upper < -reach and lower == pytest.approx(reach, rel=1e-12)


def test_symmetric_and_few_values_have_students_interval() -> None:
    """Without skewness, and with fewer than six replications, the ends are Student's."""
    for values in ([1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0], [0.0, 0.0, 0.0, 0.0, 9.0]):
        made, known = mean_interval(values), student_interval(values)
        assert (made.low, made.high) == pytest.approx((known.low, known.high), rel=1e-12)
    hair = mean_interval([1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0 + 1e-9])
    assert hair.high == pytest.approx(student_interval([1, 2, 3, 4, 5, 6, 7]).high, rel=1e-6)


@pytest.mark.parametrize("values", SKEWED)
def test_ends_move_outwards_with_confidence(values: tuple[float, ...]) -> None:
    """A surer interval holds the less sure one, and a mirrored list has the mirrored interval."""
    made = [mean_interval(values, c) for c in (0.5, 0.8, 0.95, 0.99, 0.9999, 1 - 1e-9)]
    for inner, outer in pairwise(made):
        assert outer.low is not None and inner.low is not None and outer.low < inner.low <= inner.mean
        assert outer.high is not None and inner.high is not None and outer.high > inner.high >= inner.mean
    mirrored = mean_interval([-v for v in values])
    assert mirrored.high is not None and mirrored.low is not None
    assert (-mirrored.high, -mirrored.low) == pytest.approx((made[2].low, made[2].high), rel=1e-12)


def test_an_interval_says_nothing_impossible() -> None:
    """Ends beyond what is possible are drawn in, a wholly impossible interval to its border."""
    made = Interval(0.1, -0.1, 0.3, 0.2, 0.2, 6).within(0.0, 1.0)
    assert (made.low, made.high, made.half_width, made.mean) == (0.0, 0.3, pytest.approx(0.15), 0.1)
    assert Interval(0.9, 0.7, 1.1, 0.2, 0.2, 6).within(0.0, 1.0).high == 1.0
    assert made.within(0.0, 1.0) is made
    single = Interval(2.0, None, None, None, None, 1)
    assert single.within(0.0, 1.0) is single


def test_interval_covers_as_often_as_it_says() -> None:
    """Of many 90 % intervals from normal data about 90 % must cover the true mean."""
    import numpy as np

    data = np.random.default_rng(11).normal(5.0, 2.0, size=(2000, 8))
    covered = sum(bool(mean_interval(row, 0.9).covers(5.0)) for row in data)
    # Binomial: a right program fails this with chance 1e-5.
    low, high = reference.binom.ppf([5e-6, 1 - 5e-6], 2000, 0.9)
    assert low <= covered <= high


def test_far_out_the_bend_is_that_of_99_percent() -> None:
    """Beyond 99 % an interval grows as Student's does: its ends keep their proportion to Student's."""
    values = [60.0, 59.0, 60.0, 61.0, 60.0, 60.0, 59.0, 61.0, 60.0, 50.0]
    mean = student_interval(values).mean
    ratios = []
    for confidence in (0.99, 0.9999, 1 - 1e-6):
        bent, plain = mean_interval(values, confidence), student_interval(values, confidence)
        assert bent.low is not None and plain.low is not None
        ratios.append((mean - bent.low) / (mean - plain.low))
    assert ratios == pytest.approx([ratios[0]] * 3) and ratios[0] > 1.2
