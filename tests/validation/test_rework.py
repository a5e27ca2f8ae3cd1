"""Rework: passes until good, nested loops, and a bay fed by a paced line.

Geometric series and absorbing chains, recomputed by linear algebra. The bay: the root of the GI/M/1 equation;
a chain from pitch to pitch gives the same.

A test with several outcomes leaves a fault for each: one that scraps the job, or that a bay sends back.
"""

from functools import cache

import numpy as np
import pytest

from linesim.plan.words import S_WORKING
from linesim.theory.stations import many_stations, passes_until_good
from tests.formulas.queues import repair_bay
from tests.formulas.rework import route_jobs, tightest_interval, work_per_start
from tests.luck import Luck
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import TICKS, Line, Raw, bare, by_job, constant, exponential, paced, share, tandem

REPLICATIONS = 40


@pytest.mark.parametrize(
    ("fails", "mean", "variance"), [(0.1, 1.11111111, 0.12345679), (0.2, 1.25, 0.3125)]
)  # 1/(1 - p), p/(1 - p)^2
def test_passes_until_good(fails: float, mean: float, variance: float) -> None:
    """A task redone until it is right takes 1/(1 - p) tries on average, and their variance is p/(1 - p)^2."""
    exact = passes_until_good(fails)
    assert (exact.mean, exact.variance) == pytest.approx((mean, variance), abs=5e-9)
    raw = tandem([constant(1)], length=40 * 700 * mean)
    raw["station"]["M0"]["task"]["work"]["fault"] = {"chance": fails, "found": "at once", "tries": 1000}
    left = np.array(sorted(by_job(Line(raw).log()[0], "leave", 0).values()))
    rows = np.diff(left)[: 40 * 680].reshape(40, -1)
    assert_mean_agrees(rows.mean(axis=1), mean, must_see=0.03)
    assert_mean_agrees(rows.var(axis=1, ddof=1), variance, must_see=0.18 * variance)
    other = passes_until_good(0.15)
    assert_mean_differs(rows.mean(axis=1), other.mean, must_see=0.03)
    assert_mean_differs(rows.var(axis=1, ddof=1), other.variance, must_see=0.18 * variance)


def loop(max_passes: int) -> Raw:
    """Return a test that one job in five fails; a bay whose repair fails as often; then scrap."""
    raw = bare(60.0 * 700, 60.0 * 20)
    raw["flow"] = ["make", "queue", "check"]
    raw["section"] = {
        "make": {"pacing": "free", "stations": ["M"]}, "check": {"pacing": "free", "stations": ["T"]},
    }  # fmt: skip
    raw["buffer"] = {"queue": {"capacity": 50}}
    raw["supply"] = {"every": constant(60)}
    fault = {"chance": 0.2, "found": "T.test", "right": "repair", "repair": constant(30)}
    raw["station"] = {
        "M": {"task": {"build": {"people": 0, "time": constant(10), "fault": fault}}},
        "T": {"task": {"test": {"people": 0, "time": constant(20), "again": True}}},
    }
    raw["bay"] = {
        "repair": {
            "section": "check", "waiting": 20, "places": 5, "rejoin": "queue",
            "max_passes": max_passes, "success": 0.8,
        }
    }  # fmt: skip
    raw["crew"] = {"fixers": {"people": 5, "covers": ["repair"]}}
    return raw


@cache
def looped(max_passes: int) -> tuple[list[float], list[float], list[float]]:
    """Return tests per job, scrapped share and first-time share, one figure per replication each."""
    line = Line(loop(max_passes))
    t = line.station("T")
    tests, scrapped, first = [], [], []
    for ledger in line.runs(REPLICATIONS):
        ended = ledger.jobs_out + ledger.jobs_scrapped
        tests.append(ledger.station_jobs[t] / ended)
        scrapped.append(ledger.jobs_scrapped / ended)
        first.append(ledger.first_time / ended)
    return tests, scrapped, first


def test_at_most_three_passes() -> None:
    """With p = 0.2 and three tests at most a job is tested 1.24 times on average, and 0.8 % are scrapped."""
    exact = passes_until_good(0.2, 3)
    assert (exact.mean, exact.scrapped) == pytest.approx((1.24, 0.008), abs=1e-12)
    tests, scrapped, first = looped(2)
    assert_mean_agrees(tests, 1.24, must_see=0.025)
    assert_mean_agrees(scrapped, 0.008, must_see=0.005)
    assert_mean_agrees(first, 0.8, must_see=0.02)
    assert_mean_differs(tests, passes_until_good(0.2, 2).mean, must_see=0.025)
    assert_mean_differs(looped(1)[1], exact.scrapped, must_see=0.01)  # one repair less: 4 %


