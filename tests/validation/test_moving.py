"""Moving lines with drawn times: work left at a limit, stops at fixed positions, drift.

Rules and sources as in test_displacement; overload: S. J. Erlebacher and M. R. Singh, Operations Research 47
(1999) (report of 1992 seen). Numbers recomputed: closed forms, quadrature, F. Spitzer's sum and lattice
iteration for the drift, which is the wait of a D/G/1 queue. Normal times are cut at zero, which at five or
more standard deviations changes nothing.

A station reaches at most ten takts past its border. Exponential work of mean 48 s under a takt of 60 s
drifts further than that now and then, so this row is held against the wait of a free station, which is the
same thing without a conveyor, and a moving station is held against exponential work of mean 36 s.
"""

from functools import cache

import numpy as np
import pytest

from linesim.plan.words import OVERRUN, S_WORKING
from linesim.theory import laws
from linesim.theory.laws import overload, stopped_pitch
from tests.formulas.drift import exponential_drift, normal_drift
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import (
    TICKS,
    Line,
    Raw,
    by_job,
    constant,
    drawn,
    exponential,
    lognormal,
    normal,
    paced,
    queue,
    uniform,
)

REPLICATIONS = 40
TAKT = 60.0

#: Law and time of the work, chance of more than 60 s, mean work beyond. Recomputed: closed forms, quadrature.
SINGLE = {
    "normal, narrow": (laws.normal(54, 5.4), normal(54, 5.4), 0.13326026, 0.36247771),
    "normal, wide": (laws.normal(54, 10.8), normal(54, 10.8), 0.28925736, 1.95689261),
    "lognormal, narrow": (laws.lognormal(54, 0.1), lognormal(54, 0.1), 0.13434006, 0.42419569),
    "lognormal, wide": (laws.lognormal(54, 0.2), lognormal(54, 0.2), 0.26400996, 2.11501083),
    "uniform": (laws.uniform(45, 63), uniform(45, 63), 1 / 6, 0.25),
    "exponential": (laws.exponential(54), exponential(54), 0.32919299, 17.77642134),
}
STATIONS = 4


def passing(time: Raw, jobs: int) -> Raw:
    """Return four stations one pitch long that pass their open work to a bay with room for everything."""
    raw = paced([time] * STATIONS, length=jobs * TAKT, warm_up=10 * TAKT)
    for s in range(STATIONS):
        raw["station"][f"S{s}"]["on_limit"] = "pass"
    raw["bay"] = {"bay": {"section": "line", "waiting": 50, "places": 50, "rejoin": "out"}}
    raw["crew"] = {"fixers": {"people": 50, "covers": ["bay"]}}
    return raw


@pytest.mark.parametrize("name", SINGLE)
def test_work_left_at_the_limit(name: str) -> None:
    """A job's work exceeds a pitch of 60 s as often and by as much as its law says; a shorter pitch fails."""
    law, time, chance, mean = SINGLE[name]
    exact = overload(law, 60)
    assert exact.chance == pytest.approx(chance, abs=6e-9)
    assert exact.mean == pytest.approx(mean, abs=6e-9)
    often, much, bay = [], [], []
    for ledger in Line(passing(time, 280)).runs(REPLICATIONS):
        jobs = ledger.station_jobs.sum()
        often.append(ledger.overruns.sum() / jobs)
        much.append(ledger.overload.sum() / jobs / TICKS)
        assert ledger.stop.sum() == 0
        bay.append(ledger.bay_working[0] / ledger.station_jobs[-1] / TICKS)
    assert_mean_agrees(often, chance, must_see=0.12 * chance)
    assert_mean_agrees(much, mean, must_see=0.14 * mean)
    # What the stations pass on is the bay's work: the sum of their means.
    assert_mean_agrees(bay, STATIONS * mean, must_see=0.16 * STATIONS * mean)
    wrong = overload(law, 58 if name != "exponential" else 48)
    assert_mean_differs(often, wrong.chance, must_see=0.12 * chance)
    assert_mean_differs(much, wrong.mean, must_see=0.14 * mean)


