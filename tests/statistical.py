"""Helpers for statistical tests: they use Student's t, state their false-alarm rate, and fail when blind."""

from __future__ import annotations

from collections.abc import Callable
from statistics import NormalDist

import numpy as np
import pytest
from numpy.typing import ArrayLike

from linesim.stats.comparisons import paired_difference
from linesim.stats.intervals import mean_interval, student_quantile

_SEES = NormalDist().inv_cdf(0.99)  # an error of the size asked for is caught with chance 0.99


def assert_mean_agrees(
    values: ArrayLike, exact: float, *, must_see: float, false_alarm: float = 1e-5
) -> None:
    """Fail if the mean of independent ``values`` is not ``exact``, or if the test is blind.

    Args:
        values: One figure per replication, independent of each other, at least two.
        exact: What the true mean must be, in the unit of the values.
        must_see: The smallest error that the test has to notice, in the unit of the values.
        false_alarm: Chance that a right program fails.
    """
    made = mean_interval(values)
    assert made.sd is not None, "one replication proves nothing"
    error = made.sd / np.sqrt(made.n)
    reach = student_quantile(1 - false_alarm / 2, made.n - 1) * error
    sees = reach + _SEES * error
    assert sees <= must_see, f"blind: sees errors from {sees:.3g}, asked {must_see:.3g}"
    off = abs(made.mean - exact)
    # The last term is rounding: replications that all give the exact value must pass.
    assert off <= reach + 1e-12 * abs(exact), (
        f"mean {made.mean:.6g}, exact {exact:.6g}: {off / error if error else np.inf:.1f} errors off"
    )


def assert_mean_differs(
    values: ArrayLike, exact: float, *, must_see: float, false_alarm: float = 1e-5
) -> None:
    """Fail unless ``assert_mean_agrees`` rejects ``values``: for the twin that runs a wrong line."""
    with pytest.raises(AssertionError, match="errors off"):
        assert_mean_agrees(values, exact, must_see=must_see, false_alarm=false_alarm)


def assert_difference_agrees(
    values: ArrayLike, base: ArrayLike, exact: float, *, must_see: float, false_alarm: float = 1e-5
) -> None:
    """Fail if the mean of the paired differences ``values - base`` is not ``exact``, or if blind."""
    paired_difference(values, base)  # refuses lists of unequal length
    differences = np.asarray(values, dtype=float) - np.asarray(base, dtype=float)
    assert_mean_agrees(differences, exact, must_see=must_see, false_alarm=false_alarm)


def assert_not_below(values: ArrayLike, bound: float, *, must_see: float, false_alarm: float = 1e-5) -> None:
    """Fail if the mean of ``values`` is surely below ``bound``, or if the test is blind."""
    made = mean_interval(values)
    assert made.sd is not None, "one replication proves nothing"
    error = made.sd / np.sqrt(made.n)
    reach = student_quantile(1 - false_alarm, made.n - 1) * error
    sees = reach + _SEES * error
    assert sees <= must_see, f"blind: sees errors from {sees:.3g}, asked {must_see:.3g}"
    assert made.mean >= bound - reach - 1e-12 * abs(bound), f"mean {made.mean:.6g} is below {bound:.6g}"


def replicate(once: Callable[[int], float], replications: int) -> list[float]:
    """Return ``once(1), once(2), ...``: one figure per replication, numbered from 1."""
    return [once(r) for r in range(1, replications + 1)]