#: Where jobs go after A, B and the test T, with what chance, and how long each takes [s].
CHANCES = {
    "A": {"B": 1.0},
    "B": {"T": 1.0},
    "T": {"good": 0.85, "A": 0.05, "B": 0.07, "scrap": 0.03},
}
TIMES = {"A": 50.0, "B": 55.0, "T": 20.0}


def nested(launch: float) -> Raw:
    """Return A, B and the test T, which scraps a job, sends it back to B or to A, or lets it pass.

    A fault each, looked for when the test is over. Scrapping comes first, then the bay that sends to A, then
    the one that sends to B: a job with faults for both bays passes through both and rejoins where the last
    one sends it. So chances are conditional: scrap, B of those not scrapped, A of those that go neither way.
    """
    raw = bare(launch * 500, launch * 40)
    raw["flow"] = ["door", "to-A", "A", "to-B", "B", "to-T", "T"]
    raw["buffer"] = {name: {"capacity": 500} for name in ("to-A", "to-B", "to-T")}
    raw["supply"] = {"every": constant(launch)}
    raw["section"]["door"] = {"pacing": "free", "stations": ["K0"]}
    raw["station"]["K0"] = {}
    for name, time in TIMES.items():
        raw["section"][name] = {"pacing": "free", "stations": [f"K{name}"]}
        raw["station"][f"K{name}"] = {"task": {"work": {"people": 0, "time": constant(time), "again": True}}}
    left, faults = 1.0, {}
    for name, right in (("scrap", "scrap"), ("B", "from-B"), ("A", "from-A")):
        chance = CHANCES["T"][name]
        faults[name] = {"chance": chance / left, "found": "KT.look", "right": right}
        if right != "scrap":
            faults[name]["repair"] = "0 s"
        left -= chance
    tasks = raw["station"]["KT"]["task"]
    tasks["work"]["fault"] = faults
    tasks["look"] = {"people": 0, "time": constant(0), "again": True, "after": ["work"]}
    raw["bay"] = {
        f"from-{name}": {"section": "T", "waiting": 5, "places": 1, "rejoin": f"to-{name}"} for name in "AB"
    }
    raw["crew"] = {"carriers": {"people": 2, "covers": list(raw["bay"])}}
    return raw


def test_two_nested_loops() -> None:
    """Jobs visit A 1.0568, B and the test 1.1364 times on average, and 3.409 % end as scrap."""
    exact = route_jobs(CHANCES, "A")
    assert [exact.visits[k] for k in "ABT"] == pytest.approx([1.05681818, 1.13636364, 1.13636364], abs=5e-9)
    assert (exact.exits["good"], exact.exits["scrap"]) == pytest.approx((0.96590909, 0.03409091), abs=5e-9)
    assert work_per_start(exact, TIMES) == pytest.approx(138.06818182, abs=5e-9)
    assert tightest_interval(exact, TIMES) == ("B", pytest.approx(62.5, abs=1e-9))
    line = Line(nested(70))
    stations = {k: line.station(f"K{k}") for k in "ABT"}
    visits: dict[str, list[float]] = {k: [] for k in "ABT"}
    good, scrap, content, load = [], [], [], []
    for ledger in line.runs(REPLICATIONS):
        for k, s in stations.items():
            visits[k].append(ledger.station_jobs[s] / ledger.jobs_in)
        good.append(ledger.jobs_out / ledger.jobs_in)
        scrap.append(ledger.jobs_scrapped / ledger.jobs_in)
        worked = ledger.station_state[list(stations.values()), S_WORKING]
        content.append(int(worked.sum()) / (TICKS * ledger.jobs_in))
        load.append(int(worked[1]) / (TICKS * ledger.jobs_in))
    for k in "ABT":
        assert_mean_agrees(visits[k], exact.visits[k], must_see=0.03)
    assert_mean_agrees(good, exact.exits["good"], must_see=0.012)
    assert_mean_agrees(scrap, exact.exits["scrap"], must_see=0.012)
    assert_mean_agrees(content, 138.06818182, must_see=2.5)
    assert_mean_agrees(load, 62.5, must_see=1.6)  # what B works for each job launched
    straight = route_jobs({**CHANCES, "T": {"good": 0.90, "B": 0.07, "scrap": 0.03}}, "A")  # nobody back to A
    assert_mean_differs(visits["A"], straight.visits["A"], must_see=0.03)
    assert_mean_differs(content, work_per_start(straight, TIMES), must_see=2.5)
    kept = route_jobs({**CHANCES, "T": {"good": 0.88, "A": 0.05, "B": 0.07}}, "A")  # nobody scrapped
    assert_mean_differs(good, kept.exits["good"], must_see=0.012)
    assert_mean_differs(load, 55, must_see=1.6)  # as if each job came to B once


