"""Failing machines that share a cycle, a slot, or a flow.

Stop-all and finish-the-cycle: J. A. Buzacott, International Journal of Production Research 6 (1967) 183-200.
Slots: also S. B. Gershwin and I. C. Schick, Operations Research 31 (1983) 354-380, and S. B. Gershwin,
Manufacturing Systems Engineering (1994) chapter 3. Citations from memory; numbers recomputed from transition
matrices, closed forms and quadrature. The continuous flow: derived in place, the model of Gershwin and
Schick 1980.

Machines that fail slot by slot, judged on the level at the start of the slot, are told as jobs: with chance
``p`` a job needs a mending task of one slot that is redone with chance ``1 - r``, then one slot of work. The
first machine then holds the last of ``N`` finished jobs and the second has one in work, so ``N`` is two more
than the places between.

Not told by the engine: the line of Bernoulli machines (J. Li and S. M. Meerkov, Production Systems
Engineering, chapter 4), whose first machine may work in a slot because the second takes a job in that same
slot; a machine that blocks after service has worked already. Its closed form is held in tests/unit/theory.
"""

from functools import cache

import numpy as np
import pytest

from linesim.plan.words import C_RUNNING, S_BLOCKED, S_STARVED, S_WORKING
from tests.formulas.breakdowns import (
    bernoulli_pair,
    common_cycle,
    flowing_pair,
    independent_efficiency,
    slotted_pair,
    stop_all_efficiency,
)
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import (
    TICKS,
    UNIT,
    Line,
    Raw,
    constant,
    exponential,
    paced,
    share,
    tandem,
)

REPLICATIONS = 40
CYCLE = 10.0  #: Work of one cycle [s].


def fails(up: float, repair: float, per: str = "running") -> Raw:
    """Return a failure with exponential mean times [s]."""
    return {"every": exponential(up), "lasts": exponential(repair), "per": per}


def running(n: int, up: float, repair: float, length: float, per: str = "running") -> list[float]:
    """Return the share of time that a conveyor with ``n`` ways to fail runs."""
    raw = paced([constant(CYCLE)], length=length, takt=up)
    raw["section"]["line"]["failure"] = {f"F{i}": fails(up, repair, per) for i in range(n)}
    return [
        ledger.section_state[0, C_RUNNING] / (ledger.end - ledger.start)
        for ledger in Line(raw).runs(REPLICATIONS)
    ]


@pytest.mark.parametrize(("n", "printed"), [(2, 0.83333333), (5, 0.66666667)])  # 1/(1 + sum MTTR/MTBF)
def test_stop_all(n: int, printed: float) -> None:
    """A conveyor that any of its failures stops, and that cannot fail while it stands, runs 1/(1 + sum)."""
    exact = stop_all_efficiency([1000] * n, [100] * n)
    assert exact == pytest.approx(printed, abs=5e-9)
    assert_mean_agrees(running(n, 1000, 100, 120_000), exact, must_see=0.03 * exact)


def test_failures_by_the_calendar_are_independent() -> None:
    """Five failures that go on counting while the conveyor stands: it runs the product of availabilities."""
    exact = independent_efficiency([1000] * 5, [100] * 5)
    assert exact == pytest.approx(0.62092132, abs=5e-9)
    found = running(5, 1000, 100, 120_000, "calendar")
    assert_mean_agrees(found, exact, must_see=0.04)
    assert_mean_differs(found, stop_all_efficiency([1000] * 5, [100] * 5), must_see=0.04)


@pytest.mark.parametrize("per", ["calendar", "running"])
def test_robots_that_must_all_be_up(per: str) -> None:
    """A task that needs five robots at once runs the product, or 1/(1 + sum) if they fail by work."""
    exact = {"calendar": 0.62092132, "running": 0.66666667}  # recomputed: closed forms
    raw = tandem([constant(100)], length=120_000)
    raw["station"]["M0"]["task"]["work"] = {"robot": [f"R{i}" for i in range(5)], "time": constant(5000)}
    raw["robot"] = {f"R{i}": {"failure": {"fault": fails(1000, 100, per)}} for i in range(5)}
    found = [share(ledger, 0, S_WORKING) for ledger in Line(raw).runs(REPLICATIONS)]
    assert_mean_agrees(found, exact[per], must_see=0.04)
    other = exact["running" if per == "calendar" else "calendar"]
    assert_mean_differs(found, other, must_see=0.04)


