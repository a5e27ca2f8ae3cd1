"""The slowest of several stations, against order statistics and closed forms."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from linesim.theory.laws import (
    Law,
    erlang,
    expected_largest,
    exponential,
    lognormal,
    normal,
    overload,
    stopped_pitch,
    two_machine_throughput,
    uniform,
    weibull,
)
from tests.formulas.largest import indexed_makespan
from tests.formulas.laws import triangular

COUNTS = (2, 3, 4, 5, 6, 10, 20)
#: Expected largest of N standard normals (Harter 1961, from memory; recomputed by quadrature).
HARTER = {2: 0.56418958, 3: 0.84628438, 4: 1.02937537, 5: 1.16296447, 6: 1.26720636, 10: 1.53875273}


@pytest.mark.parametrize(
    ("law", "means"),
    [  # recomputed: quadrature and closed forms
        (
            exponential(1),
            (1.5, 1.83333333, 2.08333333, 2.28333333, 2.45, 2.92896825, 3.59773966),
        ),
        (
            uniform(0.5, 1.5),
            (1.16666667, 1.25, 1.3, 1.33333333, 1.35714286, 1.40909091, 1.45238095),
        ),
        (
            normal(1, 0.2),
            (1.11283792, 1.16925688, 1.20587507, 1.23259289, 1.25344127, 1.30775055, 1.37349501),
        ),
        (erlang(1, 2), (1.375, 1.60648148, 1.77358218, 1.90413606)),
        (lognormal(1, 0.2), (1.11136923, 1.17243038, 1.21411174, 1.24558073)),
        (erlang(1, 4), (1.27343750, 1.43266834)),
        (triangular(0.7, 1, 1.6), (1.20666667,)),
        (weibull(1, 2), (1.29289322,)),
    ],
    ids=lambda value: value.name if isinstance(value, Law) else "",
)  # fmt: skip
def test_cycle_of_an_indexed_line(law: Law, means: tuple[float, ...]) -> None:
    """The mean of the slowest station must be the tabled one for every number of stations."""
    for count, mean in zip(COUNTS, means, strict=False):
        assert expected_largest([law] * count) == pytest.approx(mean, abs=6e-9), count


def test_closed_forms() -> None:
    """Harmonic numbers, Weibull sums, normal order statistics and inclusion-exclusion must agree."""
    for n in COUNTS:
        assert expected_largest([exponential(1)] * n) == pytest.approx(sum(1 / k for k in range(1, n + 1)))
        assert expected_largest([uniform(0.5, 1.5)] * n) == pytest.approx(0.5 + n / (n + 1))
    for n, largest in HARTER.items():
        assert expected_largest([normal(0, 1)] * n) == pytest.approx(largest, abs=6e-9)
    five = sum((-1) ** (j + 1) * math.comb(5, j) / math.sqrt(j) for j in range(1, 6))
    assert expected_largest([weibull(1, 2)] * 5) == pytest.approx(five, abs=1e-10)
    assert five == pytest.approx(1.64964848, abs=6e-9)
    for means, known in (((1, 2), 2.33333333), ((1, 2, 3), 3.92878788)):
        formula = sum(
            (-1) ** (size + 1) / sum(1 / m for m in some)
            for size in range(1, len(means) + 1)
            for some in itertools.combinations(means, size)
        )
        assert formula == pytest.approx(known, abs=6e-9)
        assert expected_largest([exponential(m) for m in means]) == pytest.approx(formula, abs=1e-9)


def test_two_machines_without_a_place() -> None:
    """Two saturated machines must give one job per slower of the two times."""
    assert two_machine_throughput(uniform(0.5, 1.5), uniform(0.5, 1.5)) == pytest.approx(6 / 7)
    pair = two_machine_throughput(normal(1, 0.2), normal(1, 0.2))
    assert pair == pytest.approx(1 / (1 + 0.2 / math.sqrt(math.pi)), abs=1e-10)
    assert pair == pytest.approx(0.89860346, abs=6e-9)
    assert two_machine_throughput(erlang(1, 2), erlang(1, 2)) == pytest.approx(8 / 11)


def test_filling_and_emptying() -> None:
    """The mean makespan of an indexed line must be the sum of harmonic numbers."""
    assert indexed_makespan(exponential(1), 10, 3) == pytest.approx(19.66666667, abs=6e-9)  # closed form
    assert indexed_makespan(exponential(1), 20, 5) == pytest.approx(49.36666667, abs=6e-9)
    assert indexed_makespan(exponential(1), 3, 10) == indexed_makespan(exponential(1), 10, 3)
    assert indexed_makespan(exponential(1), 1, 4, transfer=2) == pytest.approx(4 * 3)
    with pytest.raises(ValueError, match="jobs and stations"):
        indexed_makespan(exponential(1), 0, 3)


@pytest.mark.parametrize(
    ("law", "chance", "mean"),
    [  # recomputed: closed forms, quadrature
        (normal(54, 5.4), 0.13326026, 0.36247771),
        (normal(54, 10.8), 0.28925736, 1.95689261),
        (lognormal(54, 0.1), 0.13434006, 0.42419569),
        (lognormal(54, 0.2), 0.26400996, 2.11501083),
        (uniform(45, 63), 0.16666667, 0.25000000),
        (exponential(54), 0.32919299, 17.77642134),
    ],
    ids=lambda value: value.name if isinstance(value, Law) else "",
)
def test_overload_of_one_job(law: Law, chance: float, mean: float) -> None:
    """Chance and mean of work beyond 60 s must be the tabled ones."""
    found = overload(law, 60)
    assert (found.chance, found.mean) == pytest.approx((chance, mean), abs=6e-9)


def test_overload_outside_the_range() -> None:
    """A limit below all work must leave the rest of the mean, one above it nothing."""
    assert overload(uniform(45, 63), 40).mean == pytest.approx(14)
    assert overload(uniform(45, 63), 63).mean == 0.0


@pytest.mark.parametrize(
    ("stations", "pitch", "chance", "stop", "per_hour"),
    [  # recomputed: quadrature
        (1, 60.362478, 0.133260, 2.720074, 59.639699),
        (2, 60.698657, 0.248762, 2.808534, 59.309385),
        (5, 61.572388, 0.510848, 3.077994, 58.467766),
        (10, 62.685983, 0.760731, 3.530794, 57.429107),
        (20, 64.135521, 0.942750, 4.386656, 56.131141),
    ],
)
def test_line_that_stops_at_fixed_positions(
    stations: int, pitch: float, chance: float, stop: float, per_hour: float
) -> None:
    """Pitch, chance and length of stops must be the tabled ones for every number of stations."""
    found = stopped_pitch([normal(54, 5.4)] * stations, 60)
    got = (found.mean, found.chance_of_stop, found.mean_stop, found.jobs_per_hour)
    assert got == pytest.approx((pitch, chance, stop, per_hour), abs=6e-7)


def test_stops_that_coincide_count_once() -> None:
    """Adding up the stops of ten stations must overstate the loss; lognormal pitches must be right too."""
    ten = stopped_pitch([normal(54, 5.4)] * 10, 60).mean - 60
    assert ten == pytest.approx(2.686, abs=5e-4)
    assert 10 * overload(normal(54, 5.4), 60).mean == pytest.approx(3.62, abs=5e-3)
    law = lognormal(54, 0.1)
    means = [stopped_pitch([law] * n, 60).mean for n in (1, 5, 10)]
    assert means == pytest.approx([60.424196, 61.843182, 63.155288], abs=6e-7)  # recomputed: quadrature
    assert stopped_pitch([law] * 5, 60).jobs_per_hour == pytest.approx(58.211753, abs=6e-7)
    assert stopped_pitch([uniform(40, 50)] * 3, 60).mean == 60


def test_quadrature_agrees_with_drawn_times() -> None:
    """The mean of the slowest of three unlike stations must be that of drawn times."""
    from tests.statistical import assert_mean_agrees, assert_mean_differs

    laws = [lognormal(54, 0.2), uniform(45, 63), triangular(40, 50, 75)]
    luck = np.random.default_rng(19)
    values = [
        float(np.max([law.quantile(luck.random(2000)) for law in laws], axis=0).mean()) for _ in range(40)
    ]
    assert_mean_agrees(values, expected_largest(laws), must_see=0.3)
    assert_mean_differs(values, expected_largest(laws[:2]), must_see=0.3)
