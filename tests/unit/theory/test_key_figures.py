"""Key figures of ISO 22400-2, yields, rework and learning."""

from __future__ import annotations

from dataclasses import replace

import pytest

from linesim.theory.stations import passes_until_good
from tests.formulas.key_figures import (
    ShiftTimes,
    corrective_maintenance_ratio,
    key_figures,
    normalised_yield,
    rolled_yield,
    throughput_rate,
    worker_efficiency,
)
from tests.formulas.rework import (
    learned_time,
    learned_total,
    route_jobs,
    seconds_from_tmu,
    tightest_interval,
    work_per_start,
)

SHIFT = ShiftTimes(
    operation=480, planned_down=30, setup=20, delay=45, run_per_item=0.8, produced=440,
    good=418, scrapped=12, reworked=10, inspected=440, good_first=418,
)  # fmt: skip


def test_key_figures_of_a_shift() -> None:
    """An invented shift must give the ratios of the standard's formulas."""
    # Formulas of ISO 22400-2 (read in an open ontology of the standard); figures recomputed by hand.
    found = key_figures(SHIFT)
    assert (found.planned_busy, found.production) == (450, 385)
    assert found.availability == pytest.approx(0.85555556, abs=6e-9)
    assert found.effectiveness == pytest.approx(0.91428571, abs=6e-9)
    assert found.quality_ratio == pytest.approx(0.95)
    assert found.oee == pytest.approx(0.74311111, abs=6e-9)
    assert found.oee == pytest.approx(0.8 * 418 / 450)  # PRI * GQ / PBT
    assert found.net_equipment_effectiveness == pytest.approx(0.78171429, abs=6e-9)
    assert found.technical_efficiency == pytest.approx(0.89534884, abs=6e-9)
    assert found.setup_ratio == pytest.approx(0.04938272, abs=6e-9)
    assert found.scrap_ratio == pytest.approx(0.02727273, abs=6e-9)
    assert found.rework_ratio == pytest.approx(0.02272727, abs=6e-9)
    assert found.first_pass_yield == pytest.approx(0.95)
    assert found.utilisation_efficiency == pytest.approx(385 / 450)  # APT / AUBT
    assert found.allocation_efficiency == pytest.approx(450 / 450)  # AUBT / PBT


def test_key_figures_of_an_idle_shift() -> None:
    """A shift that made nothing must have no quality, not a quality of 0 or 1."""
    found = key_figures(replace(SHIFT, produced=0, good=0, inspected=0, good_first=0))
    assert (found.quality_ratio, found.oee, found.first_pass_yield) == (None, None, None)
    assert found.effectiveness == 0


def test_simple_ratios() -> None:
    """The single ratios must divide the right way round."""
    assert throughput_rate(440, 8) == 55
    assert worker_efficiency(400, 480) == pytest.approx(5 / 6)
    assert corrective_maintenance_ratio(30, 10) == 0.75
    assert throughput_rate(440, 0) is None


def test_rolled_yield() -> None:
    """Five yields must roll to their product."""
    yields = (0.98, 0.95, 0.99, 0.97, 0.92)
    assert rolled_yield(yields) == pytest.approx(0.82251616, abs=6e-9)  # recomputed
    assert normalised_yield(yields) == pytest.approx(0.96167624, abs=6e-9)


def test_passes_until_good() -> None:
    """Passes through a rework loop must be geometric, and cut where scrap begins."""
    tenth, fifth = passes_until_good(0.1), passes_until_good(0.2)  # 1/(1-p), p/(1-p)^2
    assert (tenth.mean, tenth.variance) == pytest.approx((1.11111111, 0.12345679), abs=6e-9)
    assert (fifth.mean, fifth.variance, fifth.scrapped) == pytest.approx((1.25, 0.3125, 0))
    cut = passes_until_good(0.2, 3)
    assert (cut.mean, cut.scrapped) == pytest.approx((1.24, 0.008))
    by_hand = 0.8 * 1 + 0.16 * 4 + 0.04 * 9 - 1.24**2
    assert cut.variance == pytest.approx(by_hand)
    assert passes_until_good(0.2, 400).variance == pytest.approx(0.3125)
    with pytest.raises(ValueError, match="fails < 1"):
        passes_until_good(1.0)


def test_two_nested_loops() -> None:
    """Two loops inside each other must give the visits of the absorbing chain."""
    test = {"good": 0.85, "A": 0.05, "B": 0.07, "scrap": 0.03}
    found = route_jobs({"A": {"B": 1.0}, "B": {"T": 1.0}, "T": test}, "A")
    assert found.visits == pytest.approx({"A": 1.05681818, "B": 1.13636364, "T": 1.13636364}, abs=6e-9)
    assert found.exits == pytest.approx({"good": 0.96590909, "scrap": 0.03409091}, abs=6e-9)  # recomputed
    times = {"A": 50.0, "B": 55.0, "T": 20.0}
    assert work_per_start(found, times) == pytest.approx(138.06818182, abs=6e-9)
    assert tightest_interval(found, times) == ("B", pytest.approx(62.5))
    with pytest.raises(ValueError, match="add up to 1"):
        route_jobs({"A": {"out": 0.9}}, "A")
    with pytest.raises(ValueError, match="for ever"):
        route_jobs({"A": {"A": 1.0}}, "A")


def test_learning() -> None:
    """Each doubling must multiply the time by the rate."""
    assert [learned_time(100, 0.8, n) for n in (2, 4, 8)] == pytest.approx([80, 64, 51.2])
    assert learned_time(100, 0.8, 10) == pytest.approx(47.650987, abs=6e-7)  # recomputed
    assert learned_total(100, 0.8, 10) == pytest.approx(631.537302, abs=6e-7)
    assert learned_time(100, 0.9, 10) == pytest.approx(70.468805, abs=6e-7)
    assert seconds_from_tmu(1000) == pytest.approx(36)
