"""What the line does with drawn times: spread of sums, the cut at zero, common draws.

Numbers recomputed by hand, quadrature and closed forms; quantiles and moments of every shape against another
library stand in tests/unit/draws. Antithetic draws are not offered by the program; their correlation
1 - pi^2/6 is held in tests/unit/theory.
"""

from math import sqrt

import numpy as np
import pytest

from linesim.theory import laws
from tests.formulas.common_draws import drawn_pair
from tests.formulas.laws import cut_normal, pert, sum_sd
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import (
    TICKS,
    UNIT,
    Line,
    Raw,
    bare,
    by_job,
    exponential,
    normal,
    tandem,
)

TASKS = (12.0, 18.0, 9.0, 15.0)


def test_task_times_are_independent_of_each_other() -> None:
    """Four tasks of cv 0.2 take 54 s with sd 5.56 (cv 0.103), not the 10.8 s of one common pace factor."""
    each = [0.2 * mean for mean in TASKS]
    alone, together = sum_sd(each), sum_sd(each, one_pace=True)
    assert (alone, together) == pytest.approx((5.56417110, 10.8), abs=5e-9)
    raw = bare(54.0 * 40 * 500)
    raw["flow"] = ["S"]
    raw["section"]["S"] = {"pacing": "free", "stations": ["M"]}
    raw["station"]["M"] = {
        "task": {f"t{k}": {"time": {"mean": f"{mean} s", "cv": 0.2}} for k, mean in enumerate(TASKS)}
    }
    raw["crew"] = {"one": {"people": 1, "covers": ["M"]}}
    left = np.array(sorted(by_job(Line(raw).log()[0], "leave", 0).values()))
    rows = np.diff(left)[: 40 * 450].reshape(40, -1)  # one operator: tasks in turn, jobs one after the other
    assert_mean_agrees(rows.mean(axis=1), 54.0, must_see=0.4)
    spread = rows.var(axis=1, ddof=1)
    assert_mean_agrees(spread, alone**2, must_see=0.1 * alone**2)
    assert_mean_differs(spread, together**2, must_see=0.1 * alone**2)


def station(time: Raw, length: float = 1000 * UNIT) -> Line:
    """Return one free station that always works."""
    return Line(tandem([time], length=length))


def test_a_normal_time_cut_at_zero_has_another_mean() -> None:
    """With mean parameter 1 and sd 0.5 the work takes 1.0276 on average: 2.8 % more than was written."""
    law = cut_normal(1, 0.5)
    assert (law.mean, law.sd) == pytest.approx((1.02762393, 0.47075789), abs=5e-9)
    line = station(normal(UNIT, 0.5 * UNIT))
    shape = line.plan.shapes[int(line.plan.tasks.time_shape[0][0])]
    assert shape.mean_s == pytest.approx(1.02762393 * UNIT, abs=1e-5 * UNIT)
    taken = [(x.end - x.start) / x.station_jobs[0] / (TICKS * UNIT) for x in line.runs(30)]
    assert_mean_agrees(taken, 1.02762393, must_see=0.02)
    assert_mean_differs(taken, 1.0, must_see=0.02)


def test_the_spread_of_a_pert_time_is_not_a_sixth_of_its_range() -> None:
    """Low 40, mode 50, high 75 s: mean 52.5, sd 6.3387 s; (75 - 40)/6 = 5.8333 s is an approximation."""
    exact = sqrt((52.5 - 40) * (75 - 52.5) / 7)
    assert exact == pytest.approx(6.33865691, abs=5e-9)
    assert pert(40, 50, 75).sd == pytest.approx(exact, abs=1e-9)
    time = {"shape": "pert", "low": "40 s", "mode": "50 s", "high": "75 s"}
    line = station(time, length=52.5 * 40 * 400)
    shape = line.plan.shapes[int(line.plan.tasks.time_shape[0][0])]
    assert shape.sd_s == pytest.approx(exact, abs=1e-9)
    left = np.array(sorted(by_job(line.log()[0], "leave", 0).values()))
    spread = np.diff(left)[: 40 * 390].reshape(40, -1).var(axis=1, ddof=1)
    assert_mean_agrees(spread, exact**2, must_see=0.12 * exact**2)
    assert_mean_differs(spread, (35 / 6) ** 2, must_see=0.12 * exact**2)


def taken(mean: float, replication: int, seed: int = 1) -> np.ndarray:
    """Return how long the first 250 jobs were worked on [units]."""
    line = station(exponential(mean * UNIT), length=500 * UNIT)
    events, _ = line.log(replication, seed=seed)
    began, ended = by_job(events, "task start", 0), by_job(events, "task end", 0)
    return np.array([ended[j] - began[j] for j in range(250)]) / UNIT


def test_common_draws_make_one_of_two_alternatives() -> None:
    """Exponential work of means 1 and 1.2: on the same jobs the difference varies by 0.04, else by 2.44."""
    first, second = laws.exponential(1), laws.exponential(1.2)
    same, free = drawn_pair(first, second, "common"), drawn_pair(first, second, "independent")
    assert (same.correlation, same.difference_variance) == pytest.approx((1, 0.04), abs=1e-6)
    assert (free.correlation, free.difference_variance) == pytest.approx((0, 2.44), abs=1e-6)
    paired, apart = [], []
    for r in range(1, 41):
        base = taken(1, r)
        assert np.allclose(taken(1.2, r), 1.2 * base, atol=2e-6)  # the same numbers, to the rounding
        paired.append(np.var(base - taken(1.2, r), ddof=1))
        apart.append(np.var(base - taken(1.2, r, seed=2), ddof=1))
    assert_mean_agrees(paired, 0.04, must_see=0.012)
    assert_mean_agrees(apart, 2.44, must_see=0.6)
    assert_mean_differs(apart, 0.04, must_see=0.6)
