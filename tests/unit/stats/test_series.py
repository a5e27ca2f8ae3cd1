"""One run in order: warm-up, and what neighbours have in common."""

from __future__ import annotations

import numpy as np
import pytest

from linesim.stats.designs import latin_hypercube
from linesim.stats.precision import mser_cut, neighbour_correlation, welch_average
from tests.formulas.common_draws import serial_batch_correlation
from tests.statistical import assert_mean_agrees

RISING = (0, 2, 4, 6, 7, 8, 9, 8, 10, 9, 8, 10, 9, 9, 8, 10, 9, 10, 8, 9)  # invented, worked by hand
PATTERN = (0, 1, -1, 2, -2, 0, 1, -1)


def test_mser() -> None:
    """The cut, its statistic and the mean kept must be those of the definition."""
    # White 1997, White, Cobb and Spratt 2000 (definition read in a public program's documentation).
    found = mser_cut(RISING, batch=1)
    assert found.cut == found.candidate == 5
    known = (0.35137500, 0.21869077, 0.12431413, 0.06879707, 0.04858398, 0.03970370, 0.04081633)
    assert found.statistic[:7] == pytest.approx(known, abs=6e-9)  # recomputed
    assert len(found.statistic) == 11
    assert found.kept_mean == pytest.approx(8.93333333, abs=6e-9)


def test_mser_5() -> None:
    """A step after ten values must be cut off whole."""
    values = [(12 if i < 10 else 5) + PATTERN[i % 8] for i in range(40)]
    found = mser_cut(values)
    assert (found.cut, found.batch) == (10, 5)
    assert found.statistic[:3] == pytest.approx((1.19593750, 0.91918367, 0.00537037), abs=6e-9)  # recomputed
    assert found.kept_mean == pytest.approx(4.96666667, abs=6e-9)


def test_mser_refuses_an_unsettled_run() -> None:
    """A run that keeps rising must be refused, not cut in the middle."""
    found = mser_cut([float(i) for i in range(40)], batch=1)
    assert found.cut is None
    assert (found.cut, found.kept_mean, found.candidate) == (None, None, 20)
    with pytest.raises(ValueError, match="at least 20"):
        mser_cut(RISING[:19])
    with pytest.raises(ValueError, match="batch must be >= 1"):
        mser_cut(RISING, 0)


def test_mser_leaves_a_settled_run_alone() -> None:
    """A constant run must lose nothing."""
    found = mser_cut([7.0] * 40)
    assert (found.cut, found.kept_mean) == (0, 7.0)


def test_welch_average() -> None:
    """Three replications must smooth to the values worked by hand."""
    runs = (
        (2, 4, 6, 8, 9, 10, 9, 10, 11, 10),
        (0, 3, 5, 9, 10, 9, 11, 10, 9, 10),
        (1, 5, 7, 7, 8, 11, 10, 10, 10, 10),
    )
    assert welch_average(runs, 0).tolist() == [1, 4, 6, 8, 9, 10, 10, 10, 10, 10]
    smooth = welch_average(runs, 2)
    assert smooth == pytest.approx([1, 3.666667, 5.6, 7.4, 8.6, 9.4, 9.8, 10], abs=6e-7)  # by hand
    with pytest.raises(ValueError, match="window < m / 2"):
        welch_average(runs, 5)
    with pytest.raises(ValueError, match="runs of equal length"):
        welch_average((), 0)


def test_neighbours_of_batch_means_are_correlated_as_computed() -> None:
    """Batch means of a correlated series must show the correlation of the closed form."""
    luck = np.random.default_rng(4)
    found = []
    for _ in range(60):
        noise = luck.normal(size=20_000) * np.sqrt(1 - 0.9**2)
        series = np.empty_like(noise)
        series[0] = luck.normal()
        for i in range(1, noise.size):
            series[i] = 0.9 * series[i - 1] + noise[i]
        correlation = neighbour_correlation(series.reshape(4000, 5).mean(axis=1))
        assert correlation is not None
        found.append(correlation)
    assert_mean_agrees(found, serial_batch_correlation(0.9, 5), must_see=0.02)
    assert neighbour_correlation([3.0, 3.0, 3.0]) is None


def test_what_is_handed_out_cannot_be_changed() -> None:
    """Arrays that are said to be read-only must refuse to be written to."""
    for made in (welch_average([[1.0, 2.0, 3.0]], 1), latin_hypercube(3, 2)):
        with pytest.raises(ValueError, match="read-only"):
            made[0] = 0.0
