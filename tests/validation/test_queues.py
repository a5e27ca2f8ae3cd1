"""Queues: jobs that come at random, endless or few waiting places, and the start from empty.

Closed forms of any queueing text, recomputed by exact chains: M/M/1, M/M/c (Erlang C), M/G/1 (F. Pollaczek,
A. Y. Khinchine), M/M/1/K, and queues in series: J. R. Jackson, Operations Research 5 (1957) 518-521. The
start from empty: recomputed by an exact recursion of the number found on arrival; the textbook figure for 25
jobs is 2.12 (A. M. Law, Simulation Modeling and Analysis, from memory).

Supply brings jobs and never turns one away, so a queue that loses arrivals is built from a bay that a job
passes by when it is full. A mean queue follows the load that a run happens to draw; what the drawn load
explains, by the slope of the closed form, is taken off (its mean is known, so nothing moves in the mean).
"""

from collections.abc import Callable
from heapq import heappop, heappush

import numpy as np
import pytest

from linesim.theory.stations import Queue, any_service, many_stations
from tests.formulas.filling import first_waits, mean_of_first_waits
from tests.formulas.loops import stations_in_series
from tests.formulas.queues import limited_room, stay_quantile
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import (
    TICKS,
    UNIT,
    Line,
    Raw,
    bare,
    by_job,
    constant,
    drawn,
    erlang,
    exponential,
    listed,
    lognormal,
    queue,
    uniform,
)

REPLICATIONS = 40


def waiting(raw: Raw, theory: Callable[[float], Queue], arrivals: float, places: int = 1) -> list[float]:
    """Return the mean number that wait before M1, freed of the load drawn; one figure per replication."""
    step = 1e-4 * arrivals
    slope = (theory(arrivals + step).waiting - theory(arrivals - step).waiting) / (2 * step) * places
    figures = []
    for ledger in Line(raw).runs(REPLICATIONS):
        span = ledger.end - ledger.start
        levels = ledger.buffer_level[0]
        queued = float(levels @ np.arange(len(levels))) / span
        load = (ledger.job_time / span - queued) / places
        figures.append(queued - slope * (load - arrivals / places))
    return figures


@pytest.mark.parametrize(
    ("arrivals", "places", "length", "see"),
    [(0.5, 1, 1500, 0.14), (0.8, 1, 2000, 0.22), (1.5, 2, 1000, 0.22), (2, 3, 900, 0.27)],
)
def test_one_or_several_places_of_work(arrivals: float, places: int, length: float, see: float) -> None:
    """The mean number that wait for one of ``c`` places is Erlang's; with a place more it is not."""

    def theory(rate: float) -> Queue:
        return many_stations(rate, 1, places)

    def line(c: int) -> Raw:
        time = exponential(UNIT)
        return queue(exponential(UNIT / arrivals), [time], length=length * UNIT, warm_up=80 * UNIT, places=c)

    exact = theory(arrivals).waiting
    assert_mean_agrees(waiting(line(places), theory, arrivals, places), exact, must_see=see * exact)
    if arrivals in (0.5, 1.5):
        wrong = waiting(line(places + 1), theory, arrivals, places)
        assert_mean_differs(wrong, exact, must_see=0.3 * exact)


@pytest.mark.parametrize(
    ("arrivals", "places", "chance", "queued", "wait"),
    [  # chance to wait, mean number waiting, mean wait
        (0.5, 1, 0.5, 0.5, 1.0),
        (0.8, 1, 0.8, 3.2, 4.0),
        (1.5, 2, 0.642857, 1.928571, 1.285714),
        (2, 3, 0.444444, 0.888889, 0.444444),
        (4, 5, 0.554113, 2.216450, 0.554113),
        (9, 10, 0.668732, 6.018584, 0.668732),
    ],
)
def test_jobs_take_the_first_place_of_work_that_is_free(
    arrivals: float, places: int, chance: float, queued: float, wait: float
) -> None:
    """Each job starts when it comes or when the first of ``c`` places is free, to the tick on its own draws.

    J. Kiefer and J. Wolfowitz's recursion, Transactions of the AMS 78 (1955) 1-18 (from memory).
    """
    exact = many_stations(arrivals, 1, places)
    assert exact.chance_to_wait == pytest.approx(chance, abs=6e-7)
    assert (exact.waiting, exact.wait) == pytest.approx((queued, wait), abs=6e-7)
    line = Line(queue(exponential(UNIT / arrivals), [exponential(UNIT)], length=150 * UNIT, places=places))
    events, _ = line.log()
    came = {e.job: e.time for e in events if e.what == "enter" and e.station == line.station("M0")}
    starts = {e.job: e.time for e in events if e.what == "task start"}
    work = [row[0] for row in drawn(line, len(starts))]
    free = [0] * places
    for job in range(len(starts)):
        at = max(came[job], heappop(free))
        assert starts[job] == at
        heappush(free, at + work[job])
    waited = np.mean([starts[job] > came[job] for job in starts])
    assert abs(waited - chance) < 0.3  # both kinds of job occur


