"""Runs and windows of heavy jobs as they come down a line, not only as they are drawn.

Heavy jobs carry an option with a task of its own; what is looked at is on which jobs that task was done.
Probabilities recomputed by hand and by brute force (runs: W. Feller's recurrent events). Sequences by
themselves, car sequencing and goal chasing: test_orders.

Not told by the engine: a fixed mix in random order; random sequences draw each job by itself.
"""

from functools import cache
from itertools import groupby

import numpy as np
import pytest

from tests.formulas.runs import (
    chance_crowded,
    chance_none_adjacent,
    chance_of_run,
    jobs_to_first_run,
    mean_crowded_windows,
    mean_runs,
)
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import Line, bare, constant


@cache
def came(share: float, jobs: int, replications: int) -> np.ndarray:
    """Return on which jobs the heavy task was done, shape (replications, jobs)."""
    raw = bare(jobs * 60.0 + 1)
    raw["flow"] = ["S"]
    raw["section"]["S"] = {"pacing": "free", "stations": ["M"]}
    raw["option"] = {"heavy": {"take": share}}
    raw["station"]["M"] = {
        "task": {
            "frame": {"people": 0, "time": constant(60.0)},
            "cabin": {"people": 0, "time": constant(10.0), "options": ["heavy"]},
        }
    }
    line = Line(raw)
    cabin = line.plan.names.task.index("M.cabin")
    rows = np.zeros((replications, jobs), dtype=bool)
    for r in range(replications):
        done = [e.job for e in line.log(r + 1)[0] if e.what == "task end" and e.task == cabin]
        rows[r, [j for j in done if j < jobs]] = True
    return rows


def first_run(marks: np.ndarray, length: int) -> int:
    """Return the number of jobs until ``length`` heavy ones have come in a row; 0 if they never have."""
    run = 0
    for j, heavy in enumerate(marks.tolist(), start=1):
        run = run + 1 if heavy else 0
        if run == length:
            return j
    return 0


def runs(marks: np.ndarray, length: int) -> int:
    """Return the number of runs of at least ``length`` heavy jobs."""
    return sum(1 for heavy, group in groupby(marks.tolist()) if heavy and len(list(group)) >= length)


@pytest.mark.parametrize(("length", "mean"), [(2, 8.75), (3, 24.375)])  # (q^-k - 1)/(1 - q), q = 0.4
def test_jobs_to_the_first_run(length: int, mean: float) -> None:
    """Of jobs of which 0.4 are heavy, 8.75 pass until two come in a row and 24.375 until three."""
    assert jobs_to_first_run(0.4, length) == pytest.approx(mean, abs=1e-9)
    waits = [first_run(row, length) for row in came(0.4, 300, 200)]
    assert min(waits) > 0
    assert_mean_agrees(waits, mean, must_see=0.55 * mean)
    assert_mean_differs(waits, jobs_to_first_run(0.4, length + 1), must_see=0.55 * mean)


def test_runs_in_a_stretch() -> None:
    """In 100 jobs there are 3.7888 runs of three or more on average, and one at least with chance 0.988."""
    assert mean_runs(0.4, 3, 100) == pytest.approx(3.7888, abs=5e-9)
    assert chance_of_run(0.4, 3, 10) == pytest.approx(0.31412224, abs=5e-9)
    assert chance_of_run(0.4, 3, 50) == pytest.approx(0.88633704, abs=5e-9)
    assert chance_of_run(0.4, 3, 100) == pytest.approx(0.98798194, abs=5e-9)
    rows = came(0.4, 300, 200)
    parts = rows.reshape(600, 100)
    assert_mean_agrees([runs(row, 3) for row in parts], 3.7888, must_see=0.7)
    tens = rows.reshape(6000, 10)
    found = [runs(row, 3) > 0 for row in tens]
    assert_mean_agrees(found, 0.31412224, must_see=0.05)
    assert_mean_differs(found, chance_of_run(0.45, 3, 10), must_see=0.05)


def test_other_printed_chances() -> None:
    """The formulas give the printed figures of the other shares and lengths, and of a fixed mix."""
    assert jobs_to_first_run(0.4, 4) == pytest.approx(63.4375, abs=1e-9)
    assert jobs_to_first_run(0.3, 2) == pytest.approx(14.444444, abs=6e-7)
    assert jobs_to_first_run(0.3, 3) == pytest.approx(51.481481, abs=6e-7)
    assert chance_of_run(0.3, 2, 50) == pytest.approx(0.97644619, abs=5e-9)
    assert chance_of_run(0.3, 3, 50) == pytest.approx(0.62475758, abs=5e-9)
    assert chance_none_adjacent(4, 10) == pytest.approx(1 / 6, abs=1e-12)  # C(7, 4)/C(10, 4)


@pytest.mark.parametrize(
    ("at_most", "in_any", "share", "chance", "windows"),
    [(1, 2, 0.3, 0.09, 5.31), (2, 5, 0.3, 0.16308, 9.13248), (2, 3, 0.5, 0.125, 7.25)],
)
def test_crowded_windows(at_most: int, in_any: int, share: float, chance: float, windows: float) -> None:
    """Of 60 jobs on the line as many windows are crowded as P(Bin(Q, q) > P) says."""
    assert chance_crowded(share, at_most, in_any) == pytest.approx(chance, abs=5e-9)
    assert mean_crowded_windows(share, at_most, in_any, 60) == pytest.approx(windows, abs=5e-7)
    rows = came(share, 60, 400).astype(int)
    sums = sum(rows[:, k : 60 - in_any + 1 + k] for k in range(in_any))
    found = (sums > at_most).sum(axis=1)
    assert_mean_agrees(found, windows, must_see=0.3 * windows)
    assert_mean_differs(
        found, mean_crowded_windows(share * 1.25, at_most, in_any, 60), must_see=0.3 * windows
    )
