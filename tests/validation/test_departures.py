"""When each job leaves each station, to the millisecond: given times, drawn times, and the recursion.

The recursion: E. J. Muth, Management Science 25 (1979) 152-158; reversibility: G. Yamazaki and H. Sakasegawa
1975, Muth 1979 (citations from memory). Traces recomputed by the recursion and by a separate program that
goes from event to event.
"""

from itertools import permutations

import numpy as np
import pytest

from linesim.plan.words import S_BLOCKED, S_STARVED, S_WORKING
from linesim.theory.departures import reversed_line
from tests.formulas.departures import departure_times, johnson_order, waits_in_turn
from tests.validation.lines import (
    TICKS,
    Line,
    Raw,
    by_job,
    constant,
    drawn,
    exponential,
    given,
    lognormal,
    queue,
    tandem,
    uniform,
)

FOUR = ((4, 7, 1, 6), (1, 1, 1, 1), (1, 1, 5, 2), (2, 1, 5, 2), (5, 6, 3, 7), (7, 5, 5, 4))
THREE = ((3, 5, 2), (4, 2, 6), (2, 7, 3), (5, 1, 4), (3, 3, 2))


def row(table, places, length: float) -> Raw:
    """Return a saturated line whose jobs need the times of ``table`` [s]."""
    n = len(table[0])
    return given([f"M{s}" for s in range(n)], table, tandem([constant(0)] * n, places, length=length))


def left(line: Line) -> np.ndarray:
    """Return when each job leaves each station [s], shape (jobs, stations)."""
    events, _ = line.log()
    columns = [by_job(events, "leave", s) for s in range(len(line.plan.names.station))]
    return np.array([[column[j] for column in columns] for j in sorted(columns[-1])])


@pytest.mark.parametrize(
    ("places", "leaves", "blocked", "starved"),
    [
        ((0, 0, 0), (18, 19, 25, 30, 39, 44), (10, 9, 5, 0), (0, 5, 15, 22)),
        ((0, 1, 0), (18, 19, 25, 30, 38, 42), (6, 3, 7, 0), (0, 7, 11, 20)),
        ((1, 1, 1), (18, 19, 21, 25, 34, 39), (5, 0, 0, 0), (0, 9, 15, 17)),
        ((9, 9, 9), (18, 19, 21, 25, 33, 37), (0, 0, 0, 0), (0, 4, 11, 15)),
    ],
)
def test_trace_in_which_the_split_of_places_matters(places, leaves, blocked, starved):
    """Six jobs leave four machines at the printed seconds; blocked and starved seconds are as printed."""
    line = Line(row(FOUR, places, leaves[-1]))
    _, ledger = line.log()
    line = Line(row(FOUR, places, leaves[-1] + 1))  # so that the last departure lies inside
    departures = left(line)
    assert departures[:, -1].tolist() == list(leaves)
    assert np.array_equal(departures, departure_times(FOUR, places=places))
    state = ledger.station_state
    assert state[:, S_BLOCKED].tolist() == [t * TICKS for t in blocked]
    idle = (leaves[-1] - departures[-1]) * TICKS  # after a machine's last job, which the table leaves out
    assert (state[:, S_STARVED] - idle).tolist() == [t * TICKS for t in starved]
    assert state[:, S_WORKING].tolist() == [t * TICKS for t in np.sum(FOUR, axis=0)]


@pytest.mark.parametrize(
    ("places", "departures", "blocked"),
    [
        (0, [[3, 8, 10], [8, 10, 16], [10, 17, 20], [17, 20, 24], [20, 24, 26]], (3, 3, 0)),
        (1, [[3, 8, 10], [7, 10, 16], [9, 17, 20], [14, 18, 24], [17, 21, 26]], (0, 0, 0)),
    ],
)
def test_small_trace(places, departures, blocked):
    """Five jobs leave three machines at the recomputed seconds."""
    line = Line(row(THREE, places, 27))
    assert left(line).tolist() == departures
    ledger = line.run()
    assert ledger.station_state[:, S_BLOCKED].tolist() == [t * TICKS for t in blocked]
    assert ledger.station_state[:, S_WORKING].tolist() == [17 * TICKS, 18 * TICKS, 17 * TICKS]


def random_lines(number: int):
    """Yield tables of whole seconds and places of lines that nobody thought of."""
    luck = np.random.default_rng(5)
    for _ in range(number):
        jobs, machines = int(luck.integers(2, 9)), int(luck.integers(2, 6))
        yield luck.integers(0, 12, (jobs, machines)), tuple(luck.integers(0, 3, machines - 1).tolist())


def test_reversed_lines_take_as_long():
    """With machines, gaps and jobs in the opposite order, the last job leaves as late, path by path."""
    for table, places in random_lines(200):
        horizon = float(table.sum()) + 1
        ahead = left(Line(row(table.tolist(), places, horizon)))
        back = left(Line(row(table[::-1, ::-1].tolist(), places[::-1], horizon)))
        assert np.array_equal(ahead, departure_times(table, places=places))
        assert ahead[-1, -1] == back[-1, -1]
        turned, gaps = reversed_line(table, places)
        assert np.array_equal(back, departure_times(turned, places=gaps))


