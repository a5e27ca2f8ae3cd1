"""Two machines in slots of time: failures and repairs slot by slot, and machines up by chance in each slot.

Failing machines: J. A. Buzacott, International Journal of Production Research (1967) 183-200; S. B. Gershwin
and I. C. Schick, Operations Research 31 (1983) 354-380. Continuous flow: Gershwin and Schick 1980. Bernoulli
machines: J. Li and S. M. Meerkov, Production Systems Engineering, chapter 4. Citations from memory; every
number is recomputed from its transition matrix.

A number of slots by chance is a task of one slot that is redone until it succeeds. A machine that fails at
the start of the slot in which it would work, and is down for such a number of slots, has one chance to fail
on each job: an option that the job has, which calls for a task before the work. What the first machine has
made and the second not yet is b places, a job at the second machine and one held at the first, so a level of
N is b = N - 2.

A Bernoulli machine does not hold what it made: it only works while there is room. A card (a carrier) for each
place of the buffer, taken before the first machine tries and given back behind the second, says so.
"""

import math
from functools import cache

import numpy as np
import pytest

from linesim.plan.words import S_BLOCKED, S_STARVED, S_WORKING
from tests.formulas.breakdowns import bernoulli_pair, flowing_pair, slotted_pair
from tests.formulas.departures import departure_times
from tests.luck import Luck
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import TICKS, Line, Raw, bare, by_job, constant, share, tandem

SLOT = 10.0  #: Length of a slot [s].
REPLICATIONS = 40
Machine = tuple[float, float]  #: chances of repair and of failure, a slot each


def again(chance: float) -> Raw:
    """Return a task of one slot that is redone with a chance, so that it takes 1, 2, ... slots."""
    fault = {"chance": chance, "found": "at once", "tries": 10_000}
    return {"people": 0, "time": constant(SLOT), "fault": fault}


def failing(machines: tuple[Machine, Machine], room: int, slots: int) -> Raw:
    """Return two machines that fail in slots, and room for ``room`` jobs that only the first has made."""
    raw = tandem([constant(SLOT)] * 2, room - 2, length=slots * SLOT, warm_up=slots * SLOT / 10)
    raw["option"] = {}
    for i, (repair, fails) in enumerate(machines):
        raw["option"][f"fails-{i}"] = {"take": fails}
        tasks = raw["station"][f"M{i}"]["task"]
        tasks["mend"] = again(1 - repair) | {"options": [f"fails-{i}"]}
        tasks["work"]["after"] = ["mend"]
    return raw


def given_and_leave(line: Line) -> tuple[np.ndarray, np.ndarray]:
    """Return slots of work of each job at each machine, from the draws alone, and when each left [slots]."""
    events, _ = line.log()
    columns = [by_job(events, "leave", s) for s in range(2)]
    jobs = len(columns[1])
    draws, names = Luck(line.plan, 1, 1), line.plan.names
    work = np.ones((jobs, 2))
    chances = [rows[-1][2] for rows in line.plan.faults.chances]
    for j in range(jobs):
        order = draws.order(j)
        assert order is not None
        for i in range(2):
            if not order.options >> i & 1:
                continue
            redone = 0
            while draws.chance("fault", names.fault[i], j, redone) < chances[i]:
                redone += 1
            work[j, i] += 1 + redone
    return work, np.array([[column[j] / SLOT for column in columns] for j in range(jobs)])


#: Chances of both machines, room, jobs a slot, mean level. Recomputed: transition matrix, and closed form.
PAIRS = [
    (((0.1, 0.01), (0.1, 0.01)), 4, 0.84093614, 2.0),
    (((0.1, 0.01), (0.1, 0.01)), 10, 0.85617493, 5.0),
    (((0.1, 0.01), (0.1, 0.01)), 20, 0.87054072, 10.0),
    (((0.2, 0.05), (0.1, 0.02)), 10, 0.73626233, 3.852390),
    (((0.1, 0.02), (0.2, 0.05)), 10, 0.73626233, 6.147610),
]