def cycles(n: int, up: float, repair: float, jobs: int) -> list[float]:
    """Return the mean cycle of stations that step together, each with a robot that fails while it works."""
    raw = paced(
        [constant(CYCLE)] * n, length=1.2 * jobs * CYCLE, warm_up=n * 3 * CYCLE, takt=1, pacing="indexed"
    )
    raw["robot"] = {}
    for i in range(n):
        raw["station"][f"S{i}"]["task"]["work"] = {"robot": f"R{i}", "time": constant(CYCLE)}
        raw["robot"][f"R{i}"] = {"failure": {"fault": fails(up, repair)}}
    return [
        (ledger.end - ledger.start) / ledger.station_jobs[0] / (TICKS * CYCLE)
        for ledger in Line(raw).runs(REPLICATIONS)
    ]


@pytest.mark.parametrize(
    ("n", "printed", "see"),
    [(1, 1.1, 0.06), (2, 1.19950249, 0.07), (5, 1.49505778, 0.08)],  # recomputed: quadrature
)
def test_finish_the_cycle(n: int, printed: float, see: float) -> None:
    """Stations that each finish their own cycle step every max(T + repairs), just above stop-all."""
    exact = common_cycle(1, [100] * n, [10] * n)
    assert exact == pytest.approx(printed, abs=5e-9)
    assert exact <= 1 / stop_all_efficiency([100] * n, [10] * n) + 1e-12
    assert_mean_agrees(cycles(n, 100 * CYCLE, 10 * CYCLE, 1200), exact, must_see=see * exact)


def test_the_two_rules_are_told_apart() -> None:
    """Where repairs are frequent the cycle is far shorter than by stop-all: one rule is not the other."""
    up, repair, n = 0.5, 0.2, 5
    exact, stop_all = common_cycle(1, [up] * n, [repair] * n), 1 / stop_all_efficiency([up] * n, [repair] * n)
    found = cycles(n, up * CYCLE, repair * CYCLE, 250)
    assert_mean_agrees(found, exact, must_see=0.05 * exact)
    assert stop_all > 1.15 * exact
    assert_mean_differs(found, stop_all, must_see=0.05 * exact)


@cache
def flow(cycle: float, room: float) -> tuple[float, ...]:
    """Return the efficiency of two machines of short cycle, told by the time their robots are held."""
    raw = tandem([constant(cycle)] * 2, round(room / cycle), length=2000.0, warm_up=200.0)
    raw["robot"] = {}
    for i in range(2):
        raw["station"][f"M{i}"]["task"]["work"] = {"robot": f"R{i}", "time": constant(cycle)}
        raw["robot"][f"R{i}"] = {"failure": {"fault": fails(100, 10)}}
    return tuple(
        float((ledger.robot_state[:, 0] + ledger.robot_state[:, 2]).mean())
        / (ledger.end - ledger.start)
        / 1.1
        for ledger in Line(raw).runs(REPLICATIONS)
    )


def test_short_cycles_come_near_the_continuous_flow() -> None:
    """With a cycle of a tenth of a repair two machines are within 2 % of the flow; half of it is as near."""
    assert flowing_pair(100, 10, 0) == pytest.approx(0.83333333, abs=5e-9)
    limit = flowing_pair(100, 10, 10)
    assert limit == pytest.approx(0.85872576, abs=5e-9)
    coarse, fine = flow(2.0, 10), flow(1.0, 10)
    assert_mean_agrees(fine, limit, must_see=0.02)
    assert_mean_differs(fine, flowing_pair(100, 10, 0), must_see=0.02)
    moved = np.subtract(coarse, fine)
    for size in (-0.001, 0.001):
        assert_mean_differs(moved, size, must_see=0.001)  # halving the cycle moves it by less
    assert abs(moved.mean()) < 0.001


