"""What drawing costs: the bare numbers, the times as the engine asks for them, and the job sequence."""

import time

import numpy as np
import pytest

from linesim.draws.orders import JobSequence
from linesim.draws.streams import Streams
from linesim.plan.orders import PlannedSpacing
from linesim.scenario.shapes import Constant, Exponential, Gamma, Lognormal, Pert, Triangular
from tests.luck import Luck
from tests.unit.draws.small import book, plan

pytestmark = pytest.mark.speed

SHAPES = (
    Constant(mean="60 s"),
    Lognormal(mean="60 s", cv=0.2),
    Triangular(low="40 s", mode="50 s", high="75 s"),
    Exponential(mean="60 s"),
    Gamma(mean="60 s", cv=0.2),
    Pert(low="40 s", mode="50 s", high="75 s"),
)


def best_us(run, per, repeats=5):
    """Return the shortest time of some runs, in microseconds for each of ``per`` pieces."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return min(times) / per * 1e6


def test_cost_of_a_task_time():
    """A time already made costs less than 0.25 µs, a constant less than that; a new lognormal under 1 µs."""
    jobs = 20_000
    print("\n  µs per task time, 50 tasks one after the other, blocks made on the way")
    fresh = {}
    for shape in range(len(SHAPES)):
        line = plan(tasks=tuple(f"K1.t{t}" for t in range(50)), shapes=SHAPES)

        def run(shape=shape, line=line):
            ticks = Luck(line, 1, 1).task_ticks
            for job in range(jobs // 50):
                for t in range(50):
                    ticks(t, job, 0, shape)

        fresh[SHAPES[shape].kind] = best_us(run, jobs, 3)
        print(f"  {SHAPES[shape].kind:12s} {fresh[SHAPES[shape].kind]:8.3f}")

    draws = Luck(plan(shapes=SHAPES), 1, 1)

    def again():
        ticks = draws.task_ticks
        for _ in range(1000):
            for job in range(100):
                ticks(0, job, 0, 1)

    again()
    cached = best_us(again, 100_000)
    print(f"  made before  {cached:8.3f}")
    numbers = np.random.Generator(np.random.Philox(key=1))
    bare = best_us(lambda: [numbers.lognormal(4.0, 0.2, 256).tolist() for _ in range(80)], 80 * 256)
    print(f"  bare numpy   {bare:8.3f}  (lognormal, vectors of 256 to lists)")
    assert cached < 0.25
    assert fresh["constant"] < 0.25
    assert fresh["lognormal"] < 1


def test_cost_does_not_grow_with_the_run():
    """A time costs as much after 100 000 jobs as after 1000, and a jump ahead costs one block."""
    draws = Luck(plan(shapes=SHAPES), 1, 1)
    ticks = draws.task_ticks
    early = best_us(lambda: [ticks(0, job, 0, 1) for job in range(1000)], 1000)
    late = best_us(lambda: [ticks(0, job, 0, 1) for job in range(10**9, 10**9 + 1000)], 1000)
    print(f"\n  µs per time: first thousand {early:.3f}, a thousand after 10⁹ jobs {late:.3f}")
    assert late < 3 * early + 0.2


def test_cost_of_the_job_sequence():
    """A job of the sequence costs less than 1 ms even where rules are searched."""
    takes = {f"o{i}": take for i, take in enumerate((0.3, 0.25, 0.38, 0.18, 0.5, 0.1))}
    rules = (
        PlannedSpacing("a", -1, 0, 1, 3),
        PlannedSpacing("b", -1, 1, 2, 5),
        PlannedSpacing("c", -1, 2, 2, 5),
    )
    print("\n  µs per job, 3 models, 6 options")
    for sequence, spacings in (("random", ()), ("levelled", ()), ("random", rules), ("levelled", rules)):
        orders = book(shares=(0.5, 0.3, 0.2), takes=takes, sequence=sequence, spacings=spacings)
        made = JobSequence(orders, Streams(1, 1))
        cost = best_us(lambda made=made: [made[job] for job in range(2000)], 2000, 1)
        print(f"  {sequence:8s} {len(spacings)} rules {cost:8.1f}")
        assert cost < 1000
