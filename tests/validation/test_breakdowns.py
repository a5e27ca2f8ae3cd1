"""Machines that fail while they work: alone, and in lines with few places.

The model of the lines: S. B. Gershwin and O. Berman, AIIE Transactions 13 (1981) 2-11 (citation from memory;
the report of 1978 on the same model was seen). Numbers recomputed from the Markov chain. Effective times:
W. J. Hopp and M. L. Spearman, Factory Physics, chapter 8 (from memory; algebra recomputed). Failures count
running time unless a test says otherwise; an interrupted task resumes where it stopped.
"""

from collections.abc import Sequence

import numpy as np
import pytest

from linesim.plan.words import R_DOWN, R_WORKING
from linesim.theory.stations import availability
from linesim.theory.tandem import solve_line
from tests.formulas.breakdowns import availability_until, effective_time, mean_completion
from tests.formulas.departures import departure_times
from tests.luck import Luck
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import (
    TICKS,
    UNIT,
    Line,
    Raw,
    by_job,
    constant,
    drawn,
    exponential,
    lognormal,
    paced,
    share,
    tandem,
)

REPLICATIONS = 40


def failing(
    times: Sequence[Raw],
    up: Sequence[float],
    repair: Sequence[float],
    places: int | Sequence[int] = 0,
    *,
    length: float,
    per: str = "running",
) -> Raw:
    """Return a saturated line whose robots fail; times [s], ``up`` and ``repair`` are mean times [s]."""
    raw = tandem(times, places, length=length, warm_up=50 * UNIT)
    raw["robot"] = {}
    for i, time in enumerate(times):
        raw["station"][f"M{i}"]["task"]["work"] = {"robot": f"R{i}", "time": time}
        failure = {"every": exponential(up[i]), "lasts": exponential(repair[i]), "per": per}
        raw["robot"][f"R{i}"] = {"failure": {"fault": failure}}
    return raw


def test_availability_by_the_calendar() -> None:
    """Robots that fail by the calendar are up 480/(480 + 20) of the time, and a little more in a first run.

    Up at time 0, the mean availability over [0, T] is e + (1 - e)(1 - exp(-sT))/(sT); recomputed.
    """
    assert availability(480, 20) == pytest.approx(0.96, abs=1e-12)
    assert availability(3600, 300) == pytest.approx(0.92307692, abs=5e-9)
    assert availability_until(480, 20, 480) == pytest.approx(0.96160000, abs=5e-9)
    n = 100

    def up(length: float) -> np.ndarray:
        raw = paced([constant(1)], length=length, takt=10_000)
        failure = {"every": exponential(480), "lasts": exponential(20), "per": "calendar"}
        raw["robot"] = {f"R{i}": {"failure": {"fault": failure}} for i in range(n)}
        down = [ledger.robot_state[:, R_DOWN].mean() for ledger in Line(raw).runs(60)]
        return 1 - np.array(down) / (length * TICKS)

    assert_mean_agrees(up(480), availability_until(480, 20, 480), must_see=0.008)
    early = up(20)
    assert_mean_agrees(early, availability_until(480, 20, 20), must_see=0.008)  # 0.9849
    assert_mean_differs(early, 0.96, must_see=0.008)  # as if some were down at the start