def test_stays_of_single_jobs() -> None:
    """Of the jobs at a half-loaded M/M/1 station 5 % stay longer than its 95 % quantile, -ln 0.05 / 0.5."""
    assert stay_quantile(0.8, 1, 0.95) == pytest.approx(14.978661, abs=6e-7)
    limit = stay_quantile(0.5, 1, 0.95) * UNIT
    line = Line(queue(exponential(2 * UNIT), [exponential(UNIT)], length=1200 * UNIT, warm_up=0))
    long, half = [], []
    for replication in range(1, REPLICATIONS + 1):
        events, _ = line.log(replication, seed=2)
        came, went = by_job(events, "enter", line.station("M0")), by_job(events, "leave", line.station("M1"))
        stays = np.array([went[j] - came[j] for j in went if j >= 50])
        long.append(float(np.mean(stays > limit)))
        half.append(float(np.mean(stays > limit / 2)))
    assert_mean_agrees(long, 0.05, must_see=0.03)
    assert_mean_differs(half, 0.05, must_see=0.08)  # half the quantile is exceeded by sqrt(0.05) = 0.22


@pytest.mark.parametrize(
    ("arrivals", "time", "cv", "length", "wait", "see"),
    [
        (0.5, constant(UNIT), 0.0, 1000, 0.5, 0.20),
        (0.5, uniform(0.5 * UNIT, 1.5 * UNIT), 1 / np.sqrt(12), 1000, 0.541667, 0.20),
        (0.5, lognormal(UNIT, 0.3), 0.3, 1000, 0.545, 0.20),
        (0.5, erlang(UNIT, 4), 0.5, 1000, 0.625, 0.20),
        (0.8, constant(UNIT), 0.0, 1200, 2.0, 0.20),
        (0.8, erlang(UNIT, 2), 1 / np.sqrt(2), 1600, 3.0, 0.25),
    ],
    ids=["constant", "uniform", "lognormal", "erlang-4", "constant, busy", "erlang-2, busy"],
)
def test_any_law_of_service(
    arrivals: float, time: Raw, cv: float, length: float, wait: float, see: float
) -> None:
    """The mean wait follows from mean and spread of the service; an exponential service does not pass."""

    def theory(rate: float) -> Queue:
        return any_service(rate, 1, cv)

    assert theory(arrivals).wait == pytest.approx(wait, abs=6e-7)
    exact = theory(arrivals).waiting
    gap = exponential(UNIT / arrivals)
    raw = queue(gap, [time], length=length * UNIT, warm_up=80 * UNIT)
    assert_mean_agrees(waiting(raw, theory, arrivals), exact, must_see=see * exact)
    if wait == 0.5:
        wrong = queue(gap, [exponential(UNIT)], length=length * UNIT, warm_up=80 * UNIT)
        assert_mean_differs(waiting(wrong, theory, arrivals), exact, must_see=0.4 * exact)


def test_more_printed_waits() -> None:
    """The formula of Pollaczek and Khinchine gives the rest of the printed waits."""
    for load, cv, wait in (
        (0.8, 1 / np.sqrt(12), 2.166667),
        (0.8, 0.3, 2.18),
        (0.8, 1.0, 4.0),
        (0.9, 0.0, 4.5),
        (0.9, np.sqrt(1 / 24), 4.6875),  # triangular(0.5, 1, 1.5)
    ):
        assert any_service(load, 1, float(cv)).wait == pytest.approx(wait, abs=6e-7)


def bay(arrivals: float, room: int, length: float = 600) -> Raw:
    """Return jobs that all need an exponential repair, in a bay with room for ``room``, one in work."""
    raw = bare(length * UNIT, 50 * UNIT)
    raw["flow"] = ["S0"]
    raw["section"]["S0"] = {"pacing": "free", "stations": ["M0"]}
    fault = {"chance": 1.0, "found": "M0.look", "right": "bay", "repair": exponential(UNIT)}
    raw["station"]["M0"] = {
        "task": {
            "mark": {"people": 0, "time": constant(0), "fault": fault},
            "look": {"people": 0, "time": constant(0), "after": ["mark"]},
        }
    }
    raw["bay"] = {
        "bay": {
            "section": "S0", "waiting": room - 1, "places": 1, "rejoin": "out", "on_full": "carry on",
        }
    }  # fmt: skip
    raw["crew"] = {"one": {"people": 1, "covers": ["bay"]}}
    raw["supply"] = {"every": exponential(UNIT / arrivals)}
    return raw