def test_one_place_more_never_keeps_a_job():
    """With one place more in a gap no job leaves any machine later, and often some job leaves earlier."""
    sooner = 0
    for table, places in random_lines(200):
        horizon = float(table.sum()) + 1
        before = left(Line(row(table.tolist(), places, horizon)))
        gap = int(table[0, 0]) % len(places)
        wider = [b + (i == gap) for i, b in enumerate(places)]
        after = left(Line(row(table.tolist(), wider, horizon)))
        assert (after <= before).all()
        sooner += bool((after < before).any())
    assert sooner > 60  # the test would not notice anything on lines in which places do not matter


@pytest.mark.parametrize("places", [(0, 0, 0), (2, 0, 1), (5, 5, 5)])
def test_drawn_times_obey_the_recursion(places):
    """A line of four different laws follows the recursion on its own draws to the tick."""
    times = [exponential(60), lognormal(55, 0.5), uniform(20, 100), exponential(50)]
    line = Line(tandem(times, places, length=100_000))
    departures = np.rint(left(line) * TICKS)
    jobs = len(departures)
    assert jobs > 900
    ticks = drawn(line, jobs)
    expected = departure_times(np.array(ticks, dtype=float), places=places)
    assert np.array_equal(departures, expected)
    wrong = departure_times(np.array(ticks, dtype=float), places=[b + 1 for b in places])
    assert not np.array_equal(departures, wrong)


GAPS = (0, 5, 1, 3, 1, 9, 4, 2, 1, 6)
SERVICES = (3, 2, 4, 1, 5, 2, 1, 3, 2, 1)


def test_ten_jobs_at_one_station_by_hand():
    """Ten jobs that come at given seconds wait 0, 0, 1, 2, 2, 0, 0, 0, 2, 0 s (Lindley, by hand)."""
    raw = given(["M1"], [[s] for s in SERVICES], queue(None, [constant(0)], length=33))
    raw["supply"] = {"at_s": np.cumsum(GAPS).astype(float).tolist()}
    line = Line(raw)
    events, ledger = line.log()
    m = line.station("M1")
    came = by_job(events, "enter", line.station("M0"))
    starts = by_job(events, "task start", m)
    waits = [starts[j] - came[j] for j in range(10)]
    assert waits == [0, 0, 1, 2, 2, 0, 0, 0, 2, 0]
    assert waits_in_turn(GAPS, SERVICES)[0] == tuple(waits)
    assert np.mean(waits) == pytest.approx(0.7)
    raw["run"]["length"] = "34 s"
    events, _ = Line(raw).log()
    departures = by_job(events, "leave", m)
    assert [departures[j] for j in range(10)] == [3, 7, 11, 12, 17, 21, 24, 28, 30, 33]
    assert ledger.station_state[m, S_WORKING] == 24 * TICKS  # use 24/33
    levels = ledger.buffer_level[0]
    assert int(levels @ np.arange(len(levels))) == 7 * TICKS  # mean queue 7/33
    assert ledger.job_time == 31 * TICKS  # mean number inside 31/33 = (10/33) 3.1, Little's law


def test_a_queue_with_drawn_times_obeys_lindley():
    """Waits before a station follow Lindley's recursion on the run's own gaps and times to the tick."""
    line = Line(queue(exponential(60), [exponential(48)], length=100_000))
    events, _ = line.log()
    came = by_job(events, "enter", line.station("M0"))
    starts = by_job(events, "task start", line.station("M1"))
    jobs = len(starts)
    assert jobs > 1400
    gaps = np.diff([0.0, *(came[j] for j in range(jobs))])
    services = [row[0] / TICKS for row in drawn(line, jobs)]
    expected, _ = waits_in_turn(gaps.tolist(), services)
    waits = [starts[j] - came[j] for j in range(jobs)]
    assert waits == pytest.approx(list(expected), abs=1e-6)
    assert max(waits) > 0


FIRST, SECOND = (4, 4, 30, 6, 2), (5, 1, 4, 30, 3)


def leaves(order) -> list[float]:
    """Return when the jobs leave the second station in this order [s]."""
    table = [[FIRST[j], SECOND[j]] for j in order]
    return left(Line(row(table, 5, 100)))[:, -1].tolist()


def test_published_sequence_of_two_stations():
    """The order 5, 1, 4, 3, 2 leaves at 5, 11, 42, 46, 47 s; the order 1 to 5 needs 77 s.

    S. M. Johnson, Naval Research Logistics Quarterly 1 (1954) 61-68 (citation from memory).
    """
    assert leaves((4, 0, 3, 2, 1)) == [5, 11, 42, 46, 47]
    assert leaves(range(5))[-1] == 77
    assert leaves(johnson_order(FIRST, SECOND))[-1] == 47


def test_no_other_order_is_sooner():
    """Of all 120 orders none leaves before 47 s, and the worst leaves at 78 s (recomputed: all orders)."""
    ends = [leaves(order)[-1] for order in permutations(range(5))]
    assert (min(ends), max(ends)) == (47, 78)
