"""What drawing costs: the bare numbers, the times as the engine asks for them, and the job sequence."""

import time

import numpy as np
import pytest

from linesim.draws.draws import Draws
from linesim.draws.orders import JobSequence
from linesim.draws.streams import Streams
from linesim.plan.orders import PlannedSpacing
from linesim.scenario.shapes import Lognormal
from tests.unit.draws.small import book, plan

pytestmark = pytest.mark.speed


def best_us(run, per, repeats=5):
    """Return the shortest time of some runs, in microseconds for each of ``per`` pieces."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return min(times) / per * 1e6


def test_cost_of_a_task_time():
    """A time of many lognormal tasks drawn together costs less than ten bare lognormal numbers."""
    line = plan(
        tasks=tuple(f"K1.t{t}" for t in range(50)), shapes=(Lognormal(mean="60 s", cv=0.2),), jobs=1024
    )
    columns, replications = range(1, 51), iter(range(1, 100))
    together = best_us(lambda: Draws(line, 1, next(replications)).blocks(columns, 0, 0, 1024), 50 * 1024)
    numbers = np.random.Generator(np.random.Philox(key=1))
    bare = best_us(lambda: [numbers.lognormal(4.0, 0.2, 1024) for _ in range(50)], 50 * 1024)
    print(f"\n  µs a time: {together:.3f} drawn together, {bare:.3f} bare numpy")
    assert together < 10 * bare


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
