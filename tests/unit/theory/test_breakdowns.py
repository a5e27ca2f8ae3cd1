"""Breakdowns and repair crews against closed forms and exact chains."""

from __future__ import annotations

import math

import pytest

from linesim.theory.stations import availability, repair_crews
from tests.formulas.breakdowns import (
    availability_until,
    bernoulli_pair,
    common_cycle,
    effective_time,
    flowing_pair,
    independent_efficiency,
    mean_completion,
    slotted_pair,
    stop_all_efficiency,
)
from tests.formulas.repair_crews import constant_repairs


def test_one_machine() -> None:
    """A lone machine must be up as often as the renewal formulas say."""
    assert availability(480, 20) == pytest.approx(0.96)
    assert availability(3600, 300) == pytest.approx(0.92307692, abs=6e-9)
    assert availability(float("inf"), 5) == 1.0
    assert availability_until(480, 20, 480) == pytest.approx(0.96160000, abs=6e-9)  # closed form
    assert availability_until(480, 20, 1e9) == pytest.approx(0.96)
    assert mean_completion(60, 1800, 120) == pytest.approx(64)
    with pytest.raises(ValueError, match="mean_up must be > 0"):
        availability(0, 1)


def test_effective_time() -> None:
    """Rare long failures must spread the effective time more than frequent short ones."""
    # Hopp and Spearman, Factory Physics, chapter 8 (from memory); algebra recomputed.
    rare, often = effective_time(15, 0.05, 744, 248), effective_time(15, 0.05, 114, 38)
    assert (rare.mean, rare.cv2) == pytest.approx((20, 6.25))
    assert (often.mean, often.cv2) == pytest.approx((20, 1.0))
    timed = effective_time(60, 0.04, 1800, 120)
    assert (timed.mean, timed.cv2) == pytest.approx((64, 0.274375))
    variance = (
        0.04 * 60**2 * (1 + 120 / 1800) ** 2 + 60 * 2 * 120**2 / 1800
    )  # Var(S)(1+mr/mf)^2 + E[S]E[R^2]/mf
    assert timed.cv2 == pytest.approx(variance / 64**2)


@pytest.mark.parametrize(
    ("first", "second", "room", "efficiency", "level"),
    [  # Buzacott 1967, Gershwin and Schick 1983 (from memory); recomputed: transition matrix, closed form
        ((0.1, 0.01), (0.1, 0.01), 4, 0.84093614, 2),
        ((0.1, 0.01), (0.1, 0.01), 10, 0.85617493, 5),
        ((0.1, 0.01), (0.1, 0.01), 20, 0.87054072, 10),
        ((0.2, 0.05), (0.1, 0.02), 10, 0.73626233, 3.852390),
        ((0.1, 0.02), (0.2, 0.05), 10, 0.73626233, 6.147610),
    ],
)
def test_two_slotted_machines(
    first: tuple[float, float], second: tuple[float, float], room: int, efficiency: float, level: float
) -> None:
    """Two slotted machines must give the tabled efficiency and level, and reverse."""
    found, back = slotted_pair(first, second, room), slotted_pair(second, first, room)
    assert found.efficiency == pytest.approx(efficiency, abs=6e-9)
    assert found.level == pytest.approx(level, abs=6e-7)
    assert (back.efficiency, back.level) == pytest.approx((found.efficiency, room - found.level))


def test_endless_buffer_reaches_the_slower_machine() -> None:
    """With a huge buffer the efficiency must be that of the worse machine alone."""
    assert slotted_pair((0.2, 0.05), (0.1, 0.01), 4000).efficiency == pytest.approx(0.8, abs=1e-6)
    with pytest.raises(ValueError, match="room must be >= 1"):
        slotted_pair((0.1, 0.1), (0.1, 0.1), 0)


