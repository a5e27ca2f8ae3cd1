"""Series, loops and merges against closed forms and exact chains."""

from __future__ import annotations

import pytest

from linesim.theory.tandem import assembly_throughput, loop_throughput
from tests.formulas.loops import stations_in_series, tight_loop_throughput


def test_stations_in_series() -> None:
    """A Jackson line must hold 1.5, 3 and 4 jobs."""
    found = stations_in_series(0.6, (1, 0.8, 0.75))  # r / (1 - r) each
    assert [q.inside for q in found] == pytest.approx([1.5, 3, 4])
    assert sum(q.stay for q in found) == pytest.approx(14.166667, abs=5e-7)


def test_roomy_loop() -> None:
    """A balanced loop must give w / (w + M - 1), an unbalanced one what mean value analysis gives."""
    for carriers, rate in ((1, 0.25), (2, 0.4), (4, 0.57142857), (8, 0.72727273), (12, 0.8)):
        assert loop_throughput([1] * 4, carriers) == pytest.approx(rate, abs=6e-9)
        assert rate == pytest.approx(carriers / (carriers + 3), abs=6e-9)
    times = (1, 1.2, 0.8, 1)
    for carriers, rate in ((2, 0.39840637), (4, 0.56470693)):  # recomputed: mean value analysis, chain
        assert loop_throughput(times, carriers) == pytest.approx(rate, abs=6e-9)
        assert tight_loop_throughput(times, (9,) * 4, carriers) == pytest.approx(rate, abs=6e-9)


def test_tight_loop() -> None:
    """A ring of six places must carry its pallets as the exact chain says."""
    rates = [tight_loop_throughput([1] * 3, [1] * 3, w) for w in range(1, 6)]
    assert rates == pytest.approx([1 / 3, 0.5, 0.6, 0.64285714, 0.64285714], abs=6e-9)  # recomputed: chain
    with pytest.raises(ValueError, match="between 1 and 5 carriers"):
        tight_loop_throughput([1] * 3, [1] * 3, 6)
    with pytest.raises(ValueError, match="carriers must be >= 1"):
        loop_throughput([1], 0)


def test_two_feeders_into_an_assembly() -> None:
    """Two feeders and an assembly must give 6/11 without places, more with one."""
    assert assembly_throughput(1, 1, 1, 0) == pytest.approx(6 / 11, abs=1e-12)  # recomputed: chain
    assert assembly_throughput(1, 1, 1, 1) == pytest.approx(0.66538462, abs=6e-9)
    assert assembly_throughput(1e-6, 1e-6, 1, 0) == pytest.approx(1.0, abs=1e-5)
