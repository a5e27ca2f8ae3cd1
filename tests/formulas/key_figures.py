"""Key figures of ISO 22400-2: formulas over counted quantities and times of a shift.

The standard's availability is a ratio of production time to planned busy time. It is not
``MTBF / (MTBF + MTTR)``: starving, blocking and setting up lower it too.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ShiftTimes:
    """Times of one work unit in one shift, all in one unit, and what was made.

    Attributes:
        operation: Whole operation time.
        planned_down: Planned downtime in it.
        setup: Actual setup time.
        delay: Actual unplanned delay.
        run_per_item: Planned run time per item.
        produced: Produced quantity.
        good: Good quantity.
        scrapped: Scrapped quantity.
        reworked: Reworked quantity.
        inspected: Items inspected.
        good_first: Items good at their first inspection.
    """

    operation: float
    planned_down: float
    setup: float
    delay: float
    run_per_item: float
    produced: float
    good: float
    scrapped: float
    reworked: float
    inspected: float
    good_first: float


@dataclass(frozen=True, slots=True)
class KeyFigures:
    """The ratios of the standard; ``None`` where the divisor is 0.

    ``effectiveness`` may exceed 1 if work goes faster than planned.
    """

    planned_busy: float
    production: float
    availability: float | None
    effectiveness: float | None
    quality_ratio: float | None
    oee: float | None
    net_equipment_effectiveness: float | None
    utilisation_efficiency: float | None
    allocation_efficiency: float | None
    technical_efficiency: float | None
    setup_ratio: float | None
    scrap_ratio: float | None
    rework_ratio: float | None
    first_pass_yield: float | None


def ratio(part: float, whole: float) -> float | None:
    """Return ``part / whole``, ``None`` if ``whole`` is 0."""
    return part / whole if whole else None


def _product(*factors: float | None) -> float | None:
    known = [f for f in factors if f is not None]
    return math.prod(known) if len(known) == len(factors) else None


def key_figures(times: ShiftTimes) -> KeyFigures:
    """Return the key figures of a shift.

    Notes:
        ISO 22400-2. PBT = operation - planned downtime; APT = PBT - setup - delay;
        AUPT = APT + setup; AUBT = AUPT + delay; A = APT/PBT; E = PRI * PQ / APT; Q = GQ/PQ;
        OEE = A * E * Q; NEE = AUPT/PBT * E * Q.
    """
    busy = times.operation - times.planned_down
    production = busy - times.setup - times.delay
    unit_production = production + times.setup
    unit_busy = unit_production + times.delay
    a = ratio(production, busy)
    e = ratio(times.run_per_item * times.produced, production)
    q = ratio(times.good, times.produced)
    return KeyFigures(
        planned_busy=busy,
        production=production,
        availability=a,
        effectiveness=e,
        quality_ratio=q,
        oee=_product(a, e, q),
        net_equipment_effectiveness=_product(ratio(unit_production, busy), e, q),
        utilisation_efficiency=ratio(production, unit_busy),
        allocation_efficiency=ratio(unit_busy, busy),
        technical_efficiency=ratio(production, production + times.delay),
        setup_ratio=ratio(times.setup, unit_production),
        scrap_ratio=ratio(times.scrapped, times.produced),
        rework_ratio=ratio(times.reworked, times.produced),
        first_pass_yield=ratio(times.good_first, times.inspected),
    )


def throughput_rate(produced: float, order_execution_time: float) -> float | None:
    """Return produced quantity per actual order execution time (PQ / AOET)."""
    return ratio(produced, order_execution_time)


def worker_efficiency(personal_work: float, personal_attendance: float) -> float | None:
    """Return actual personnel work time over attendance time (APWT / APAT)."""
    return ratio(personal_work, personal_attendance)


def corrective_maintenance_ratio(corrective: float, planned: float) -> float | None:
    """Return corrective maintenance time over all maintenance time (CMT / (CMT + PMT))."""
    return ratio(corrective, corrective + planned)


def rolled_yield(yields: Sequence[float]) -> float:
    """Return the chance to pass every step the first time: the product of the first-pass yields."""
    return math.prod(yields)


def normalised_yield(yields: Sequence[float]) -> float:
    """Return the yield that, the same at every step, would give the rolled yield."""
    return math.prod(yields) ** (1 / len(yields))