@pytest.mark.parametrize("name", SINGLE)
def test_overload_is_what_was_drawn(name: str) -> None:
    """To the tick, a run's overload is the drawn work beyond 60 s of every job that reached a limit."""
    line = Line(passing(SINGLE[name][1], 200))
    ledger = line.run()
    times = np.array(drawn(line, 220))
    for s in range(STATIONS):
        first = 10 - s  # the job whose visit at the station begins with the accounts, in pitches
        seen = np.maximum(0, times[first - 1 : first + 199, s] - 60 * TICKS)
        assert ledger.overload[s] == seen.sum()
        assert ledger.overruns[s] == (seen > 0).sum()


#: Law and time; stations: mean pitch, chance of a stop, mean stop, jobs per hour. Recomputed: quadrature.
NARROW = (laws.normal(54, 5.4), normal(54, 5.4))
SKEW = (laws.lognormal(54, 0.1), lognormal(54, 0.1))
STOPPING = [
    (NARROW, 1, 60.362478, 0.133260, 2.720074, 59.639699, 700),
    (NARROW, 2, 60.698657, 0.248762, 2.808534, 59.309385, 440),
    (NARROW, 5, 61.572388, 0.510848, 3.077994, 58.467766, 200),
    (NARROW, 10, 62.685983, 0.760731, 3.530794, 57.429107, 100),
    (NARROW, 20, 64.135521, 0.942750, 4.386656, 56.131141, 60),
    (SKEW, 1, 60.424196, None, None, None, 700),
    (SKEW, 5, 61.843182, None, None, 58.211753, 200),
    (SKEW, 10, 63.155288, None, None, None, 100),
]


@pytest.mark.parametrize(("kind", "n", "pitch", "chance", "stop", "per_hour", "pitches"), STOPPING)
def test_stops_at_fixed_positions(
    kind: tuple[laws.Law, Raw],
    n: int,
    pitch: float,
    chance: float | None,
    stop: float | None,
    per_hour: float | None,
    pitches: int,
) -> None:
    """N stations one pitch long stop the line for max(c, T_1..T_N) - c a pitch, less than they add up to."""
    law, time = kind
    exact = stopped_pitch([law] * n, TAKT)
    assert exact.mean == pytest.approx(pitch, abs=6e-7)
    if chance is not None:
        assert exact.chance_of_stop == pytest.approx(chance, abs=6e-7)
        assert exact.mean_stop == pytest.approx(stop, abs=6e-7)
    if per_hour is not None:
        assert exact.jobs_per_hour == pytest.approx(per_hour, abs=6e-7)
    stopped, often, single = [], [], []
    raw = paced([time] * n, length=pitches * TAKT, warm_up=(n + 5) * TAKT)
    for ledger in Line(raw).runs(REPLICATIONS):
        jobs = ledger.station_jobs[0]
        stopped.append(ledger.stop.sum() / jobs / TICKS)
        often.append(ledger.stops.sum() / jobs)
        single.append(ledger.overload.sum() / jobs / TICKS)
        assert ledger.stop.sum() == ledger.stop[:, :, OVERRUN].sum()
        assert ledger.section_state[0, 1] == ledger.stop.sum()
    lost = pitch - TAKT
    assert_mean_agrees(stopped, lost, must_see=0.17 * lost)
    alone = n * overload(law, TAKT).mean
    assert_mean_agrees(single, alone, must_see=0.2 * alone)
    if n >= 10:  # the wrong twin: minutes of stops that coincide are counted for each station
        assert_mean_differs(single, lost, must_see=0.2 * alone)
    if n < 5:  # with more stations a stop is handed on from one overrun to the next
        assert_mean_agrees(often, exact.chance_of_stop, must_see=0.15 * exact.chance_of_stop)


def test_adding_up_single_stops_overstates_the_loss() -> None:
    """Ten stations alone would stop 10 x 0.362 = 3.62 s a pitch, together they stop 2.686 s."""
    assert 10 * overload(NARROW[0], TAKT).mean == pytest.approx(3.62, abs=0.005)
    assert stopped_pitch([NARROW[0]] * 10, TAKT).mean - TAKT == pytest.approx(2.686, abs=0.0005)


def drifting(time: Raw, late: int, jobs: int) -> Raw:
    """Return one operator in a station that reaches ``late`` takts past its border."""
    raw = paced([time] + [None] * (late + 1), length=jobs * TAKT)
    raw["station"]["S0"]["task"]["work"]["people"] = 1
    raw["station"]["S0"]["late"] = float(late)
    raw["crew"] = {"one": {"people": 1, "covers": ["S0"]}}
    return raw