def test_lines_without_buffers() -> None:
    """The three rules for a line without buffers must give their three different values."""
    five, repairs = [100.0] * 5, [10.0] * 5
    assert stop_all_efficiency(five, repairs) == pytest.approx(0.66666667, abs=6e-9)  # Buzacott 1967
    assert stop_all_efficiency([100, 100], [10, 10]) == pytest.approx(0.83333333, abs=6e-9)
    assert independent_efficiency(five, repairs) == pytest.approx(0.62092132, abs=6e-9)
    for machines, cycle in ((1, 1.1), (2, 1.19950249), (5, 1.49505778)):  # recomputed: quadrature
        assert common_cycle(1, [100] * machines, [10] * machines) == pytest.approx(cycle, abs=6e-9)
    assert 1 / common_cycle(1, [100] * 2, [10] * 2) == pytest.approx(0.83367897, abs=6e-9)
    assert 1 / common_cycle(1, five, repairs) == pytest.approx(0.66887047, abs=6e-9)


def test_flow_limit() -> None:
    """Ever shorter slots must come close to the continuous line."""
    assert flowing_pair(100, 10, 0) == pytest.approx(0.83333333, abs=6e-9)
    limit = flowing_pair(100, 10, 10)
    assert limit == pytest.approx(0.85872576, abs=6e-9)  # recomputed: closed form; Gershwin and Schick 1980
    # Slots of 1, 0.5 and 0.25: chances 1 - exp(-rate * slot), one place more for the job in hand.
    found = []
    for slot in (1, 0.5, 0.25):
        machine = (-math.expm1(-0.1 * slot), -math.expm1(-0.01 * slot))
        found.append(slotted_pair(machine, machine, round(10 / slot) + 1).efficiency)
    assert found == pytest.approx([0.8517, 0.8553, 0.8570], abs=5e-5)  # recomputed: transition matrix
    assert found[0] < found[1] < found[2] < limit


def test_bernoulli_machines() -> None:
    """Two Bernoulli machines must give the textbook rates."""
    # Li and Meerkov, Production Systems Engineering, chapter 4 (from memory); transition matrix agrees.
    for room, rate in ((1, 0.81818182), (2, 0.85714286), (3, 0.87096774)):
        assert bernoulli_pair(0.9, 0.9, room) == pytest.approx(rate, abs=6e-9)
        assert rate == pytest.approx(0.9 * (1 - 0.1 / (room + 0.1)), abs=6e-9)


@pytest.mark.parametrize(
    ("machines", "crews", "up", "repair", "available", "waiting", "use"),
    [  # finite-source queue, Palm 1947; recomputed: closed form and generator
        (5, 1, 100, 10, 0.87209565, 0.20347395, 0.43604782),
        (10, 1, 100, 10, 0.78541766, 1.36040577, 0.78541766),
        (10, 2, 100, 10, 0.89613622, 0.14250160, 0.44806811),
        (4, 1, 60, 20, 0.59541985, 0.82442748, 0.79389313),
        (6, 2, 480, 30, 0.94021552, 0.00612605, 0.17629041),
    ],
)
def test_repair_crews(
    machines: int, crews: int, up: float, repair: float, available: float, waiting: float, use: float
) -> None:
    """Machines that share crews must be up, wait and load them as tabled."""
    found = repair_crews(machines, crews, up, repair)
    assert (found.availability, found.waiting, found.crew_use) == pytest.approx(
        (available, waiting, use), abs=6e-9
    )


def test_repair_crews_without_interference() -> None:
    """With a crew for every machine the availability must be that of a lone machine."""
    assert repair_crews(5, 5, 100, 10).availability == pytest.approx(0.90909091, abs=6e-9)
    with pytest.raises(ValueError, match="crews >= 1"):
        repair_crews(5, 0, 100, 10)


def test_shared_tool() -> None:
    """Two operators and one tool must give the tabled cycles, use and wait."""
    found = repair_crews(2, 1, 40, 20)
    got = (found.repairs_rate, found.crew_use, found.wait)
    assert got == pytest.approx((0.03, 0.6, 6.666667), abs=5e-7)  # recomputed: closed form


def test_constant_repairs() -> None:
    """Constant repair times must give the tabled availability; one machine cannot tell them apart."""
    # Recomputed: embedded chain; an event-driven program gave 0.8212 +- 0.003.
    assert constant_repairs(10, 100, 10).availability == pytest.approx(0.82100333, abs=6e-9)
    assert constant_repairs(1, 100, 10).availability == pytest.approx(100 / 110)
    with pytest.raises(ValueError, match="machines >= 1"):
        constant_repairs(0, 100, 10)
