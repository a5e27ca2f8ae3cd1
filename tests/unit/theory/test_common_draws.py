"""Common draws, serial correlation and ceilings."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linesim.stats.comparisons import paired_difference
from linesim.theory.laws import exponential, lognormal
from tests.formulas.ceilings import carrier_ceiling, crew_ceiling, pace_ceiling, station_ceiling, tightest
from tests.formulas.common_draws import drawn_pair, serial_batch_correlation, serial_mean_variance


def test_exponential_pair() -> None:
    """Two exponential times must differ as the closed forms say for each way of drawing."""
    first, second = exponential(1), exponential(1.2)
    assert drawn_pair(first, second, "independent").difference_variance == pytest.approx(2.44)
    common = drawn_pair(first, second, "common")
    assert (common.correlation, common.difference_variance) == pytest.approx((1, 0.04), abs=1e-7)
    against = drawn_pair(first, second, "antithetic")
    assert against.correlation == pytest.approx(1 - math.pi**2 / 6, abs=1e-7)
    assert against.difference_variance == pytest.approx(3.987842, abs=1e-6)  # 2.44 + 2.4 (pi^2 / 6 - 1)


def test_pairs_drawn_in_bulk() -> None:
    """Drawn pairs must show the computed correlation, and pairing the computed gain."""
    u = (np.arange(200_000) + 0.5) / 200_000
    first, second = lognormal(60, 0.2), lognormal(66, 0.2)
    found = paired_difference(second.quantile(u), first.quantile(u))
    exact = drawn_pair(second, first, "common")
    assert found.correlation == pytest.approx(exact.correlation, abs=1e-5)
    assert found.variance_ratio == pytest.approx(
        (first.sd**2 + second.sd**2) / exact.difference_variance, rel=1e-3
    )


def test_serial_correlation() -> None:
    """Means of correlated neighbours must vary, and batches correlate, as the closed form says."""
    # Recomputed: variance of sums of an autoregressive series.
    half = [serial_mean_variance(0.5, n) for n in (5, 10, 100)]
    assert half == pytest.approx([0.44500000, 0.26003906, 0.02960000], abs=6e-9)
    assert [serial_batch_correlation(0.5, n) for n in (5, 10, 50)] == pytest.approx(
        [0.16871489, 0.07676138, 0.01369863], abs=6e-9
    )
    assert 10**5 * serial_mean_variance(0.5, 10**5) == pytest.approx(3, abs=1e-3)
    high = [serial_mean_variance(0.9, n) for n in (5, 10, 100)]
    assert high == pytest.approx([0.85152800, 0.72762119, 0.17200048], abs=6e-9)
    assert [serial_batch_correlation(0.9, n) for n in (5, 10, 100)] == pytest.approx(
        [0.70897773, 0.52472056, 0.05232266], abs=6e-9
    )
    with pytest.raises(ValueError, match="phi"):
        serial_mean_variance(1.0, 5)


def test_ceilings() -> None:
    """Each ceiling must be what one can compute in the head, and the lowest must win."""
    pace = pace_ceiling("trim", 60)
    station = station_ceiling("T4", 54, mean_up=900, mean_repair=100)
    crew = crew_ceiling("trim", 220, 4, on_time=0.95)
    carriers = carrier_ceiling("skillet", 10, 540)
    assert (pace.jobs_per_hour, station.jobs_per_hour) == pytest.approx((60, 60))
    assert (crew.jobs_per_hour, carriers.jobs_per_hour) == pytest.approx((62.1818, 66.6667), abs=1e-4)
    assert tightest([crew, pace, station, carriers]) == pace
    assert station_ceiling("T4", 54, places=2).jobs_per_hour == pytest.approx(133.3333, abs=1e-4)
    for wrong in (
        lambda: pace_ceiling("x", 0),
        lambda: station_ceiling("x", 0),
        lambda: crew_ceiling("x", 10, 0),
        lambda: carrier_ceiling("x", 0, 10),
    ):
        with pytest.raises(ValueError, match="must be"):
            wrong()