@pytest.mark.parametrize(("machines", "room", "rate", "level"), PAIRS)
def test_failing_machines_job_by_job(
    machines: tuple[Machine, Machine], room: int, rate: float, level: float
) -> None:
    """Each job leaves both machines in the slot that the recursion says; slots of repair count as work."""
    exact = slotted_pair(*machines, room)
    assert (exact.efficiency, exact.level) == pytest.approx((rate, level), abs=6e-7)
    work, left = given_and_leave(Line(failing(machines, room, 1500)))
    assert len(work) > 900
    assert work.max() > 10
    assert np.array_equal(left, departure_times(work, places=room - 2))
    assert not np.array_equal(left, departure_times(work, places=room))


def rates_by_recursion(machines: tuple[Machine, Machine], room: int, slots: int) -> np.ndarray:
    """Return jobs a slot of 200 lines of the recursion, with a tenth of the jobs to warm up."""
    luck = np.random.default_rng(1)
    work = np.ones((200, slots, 2))
    for i, (repair, fails) in enumerate(machines):
        work[..., i] += (luck.random((200, slots)) < fails) * luck.geometric(repair, (200, slots))
    left = departure_times(work, places=room - 2)[..., 1]
    return np.asarray((slots - 1 - slots // 10) / (left[:, -1] - left[:, slots // 10]))


@pytest.mark.parametrize(("machines", "room", "rate", "level"), PAIRS)
def test_the_recursion_has_the_rate_of_the_chain(
    machines: tuple[Machine, Machine], room: int, rate: float, level: float
) -> None:
    """The recursion that the engine obeys makes the tabled jobs a slot; an error of 0.7 % would be seen."""
    found = rates_by_recursion(machines, room, 20_000)
    assert_mean_agrees(found, rate, must_see=0.007)
    other = slotted_pair(*machines, 2 * room).efficiency  # twice the room: 1 % to 3 % more
    assert_mean_differs(found, other, must_see=0.007)


@pytest.mark.parametrize(("slot", "rate"), [(1.0, 0.8517), (0.5, 0.8553), (0.25, 0.8570)])
def test_shorter_slots(slot: float, rate: float) -> None:
    """Failures of rate 0.01 and repairs of rate 0.1 in ever shorter slots come closer to continuous flow."""
    machine = (-math.expm1(-0.1 * slot), -math.expm1(-0.01 * slot))
    room = round(10 / slot) + 1  # 10 of flow, and the job in hand
    assert slotted_pair(machine, machine, room).efficiency == pytest.approx(rate, abs=5e-5)
    found = rates_by_recursion((machine, machine), room, 20_000)
    assert_mean_agrees(found, rate, must_see=0.015)
    assert_mean_differs(found, flowing_pair(100, 10, 0), must_see=0.015)


@cache
def figures(machines: tuple[Machine, Machine], room: int) -> tuple[list[float], list[float]]:
    """Return jobs a slot, as told by the machines' use, and the mean level, one figure per replication."""
    line = Line(failing(machines, room, 1200))
    rates, levels = [], []
    for ledger in line.runs(REPLICATIONS):
        per_job = [1 + fails / repair for repair, fails in machines]
        rates.append(float(np.mean([share(ledger, s, S_WORKING) / per_job[s] for s in (0, 1)])))
        between = ledger.buffer_level[0]
        held = share(ledger, 0, S_BLOCKED) + 1 - share(ledger, 1, S_STARVED)
        levels.append(float(between @ np.arange(len(between))) / (ledger.end - ledger.start) + held)
    return rates, levels


@pytest.mark.parametrize(("machines", "room", "rate", "level"), [PAIRS[0], PAIRS[3]])
def test_failing_machines(machines: tuple[Machine, Machine], room: int, rate: float, level: float) -> None:
    """The engine makes the tabled jobs a slot at the tabled level; endless room or the reversal is told."""
    rates, levels = figures(machines, room)
    assert_mean_agrees(rates, rate, must_see=0.025)
    assert_mean_agrees(levels, level, must_see=0.25 * room / 2)
    worse = min(repair / (repair + fails) for repair, fails in machines)
    assert_mean_differs(rates, worse, must_see=0.025)
    if machines[0] != machines[1]:
        assert_mean_differs(levels, room - level, must_see=0.25 * room / 2)


def test_short_slots_come_close_to_continuous_flow() -> None:
    """Jobs of 15 s on machines that run 100 min and are down 10 min make what flowing material makes.

    First the engine, job by job, with robots that fail by running time and room for 10 min of flow and the
    job in hand; then the recursion that it obeys. The error of 15 s, a 40th of a repair, lies below what the
    test must see.
    """
    cycle, up, repair = 15.0, 6000.0, 600.0
    raw = tandem([constant(cycle)] * 2, 39, length=2500 * cycle)
    raw["robot"] = {}
    for i in range(2):
        raw["station"][f"M{i}"]["task"]["work"] = {"robot": f"R{i}", "time": constant(cycle)}
        every = {"shape": "exponential", "mean": f"{up} s"}
        lasts = {"shape": "exponential", "mean": f"{repair} s"}
        raw["robot"][f"R{i}"] = {"failure": {"jam": {"every": every, "lasts": lasts}}}
    line = Line(raw)
    events, _ = line.log()
    columns = [by_job(events, "leave", s) for s in range(2)]
    draws, work = Luck(line.plan, 1, 1), np.full((len(columns[1]), 2), cycle * TICKS)
    for i in range(2):
        run, failures = draws.mode_every(i, 0), 0
        while run < cycle * TICKS * len(work):
            work[int(run // (cycle * TICKS)), i] += draws.mode_lasts(i, failures)
            failures += 1
            run += draws.mode_every(i, failures)
        assert failures > 3
    left = np.array([[column[j] * TICKS for column in columns] for j in range(len(work))])
    assert np.array_equal(np.rint(left), departure_times(work, places=39))

    assert [flowing_pair(100, 10, room) for room in (0, 10)] == pytest.approx(
        (0.83333333, 0.85872576), abs=6e-9
    )
    luck, jobs = np.random.default_rng(1), 80_000
    stops = luck.poisson(cycle / up, (REPLICATIONS, jobs, 2))
    down = np.where(stops > 0, luck.gamma(np.maximum(stops, 1), repair), 0.0)
    gone = departure_times(cycle + down, places=39)[..., 1]
    found = (jobs - 1 - jobs // 10) * cycle / (gone[:, -1] - gone[:, jobs // 10])
    assert_mean_agrees(found, flowing_pair(100, 10, 10), must_see=0.0125)
    assert_mean_differs(found, flowing_pair(100, 10, 0), must_see=0.0125)


def bernoulli(first: float, second: float, room: int, slots: int) -> Raw:
    """Return two machines that are up in each slot with a chance of their own, and room for so many jobs.

    The first machine tries at the end of a slot, when the second has taken or not: a slot after it made its
    last job, or when a card comes. A job that succeeds at once has no task there; the others have the option
    "missed" and as many slots more as it takes. A token keeps the machine from beginning the next slot before
    it has made this job.
    """
    raw = bare(slots * SLOT, slots * SLOT / 10)
    raw["flow"] = ["slot", "try", "room", "second"]
    raw["section"] = {
        name: {"pacing": "free", "stations": [f"M-{name}"]} for name in ("slot", "try", "second")
    }
    raw["buffer"] = {"room": {"capacity": room}}
    raw["option"] = {"missed": {"take": 1 - first}}
    raw["station"] = {
        "M-slot": {"task": {"wait": {"people": 0, "time": constant(SLOT)}}},
        "M-try": {"task": {"more": again(1 - first) | {"options": ["missed"]}}},
        "M-second": {"task": {"work": again(1 - second)}},
    }
    raw["carrier"] = {
        "token": {"count": 1, "boards": "slot", "leaves": "try", "returns": "0 s"},
        "card": {"count": room, "boards": "try", "leaves": "second", "returns": "0 s"},
    }
    return raw


@pytest.mark.parametrize(("room", "printed"), [(1, 0.81818182), (2, 0.85714286), (3, 0.87096774)])
def test_bernoulli_machines(room: int, printed: float) -> None:
    """Two machines that are up in 90 % of slots make the printed jobs a slot; a place more is told apart."""
    exact = bernoulli_pair(0.9, 0.9, room)
    assert exact == pytest.approx(printed, abs=6e-9)
    rates = [
        ledger.jobs_out * SLOT * TICKS / (ledger.end - ledger.start)
        for ledger in Line(bernoulli(0.9, 0.9, room, 600)).runs(REPLICATIONS)
    ]
    assert_mean_agrees(rates, exact, must_see=0.02)
    assert_mean_differs(rates, bernoulli_pair(0.9, 0.9, {1: 2, 2: 3, 3: 2}[room]), must_see=0.02)
