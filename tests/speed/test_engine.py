"""What the engine costs per task, against a plain SimPy model of the same line, and how that grows."""

import time

import pytest

from linesim.draws.draws import Draws
from linesim.engine.run import run_line
from linesim.plan.build import build
from linesim.scenario import from_dict
from tests.speed.lines import TASKS, on_engine, peak_mib, plain_simpy, scenario, times_s

pytestmark = pytest.mark.speed


def seconds_of(run):
    """Return how long ``run`` takes [s] and what it returns."""
    start = time.perf_counter()
    result = run()
    return time.perf_counter() - start, result


def test_engine_against_a_plain_simpy_model():
    """The engine by SimPy, with full accounts, takes less than 2.2 times a plain SimPy model without any.

    1.2 is aimed at. Rules over records, which are also compiled, are some 90 small functions a task.
    """
    jobs, stations = 400, 30
    tasks = jobs * stations * TASKS
    plan = build(from_dict(scenario(jobs, stations)))
    ratios = []
    print(f"\n  {tasks} tasks; µs per task: plain SimPy, linesim, bare drawing; ratio linesim / plain")
    for _ in range(5):
        bare, table = seconds_of(lambda: times_s(jobs, stations))
        plain, _ = seconds_of(lambda table=table: plain_simpy(table))
        engine, ledger = seconds_of(lambda: run_line(plan, Draws(plan, 1, 1)))
        assert ledger.jobs_out == jobs
        ratios.append(engine / plain)
        each = [f"{took / tasks * 1e6:8.3f}" for took in (plain, engine, bare)]
        print("  ", *each, f"{ratios[-1]:8.2f}")
    assert sorted(ratios)[2] < 2.2


def test_cost_and_memory_stay_flat(monkeypatch):
    """Ten times the jobs take no more memory, and a task costs about the same on longer lines.

    Draws that are kept for other cases, 64 MB at most, are none of the run's: here none are kept. Draws come
    in blocks that grow up to some thousand jobs, so both lengths are beyond that.
    """
    monkeypatch.setattr("linesim.draws.draws._KEPT", 0)
    print("\n  stations   jobs   µs per task   peak memory so far [MiB]")
    sizes = ((10, 100), (10, 3_000), (10, 30_000), (30, 100), (30, 1_000), (100, 100), (100, 1_000))
    peaks = {}
    for stations, jobs in sizes:
        took, _ = seconds_of(lambda s=stations, j=jobs: on_engine(j, s))
        peaks[stations, jobs] = peak = peak_mib()
        print(f"  {stations:8d} {jobs:6d} {took / (stations * jobs * TASKS) * 1e6:13.2f} {peak:12.0f}")
    assert peaks[10, 30_000] - peaks[10, 3_000] < 5, "memory grows with the length of the run"
