"""Machines that wait for technicians.

Finite-source queue, C. Palm 1947 (any queueing text; citation from memory): closed form and chain agree.
Constant repairs: recomputed by an embedded chain. Each machine is a robot that fails by the calendar.
"""

from functools import cache

import numpy as np
import pytest

from linesim.plan.words import O_REPAIRING, R_DOWN
from linesim.theory.stations import availability, repair_crews
from tests.formulas.repair_crews import constant_repairs
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import Line, Raw, constant, exponential, paced

REPLICATIONS = 40
Figures = tuple[np.ndarray, np.ndarray, np.ndarray]


@cache
def ran(machines: int, crews: int, up: float, repair: float, fixed: bool = False) -> Figures:
    """Return availability, machines that wait for a technician, and use of the technicians."""
    length = 16_000.0 if up < 480 else 40_000.0
    raw: Raw = paced([constant(1)], length=length, warm_up=length / 20, takt=1e6)
    failure = {
        "every": exponential(up), "lasts": constant(repair) if fixed else exponential(repair),
        "per": "calendar", "repaired_by": "technicians",
    }  # fmt: skip
    raw["robot"] = {f"R{i}": {"failure": {"fault": failure}} for i in range(machines)}
    raw["crew"] = {"technicians": {"people": crews}}
    rows = []
    for ledger in Line(raw).runs(REPLICATIONS):
        span = ledger.end - ledger.start
        down = ledger.robot_state[:, R_DOWN].sum() / span
        at_work = ledger.operator_state[:, O_REPAIRING].sum() / span
        rows.append((1 - down / machines, down - at_work, at_work / crews))
    free, waiting, use = np.array(rows).T
    return free, waiting, use


#: Machines, technicians, mean up and repair times: availability, waiting, use. Recomputed: closed form.
PRINTED = [
    (5, 1, 100, 10, 0.87209565, 0.20347395, 0.43604782),
    (10, 1, 100, 10, 0.78541766, 1.36040577, 0.78541766),
    (10, 2, 100, 10, 0.89613622, 0.14250160, 0.44806811),
    (4, 1, 60, 20, 0.59541985, 0.82442748, 0.79389313),
    (6, 2, 480, 30, 0.94021552, 0.00612605, 0.17629041),
]


@pytest.mark.parametrize(("machines", "crews", "up", "repair", "free", "waiting", "use"), PRINTED)
def test_machines_and_technicians(
    machines: int, crews: int, up: float, repair: float, free: float, waiting: float, use: float
) -> None:
    """Availability, machines that wait and use of the technicians are those of the finite-source queue."""
    exact = repair_crews(machines, crews, up, repair)
    assert (exact.availability, exact.waiting, exact.crew_use) == pytest.approx(
        (free, waiting, use), abs=5e-9
    )
    found = ran(machines, crews, up, repair)
    assert_mean_agrees(found[0], free, must_see=0.03)
    assert_mean_agrees(found[1], waiting, must_see=0.2 * waiting + 0.05)
    assert_mean_agrees(found[2], use, must_see=0.06)


def test_waiting_for_technicians_matters() -> None:
    """Ten machines and one technician are not as available as if nobody waited, nor as with two."""
    found, _, _ = ran(10, 1, 100, 10)
    assert_mean_differs(found, availability(100, 10), must_see=0.03)
    assert_mean_differs(found, 0.89613622, must_see=0.03)


def test_a_technician_for_each_machine() -> None:
    """With five technicians for five machines nobody waits, and each machine is up as often as alone."""
    found, waiting, _ = ran(5, 5, 100, 10)
    assert availability(100, 10) == pytest.approx(0.90909091, abs=5e-9)
    assert_mean_agrees(found, 0.90909091, must_see=0.03)
    assert waiting.max() == 0 < ran(5, 1, 100, 10)[1].min()
    assert_mean_differs(ran(5, 1, 100, 10)[0], 0.90909091, must_see=0.03)


def test_constant_repairs() -> None:
    """Repairs that always last 10 let ten machines be up 0.821 of the time, more than exponential ones."""
    exact = constant_repairs(10, 100, 10)
    assert exact.availability == pytest.approx(0.82100333, abs=5e-9)
    found, _, _ = ran(10, 1, 100, 10, fixed=True)
    assert_mean_agrees(found, exact.availability, must_see=0.02)
    assert_mean_differs(found, 0.78541766, must_see=0.02)