@pytest.mark.parametrize(
    ("work", "cv2", "up", "repair", "mean", "ce2"),
    [
        (15, 0.05, 744, 248, 20, 6.25),
        (15, 0.05, 114, 38, 20, 1.0),
        (60, 0.04, 1800, 120, 64, 0.274375),
    ],
)
def test_effective_time(work: float, cv2: float, up: float, repair: float, mean: float, ce2: float) -> None:
    """Work with its repairs takes t0/A on average; the same availability in long stops spreads it more."""
    effective = effective_time(work, cv2, up, repair)
    assert (effective.mean, effective.cv2) == pytest.approx((mean, ce2), abs=1e-9)
    assert mean_completion(work, up, repair) == pytest.approx(mean, abs=1e-9)
    raw = failing([lognormal(work, cv2**0.5)], [up], [repair], length=40 * 1000 * mean)
    raw["run"]["warm_up"] = "0 s"
    line = Line(raw)
    left = np.array(sorted(by_job(line.log()[0], "leave", 0).values()))
    taken = np.diff(left)
    rows = taken[: len(taken) // 40 * 40].reshape(40, -1)  # jobs are independent of each other
    assert_mean_agrees(rows.mean(axis=1), mean, must_see=0.12 * mean)
    assert_mean_differs(rows.mean(axis=1), work, must_see=0.12 * mean)
    if up == 114:
        spread = rows.var(axis=1, ddof=1)
        assert_mean_agrees(spread, ce2 * mean**2, must_see=0.35 * mean**2)
        assert_mean_differs(spread, 6.25 * mean**2, must_see=0.35 * mean**2)


#: Rates of work, failure and repair of each machine, places, jobs per unit of time. Recomputed: Markov chain.
LINES = [
    ((1, 1), (0.05, 0.05), (0.5, 0.5), (0,), 0.59443912),
    ((1, 1), (0.05, 0.05), (0.5, 0.5), (1,), 0.66469075),
    ((1, 1), (0.05, 0.05), (0.5, 0.5), (2,), 0.70784869),
    ((1, 1), (0.05, 0.05), (0.5, 0.5), (10,), 0.82329981),
    ((1, 1.2), (0.1, 0.05), (0.4, 0.5), (3,), 0.71929404),
    ((1, 1, 1), (0.05,) * 3, (0.5,) * 3, (0, 0), 0.49518591),
    ((1, 1, 1), (0.05,) * 3, (0.5,) * 3, (2, 2), 0.63860170),
]
Rates = tuple[float, ...]


def figures(
    work: Rates, fail: Rates, mend: Rates, places: Sequence[int], per: str = "running"
) -> list[float]:
    """Return the throughput as told by the time that robots are held by work, one figure per replication.

    In the long run machine i works or is under repair for throughput / mu (1 + p/r) of the time; repairs that
    happen to be long take from the jobs what they add to the repairs, so their luck cancels.
    """
    raw = failing(
        [exponential(UNIT / mu) for mu in work],
        [UNIT / p for p in fail],
        [UNIT / r for r in mend],
        places,
        length=600 * UNIT,
        per=per,
    )
    found = []
    for ledger in Line(raw).runs(REPLICATIONS):
        held = (ledger.robot_state[:, R_WORKING] + ledger.robot_state[:, R_DOWN]) / (
            ledger.end - ledger.start
        )
        per_job = [(1 + p / r) / mu for mu, p, r in zip(work, fail, mend, strict=True)]
        found.append(float(np.mean(held / per_job)))
    return found


@pytest.mark.parametrize(("work", "fail", "mend", "places", "printed"), LINES)
def test_line_with_breakdowns(
    work: Rates, fail: Rates, mend: Rates, places: tuple[int, ...], printed: float
) -> None:
    """A line of failing machines has the throughput of its chain; an error of 3 % would be seen."""
    exact = solve_line(
        [1 / mu for mu in work], places, mean_up=[1 / p for p in fail], mean_repair=[1 / r for r in mend]
    ).throughput
    assert exact == pytest.approx(printed, abs=5e-9)
    assert_mean_agrees(figures(work, fail, mend, places), exact, must_see=0.03 * exact)


def test_other_ways_to_fail_do_not_pass() -> None:
    """Failures that count calendar time, or a place that counts the machine, give another throughput."""
    work, fail, mend, places, exact = LINES[0]
    assert_mean_differs(figures(work, fail, mend, places, "calendar"), exact, must_see=0.025 * exact)
    assert_mean_differs(figures(work, fail, mend, (1,)), exact, must_see=0.03 * exact)


def test_lines_with_breakdowns_job_by_job() -> None:
    """Departures obey the recursion once each task is lengthened by the repairs that fall in it.

    Which repairs fall in which task follows from the run's own draws: failures count the work done.
    """
    work, fail, mend = (1.0, 1.2, 1.0), (0.1, 0.05, 0.1), (0.4, 0.5, 0.3)
    raw = failing(
        [exponential(UNIT / mu) for mu in work],
        [UNIT / p for p in fail],
        [UNIT / r for r in mend],
        (1, 0),
        length=1000 * UNIT,
    )
    line = Line(raw)
    events, _ = line.log()
    columns = [by_job(events, "leave", s) for s in range(3)]
    jobs = len(columns[-1])
    assert jobs > 400
    departures = np.array([[column[j] for column in columns] for j in range(jobs)])
    times, draws, lasted = drawn(line, jobs), Luck(line.plan, 1, 1), 0
    for s in range(3):
        mode = line.plan.names.mode.index(f"robot.R{s}.fault")
        failures, left = 0, draws.mode_every(mode, 0)
        for j in range(jobs):
            rest, repairs = times[j][s], 0
            while left < rest:
                rest -= left
                repairs += draws.mode_lasts(mode, failures)
                failures += 1
                left = draws.mode_every(mode, failures)
            left -= rest
            times[j][s] += repairs
            lasted += repairs
    assert lasted > 100 * UNIT * TICKS
    expected = departure_times(np.array(times, dtype=float), places=(1, 0))
    assert np.array_equal(np.rint(departures * TICKS), expected)


def test_a_failing_machine_is_down_its_share() -> None:
    """In a line with two places the first robot is down for its exact share of time, 0.0708."""
    exact = solve_line([1, 1], 2, mean_up=[20, 20], mean_repair=[2, 2])
    raw = failing([exponential(UNIT)] * 2, [20 * UNIT] * 2, [2 * UNIT] * 2, 2, length=1000 * UNIT)
    ledgers = list(Line(raw).runs(REPLICATIONS))
    down = [ledger.robot_state[0, R_DOWN] / (ledger.end - ledger.start) for ledger in ledgers]
    assert exact.down[0] == pytest.approx(0.1 * exact.throughput, abs=1e-9)  # p/r of the time it works
    assert_mean_agrees(down, exact.down[0], must_see=0.02)
    assert_mean_differs(down, 1 - availability(20, 2), must_see=0.02)  # as if it failed by the calendar
    assert all(
        share(ledger, 0, 6) == pytest.approx(d, abs=1e-12) for ledger, d in zip(ledgers, down, strict=True)
    )