def slots(first: tuple[float, float], second: tuple[float, float], room: int, n: int):
    """Return efficiency and mean level of two slotted machines, one figure per replication each."""
    raw = tandem([constant(UNIT)] * 2, room - 2, length=n * UNIT, warm_up=100 * UNIT)
    raw["option"] = {}
    for i, (r, p) in enumerate((first, second)):
        mend = {
            "people": 0, "time": constant(UNIT), "options": [f"fails{i}"],
            "fault": {"chance": 1 - r, "found": "at once", "tries": 100_000},
        }  # fmt: skip
        raw["option"][f"fails{i}"] = {"take": p}
        work = {"people": 0, "time": constant(UNIT), "after": ["mend"]}
        raw["station"][f"M{i}"] = {"task": {"mend": mend, "work": work}}
    efficiency, level = [], []
    for ledger in Line(raw).runs(REPLICATIONS):
        held = [share(ledger, i, S_WORKING) / (1 + p / r) for i, (r, p) in enumerate((first, second))]
        efficiency.append(float(np.mean(held)))
        content = ledger.buffer_level[0] / (ledger.end - ledger.start) if room > 2 else np.zeros(1)
        level.append(
            float(content @ np.arange(len(content)))
            + (1 - share(ledger, 1, S_STARVED))
            + share(ledger, 0, S_BLOCKED)
        )
    return efficiency, level


@pytest.mark.parametrize(
    ("first", "second", "room", "efficiency", "level"),
    [
        ((0.1, 0.01), (0.1, 0.01), 4, 0.84093614, 2),
        ((0.1, 0.01), (0.1, 0.01), 10, 0.85617493, 5),
        ((0.1, 0.01), (0.1, 0.01), 20, 0.87054072, 10),
        ((0.2, 0.05), (0.1, 0.02), 10, 0.73626233, 3.852390),
        ((0.1, 0.02), (0.2, 0.05), 10, 0.73626233, 6.147610),
    ],
)
def test_printed_slots(first, second, room, efficiency, level) -> None:
    """The chain of slots gives the printed efficiencies and levels; reversed levels add up to the room."""
    exact = slotted_pair(first, second, room)
    assert exact.efficiency == pytest.approx(efficiency, abs=5e-9)
    assert exact.level == pytest.approx(level, abs=6e-7)
    assert exact.level + slotted_pair(second, first, room).level == pytest.approx(room, abs=1e-6)


@pytest.mark.parametrize(
    ("first", "second", "room"),
    [
        ((0.1, 0.01), (0.1, 0.01), 4),
        ((0.2, 0.05), (0.1, 0.02), 10),
        ((0.1, 0.02), (0.2, 0.05), 10),
        ((0.5, 0.3), (0.6, 0.3), 2),
    ],
)
def test_slotted_machines(first, second, room) -> None:
    """Two machines that fail slot by slot have the efficiency and the mean level of the chain of slots."""
    exact = slotted_pair(first, second, room)
    efficiency, level = slots(first, second, room, 1200)
    assert_mean_agrees(efficiency, exact.efficiency, must_see=0.045 * exact.efficiency)
    assert_mean_agrees(level, exact.level, must_see=0.16 * room)
    if room == 2:
        other = slotted_pair(first, second, 3)
        assert_mean_differs(efficiency, other.efficiency, must_see=0.045 * exact.efficiency)
    elif room == 10:
        assert_mean_differs(level, slotted_pair(second, first, room).level, must_see=0.16 * room)


def test_bernoulli_line_by_its_formula() -> None:
    """The closed form PR = p(1 - Q), Q = (1 - p)/(N + 1 - p) gives the printed figures for p = 0.9."""
    for room, printed in ((1, 0.81818182), (2, 0.85714286), (3, 0.87096774)):
        assert 0.9 * (1 - 0.1 / (room + 0.1)) == pytest.approx(printed, abs=5e-9)
        assert bernoulli_pair(0.9, 0.9, room) == pytest.approx(printed, abs=5e-9)
