"""The helpers of statistical tests must themselves be able to fail."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest

from linesim.stats.intervals import student_quantile
from tests.statistical import (
    assert_difference_agrees,
    assert_mean_agrees,
    assert_mean_differs,
    assert_not_below,
    replicate,
)

DATA = np.random.default_rng(3).normal(10.0, 1.0, size=40)


def test_right_value_passes_and_wrong_value_fails() -> None:
    """The true mean must pass; one further off than must_see must fail."""
    assert_mean_agrees(DATA, 10.0, must_see=1.5)
    with pytest.raises(AssertionError, match="errors off"):
        assert_mean_agrees(DATA, 11.5, must_see=1.5)
    assert_mean_differs(DATA, 11.5, must_see=1.5)
    with pytest.raises(pytest.fail.Exception):
        assert_mean_differs(DATA, 10.0, must_see=1.5)


@pytest.mark.parametrize(("replications", "errors"), [(10, 7.0), (20, 5.1), (30, 4.7), (50, 4.4)])
def test_few_replications_need_more_errors(replications: int, errors: float) -> None:
    """Four standard errors are one false alarm in 16,000; few replications take more for the same."""
    false_alarm = 2 * NormalDist().cdf(-4)
    assert 1 / false_alarm == pytest.approx(16_000, rel=0.02)
    assert student_quantile(1 - false_alarm / 2, replications - 1) == pytest.approx(errors, abs=0.05)


def test_blind_test_fails() -> None:
    """A test that could not see the error asked for must fail even on the true value."""
    with pytest.raises(AssertionError, match="blind"):
        assert_mean_agrees(DATA, 10.0, must_see=0.1)
    with pytest.raises(AssertionError, match="blind"):
        assert_not_below(DATA, 0.0, must_see=0.1)
    with pytest.raises(AssertionError, match="blind"):
        assert_mean_differs(DATA, 20.0, must_see=0.1)


def test_constant_replications_must_be_exact() -> None:
    """Replications that never vary must pass on their value and fail on any other."""
    assert_mean_agrees([4.5] * 5, 4.5, must_see=1e-9)
    with pytest.raises(AssertionError, match="errors off"):
        assert_mean_agrees([4.5] * 5, 4.500001, must_see=1e-9)
    with pytest.raises(AssertionError, match="one replication"):
        assert_mean_agrees([4.5], 4.5, must_see=1.0)


def test_pairs_and_bounds() -> None:
    """Paired differences and one-sided bounds must be judged the same way."""
    assert_difference_agrees(DATA + 2.0, DATA, 2.0, must_see=1e-6)
    with pytest.raises(AssertionError, match="errors off"):
        assert_difference_agrees(DATA + 2.0, DATA, 2.1, must_see=1e-6)
    with pytest.raises(ValueError, match="equal length"):
        assert_difference_agrees(DATA, DATA[1:], 0.0, must_see=1.0)
    assert_not_below(DATA, 9.9, must_see=1.5)
    with pytest.raises(AssertionError, match="is below"):
        assert_not_below(DATA, 11.5, must_see=1.5)
    assert replicate(float, 3) == [1.0, 2.0, 3.0]