@pytest.mark.parametrize(
    ("arrivals", "room", "lost", "accepted", "inside", "stay"),
    [
        (0.9, 5, 0.126023, 0.786580, 2.194782, 2.790286),
        (1.0, 4, 0.2, 0.8, 2.0, 2.5),
        (1.2, 3, 0.321908, 0.813711, 1.725782, 2.120879),
    ],
)
def test_arrivals_that_find_no_room_are_lost(
    arrivals: float, room: int, lost: float, accepted: float, inside: float, stay: float
) -> None:
    """Jobs that pass a full bay by are the lost share of M/M/1/K, and the bay holds its mean number."""
    exact = limited_room(arrivals, 1, room)
    assert (exact.refused, exact.accepted_rate) == pytest.approx((lost, accepted), abs=6e-7)
    assert (exact.inside, exact.stay) == pytest.approx((inside, stay), abs=6e-7)

    def ran(k: int) -> tuple[list[float], list[float]]:
        ledgers = list(Line(bay(arrivals, k)).runs(REPLICATIONS))
        return (
            [ledger.bay_carried_on[0] / ledger.jobs_in for ledger in ledgers],
            [
                (ledger.bay_waiting[0] + ledger.bay_working[0]) / (ledger.end - ledger.start)
                for ledger in ledgers
            ],
        )

    passed_by, held = ran(room)
    assert_mean_agrees(passed_by, lost, must_see=0.04)
    assert_mean_agrees(held, inside, must_see=0.13 * inside)
    if room == 4:  # twin: the job in work is taken for one that does not count
        assert_mean_differs(ran(room - 1)[1], inside, must_see=0.13 * inside)


@pytest.mark.parametrize(
    ("gap", "service", "jobs", "replications", "printed", "see"),
    [
        (1.0, 0.9, 25, 800, 2.124489, 0.13),
        (1.25, 1.0, 10, 800, 1.148842, 0.17),
        (1.25, 1.0, 100, 250, 3.100054, 0.20),
    ],
)
def test_first_jobs_of_an_empty_start(
    gap: float, service: float, jobs: int, replications: int, printed: float, see: float
) -> None:
    """The first jobs wait the exact transient mean, not the long-run mean nor that of half as many jobs."""
    exact = mean_of_first_waits(gap, service, jobs)
    assert exact == pytest.approx(printed, abs=6e-7)
    step = 0.01
    by_service = (
        mean_of_first_waits(gap, service + step, jobs) - mean_of_first_waits(gap, service - step, jobs)
    ) / (2 * step)
    by_gap = (
        mean_of_first_waits(gap + step, service, jobs) - mean_of_first_waits(gap - step, service, jobs)
    ) / (2 * step)
    raw = queue(exponential(UNIT * gap), [exponential(UNIT * service)], length=(2 * jobs * gap + 80) * UNIT)
    line = Line(listed(raw, ["standard"] * jobs))
    m = line.station("M1")
    means = []
    for replication in range(1, replications + 1):
        events, ledger = line.log(replication)
        assert ledger.jobs_out == jobs
        on = [e.time for e in events if e.what == "line-on"]
        worked = int(ledger.station_state[m, 0])
        wait = (ledger.lead_time - worked) / jobs / (TICKS * UNIT)
        served = worked / jobs / (TICKS * UNIT)
        between = (on[-1] - on[0]) / (jobs - 1) / (TICKS * UNIT)
        means.append(wait - by_service * (served - service) - by_gap * (between - gap))
    assert_mean_agrees(means, exact, must_see=see * exact)
    long_run = service**2 / (gap - service)
    for wrong in (long_run, mean_of_first_waits(gap, service, jobs // 2)):
        assert_mean_differs(means, wrong, must_see=see * exact)


def test_printed_first_waits() -> None:
    """The exact recursion gives the printed means of the first jobs and of longer starts."""
    assert first_waits(1, 0.9, 6) == pytest.approx(
        (0, 0.426316, 0.734539, 0.983878, 1.196518, 1.383539), abs=6e-7
    )
    assert first_waits(1.25, 1, 6) == pytest.approx(
        (0, 0.444444, 0.751715, 0.991245, 1.188959, 1.357765), abs=6e-7
    )
    for gap, service, jobs, mean in (
        (1, 0.9, 10, 1.180087), (1, 0.9, 100, 4.134185), (1, 0.9, 1000, 7.299540), (1.25, 1, 25, 1.919005),
    ):  # fmt: skip
        assert mean_of_first_waits(gap, service, jobs) == pytest.approx(mean, abs=6e-7)


def test_three_queues_in_a_row() -> None:
    """In a series each station holds as many jobs as if it stood alone: 1.5, 3 and 4, together 8.5."""
    rates = (1.0, 0.8, 0.75)
    exact = stations_in_series(0.6, rates)
    assert [q.inside for q in exact] == pytest.approx([1.5, 3, 4], abs=1e-12)
    assert sum(q.stay for q in exact) == pytest.approx(14.166667, abs=6e-7)
    times = [exponential(UNIT / rate) for rate in rates]
    raw = queue(exponential(UNIT / 0.6), times, length=1400 * UNIT, warm_up=150 * UNIT)
    figures = []
    for ledger in Line(raw).runs(REPLICATIONS):
        span = ledger.end - ledger.start
        row = []
        for i, levels in enumerate(ledger.buffer_level):
            use = 1 - ledger.station_state[i + 1, -2] / span  # not starved
            load = 0.6 / rates[i]
            slope = 1 / (1 - load) ** 2
            row.append(float(levels @ np.arange(len(levels))) / span + use - slope * (use - load))
        figures.append(row)
    for i, inside in enumerate((1.5, 3.0, 4.0)):
        assert_mean_agrees([row[i] for row in figures], inside, must_see=0.25 * inside)
        assert_mean_differs([row[i] for row in figures], inside * 1.3, must_see=0.25 * inside)