def test_launching_faster_than_the_tightest_interval() -> None:
    """Launched every 60 s, less than the 62.5 s that B can follow, B is always busy and its queue grows.

    Launched every 65 s it can follow: at the end no more are inside than at the start, give or take a few.
    """
    line = Line(nested(60))
    ledger = line.run()
    assert share(ledger, line.station("KB"), S_WORKING) == pytest.approx(1, abs=0.005)
    assert ledger.inside_end > ledger.inside_start + 10
    slower = [ledger.inside_end - ledger.inside_start for ledger in Line(nested(65)).runs(5)]
    assert max(slower) < 10


def fed(takt: float, chance: float, repair: float, pitches: int) -> Raw:
    """Return a paced line that sends each job to a bay of one place with a chance."""
    raw = paced([constant(1)], length=pitches * takt, takt=takt)
    fault = {"chance": chance, "found": "S0.look", "right": "bay", "repair": exponential(repair)}
    raw["station"]["S0"]["task"]["work"]["fault"] = fault
    raw["station"]["S0"]["task"]["look"] = {"people": 0, "time": constant(0), "after": ["work"]}
    raw["bay"] = {"bay": {"section": "line", "waiting": 10_000, "places": 1, "rejoin": "out"}}
    raw["crew"] = {"one": {"people": 1, "covers": ["bay"]}}
    return raw


def bay_waits(line: Line, replication: int) -> tuple[np.ndarray, np.ndarray]:
    """Return when jobs come to the bay and how long each waits there [ticks], from the run's own draws."""
    events, _ = line.log(replication)
    came = {e.job: e.time for e in events if e.what == "bay in"}
    went = {e.job: e.time for e in events if e.what == "bay out"}
    draws, faults = Luck(line.plan, 1, replication), line.plan.faults
    name, shape = line.plan.names.fault[0], int(faults.repair[0])
    jobs = sorted(went)
    work = np.array([draws.repair_ticks(name, shape, j, 0) for j in jobs])
    come = np.array([came[j] for j in jobs])
    return come, np.array([went[j] for j in jobs]) - work - come


def test_a_bay_fed_by_a_paced_line_job_by_job() -> None:
    """Jobs are repaired in turn: each wait in the bay is what the wait and repair of the one before left."""
    assert repair_bay(60, 0.08, 600).chance_to_wait == pytest.approx(0.791697, abs=6e-7)
    assert repair_bay(60, 0.08, 600).wait == pytest.approx(2280.416603, abs=6e-5)
    assert many_stations(0.08 / 60, 1 / 600).wait == pytest.approx(2400)  # a Poisson flow of the same rate
    line = Line(fed(60, 0.08, 600, 3000))
    come, waits = bay_waits(line, 1)
    assert len(come) > 150
    draws, name = Luck(line.plan, 1, 1), line.plan.names.fault[0]
    assert name
    events, _ = line.log()
    jobs = [e.job for e in events if e.what == "bay in"]
    wait = 0
    for k in range(1, len(come)):
        before = draws.repair_ticks(name, int(line.plan.faults.repair[0]), jobs[k - 1], 0)
        wait = max(0, wait + before - int(come[k] - come[k - 1]))
        assert waits[k] == wait
    assert np.all(np.diff(come) % (60 * TICKS) == 0)  # gaps are whole pitches: not a Poisson flow


def test_a_paced_line_bunches_less_than_a_poisson_flow() -> None:
    """With every other job to the bay, at a load of 0.6, jobs wait less often and long than by Poisson."""
    exact, poisson = repair_bay(60, 0.5, 72), many_stations(0.5 / 60, 1 / 72)
    line = Line(fed(60, 0.5, 72, 1400))
    often, long = [], []
    for replication in range(1, REPLICATIONS + 1):
        _, waits = bay_waits(line, replication)
        often.append(np.mean(waits[20:] > 0))
        long.append(waits[20:].mean() / TICKS)
    assert_mean_agrees(often, exact.chance_to_wait, must_see=0.045)
    assert_mean_agrees(long, exact.wait, must_see=0.27 * exact.wait)
    assert_mean_differs(often, poisson.chance_to_wait, must_see=0.045)
    assert_mean_differs(long, poisson.wait, must_see=0.27 * exact.wait)