@cache
def starts(name: str) -> tuple[np.ndarray, np.ndarray]:
    """Return the mean displacement and the share of jobs started at the border, one of each per replication.

    The drawn mean work moves the drift; what its slope explains is taken off.
    """
    time, late, jobs, mean, law = {
        "54 (8)": (normal(54, 8), 2, 450, 54, lambda by: normal_drift(54 + by, 8, TAKT)),
        "57 (6)": (normal(57, 6), 2, 450, 57, lambda by: normal_drift(57 + by, 6, TAKT)),
        "exponential": (exponential(36), 10, 400, 36, lambda by: exponential_drift(36 + by, TAKT)),
    }[name]
    line = Line(drifting(time, late, jobs))
    s = line.station("S0")
    means, at_border = [], []
    step = 0.01
    slope = (law(step).mean - law(-step).mean) / (2 * step)
    for replication in range(1, REPLICATIONS + 1):
        events, ledger = line.log(replication)
        assert ledger.stop.sum() == 0
        came, began = by_job(events, "enter", s), by_job(events, "task start", s)
        drift = np.array([began[j] - came[j] for j in began if j >= 40])
        work = ledger.station_state[s, S_WORKING] / TICKS / len(began)
        means.append(drift.mean() - slope * (work - mean))
        at_border.append(np.mean(drift == 0))
    return np.array(means), np.array(at_border)


@pytest.mark.parametrize(
    ("name", "mean", "on_time"),
    [("54 (8)", 1.987045, 0.689157), ("57 (6)", 3.192376, 0.529325)],  # recomputed: Spitzer's sum
)
def test_normal_drift(name: str, mean: float, on_time: float) -> None:
    """In a station open to the right operators start as late as jobs would wait for a D/G/1 station."""
    law = {"54 (8)": (54, 8), "57 (6)": (57, 6)}[name]
    exact = normal_drift(*law, TAKT)
    assert exact.mean == pytest.approx(mean, abs=6e-7)
    assert exact.chance_late == pytest.approx(1 - on_time, abs=6e-7)
    means, at_border = starts(name)
    assert_mean_agrees(means, mean, must_see=0.25 * mean)
    assert_mean_agrees(at_border, on_time, must_see=0.06)
    other = normal_drift(*{"54 (8)": (57, 6), "57 (6)": (54, 8)}[name], TAKT)
    assert_mean_differs(means, other.mean, must_see=0.25 * mean)


def test_exponential_drift() -> None:
    """Exponential work of mean 36 s drifts as the root of x = exp(-(1 - x) 60/36) says."""
    exact = exponential_drift(36, TAKT)
    means, at_border = starts("exponential")
    assert_mean_agrees(means, exact.mean, must_see=0.35 * exact.mean)
    assert_mean_agrees(at_border, 1 - exact.chance_late, must_see=0.06)
    assert_mean_differs(means, exponential_drift(42, TAKT).mean, must_see=0.35 * exact.mean)


def test_busy_exponential_drift_as_a_wait() -> None:
    """Jobs that come every 60 s wait 81.25 s for exponential work of mean 48 s, 62.86 % of them at all."""
    exact = exponential_drift(48, TAKT)
    assert (exact.mean, exact.chance_late) == pytest.approx((81.251080, 0.628630), abs=6e-7)
    line = Line(queue(constant(TAKT), [exponential(48)], length=700 * TAKT, warm_up=100 * TAKT))
    waits, loads = [], []
    for ledger in line.runs(REPLICATIONS):
        span = ledger.end - ledger.start
        levels = ledger.buffer_level[0]
        waits.append(float(levels @ np.arange(len(levels))) / span * TAKT)
        loads.append(float(ledger.station_state[1, 0]) / span)
    step = 0.01  # the drawn load moves the wait; what its slope explains is taken off
    slope = (
        (exponential_drift(48 + step, TAKT).mean - exponential_drift(48 - step, TAKT).mean)
        / (2 * step)
        * TAKT
    )
    freed = np.array(waits) - slope * (np.array(loads) - 0.8)
    assert_mean_agrees(freed, exact.mean, must_see=0.25 * exact.mean)
    assert_mean_differs(freed, 48 * 0.8 / 0.2, must_see=0.25 * exact.mean)  # as if jobs came at random: 192 s
