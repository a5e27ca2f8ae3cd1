"""Free lines whose every departure is published or follows from a recursion one can do by hand."""

import pytest

from tests.lines import Ran, leaves, run_tables, stations, tandem

#: Four machines, six jobs (rows).
SIX_JOBS = ([4, 7, 1, 6], [1, 1, 1, 1], [1, 1, 5, 2], [2, 1, 5, 2], [5, 6, 3, 7], [7, 5, 5, 4])

#: Three machines, five jobs.
FIVE_JOBS = ([3, 5, 2], [4, 2, 6], [2, 7, 3], [5, 1, 4], [3, 3, 2])


def _state(ran: Ran, state: str, until: float) -> list[float]:
    """Return the seconds of ``state`` by station; what comes after ``until`` is starved and left out."""
    rest = ran.ledger.end / 1000 - until
    row = [account.get(state, 0) for account in stations(ran).values()]
    return [seconds - (rest if state == "starved" else 0) for seconds in row]


@pytest.mark.parametrize(
    ("places", "leave", "blocked"),
    [
        ((0, 0, 0), [18, 19, 25, 30, 39, 44], [10, 9, 5, 0]),
        ((0, 1, 0), [18, 19, 25, 30, 38, 42], [6, 3, 7, 0]),
        ((1, 1, 1), [18, 19, 21, 25, 34, 39], [5, 0, 0, 0]),
        ((9, 9, 9), [18, 19, 21, 25, 33, 37], [0, 0, 0, 0]),
    ],
)
def test_where_the_places_stand_matters(
    places: tuple[int, ...], leave: list[float], blocked: list[float]
) -> None:
    """Four machines must let six jobs go, and stand blocked, as the recursion says for each split of places.

    Recomputed by the departure recursion of a line that blocks after service (Muth 1979):
    D(i,n) = max(max(D(i,n-1), D(i-1,n)) + S(i,n), D(i+1, n-b_i-1)).
    """
    ran = run_tables(tandem(SIX_JOBS, places, length=60))
    assert leaves(ran)["S4"] == leave
    assert _state(ran, "blocked", 60) == blocked
    assert _state(ran, "working", 60) == [20, 21, 20, 22]  # the columns of SIX_JOBS


def test_every_minute_of_four_machines_without_buffers() -> None:
    """Without places every second of every machine is working, blocked or starved as followed by hand.

    M1 works 0-4; job 1 goes on to M2 (4-11). M1 works on job 2 4-5, blocked until 11. At 11 job 1 goes to M3
    (11-12), job 2 to M2 (11-12), job 3 to M1 (11-12). At 12: job 1 to M4 (12-18), job 2 to M3 (12-13), job 3
    to M2 (12-13), job 4 to M1 (12-14). M3 blocked 13-18, M2 13-18, M1 14-18. At 18: job 2 to M4 (18-19), job
    3 to M3 (18-23), job 4 to M2 (18-19), job 5 to M1 (18-23). M4 starved 19-23, M2 blocked 19-23. At 23: job
    3 to M4 (23-25), job 4 to M3 (23-28), job 5 to M2 (23-29), job 6 to M1 (23-30). M4 starved 25-28, at 28
    job 4 (28-30); M3 starved 28-29, job 5 29-32; M2 starved 29-30, job 6 30-35; M4 starved 30-32, job 5
    32-39; M3 starved 32-35, job 6 35-40; M4 starved 39-40, job 6 40-44.
    """
    ran = run_tables(tandem(SIX_JOBS, (0, 0, 0), length=44.001))
    assert leaves(ran) == {
        "S1": [4, 11, 12, 18, 23, 30],
        "S2": [11, 12, 18, 23, 29, 35],
        "S3": [12, 18, 23, 28, 32, 40],
        "S4": [18, 19, 25, 30, 39, 44],
    }
    assert stations(ran) == {
        "S1": {"working": 20, "blocked": 10, "starved": 14.001},
        "S2": {"working": 21, "blocked": 9, "starved": 14.001},
        "S3": {"working": 20, "blocked": 5, "starved": 19.001},
        "S4": {"working": 22, "starved": 22.001},
    }
    assert ran.ledger.jobs_out == 6


@pytest.mark.parametrize(
    ("places", "leave", "blocked"),
    [
        ((0, 0), ([3, 8, 10], [8, 10, 16], [10, 17, 20], [17, 20, 24], [20, 24, 26]), [3, 3, 0]),
        ((1, 1), ([3, 8, 10], [7, 10, 16], [9, 17, 20], [14, 18, 24], [17, 21, 26]), [0, 0, 0]),
    ],
)
def test_three_machines(
    places: tuple[int, ...], leave: tuple[list[float], ...], blocked: list[float]
) -> None:
    """Three machines must let every job go from every machine as the recursion says. Recomputed by hand."""
    ran = run_tables(tandem(FIVE_JOBS, places, length=30))
    assert list(map(list, zip(*leaves(ran).values(), strict=True))) == list(map(list, leave))
    assert _state(ran, "blocked", 30) == blocked
    assert _state(ran, "working", 30) == [17, 18, 17]


@pytest.mark.parametrize(
    ("order", "leave"),
    [
        # S. M. Johnson, Naval Research Logistics Quarterly 1 (1954) 61-68 (from memory): 47 is the least.
        ((5, 1, 4, 3, 2), [5, 11, 42, 46, 47]),
        ((1, 2, 3, 4, 5), [9, 10, 42, 74, 77]),  # A: 4 8 38 44 46; B: 9, 10, 38+4, 44+30, 77
    ],
)
def test_two_steps_in_a_published_sequence(order: tuple[int, ...], leave: list[float]) -> None:
    """Two machines with a roomy buffer must end the published sequence at 47 s, the natural one at 77 s."""
    first, second = (4, 4, 30, 6, 2), (5, 1, 4, 30, 3)
    ran = run_tables(tandem([(first[j - 1], second[j - 1]) for j in order], (5,), length=100))
    assert leaves(ran)["S2"] == leave


def test_ten_customers_one_counter() -> None:
    """Waits must follow Lindley's recursion, and time-averages Little's law, for ten jobs with given gaps.

    D. V. Lindley, Proc. Cambridge Phil. Soc. 48 (1952) 277-289. By hand: arrivals 0 5 6 9 10 19 23 25 26 32,
    waits 0 0 1 2 2 0 0 0 2 0 (the sum is 7), departures 3 7 11 12 17 21 24 28 30 33, job-seconds inside
    7 waited + 24 served = 31.
    """
    gaps = (0, 5, 1, 3, 1, 9, 4, 2, 1, 6)
    services = (3, 2, 4, 1, 5, 2, 1, 3, 2, 1)
    raw = tandem([(0, s) for s in services], (10,), length=33.001)
    raw["supply"] = {"at_s": [sum(gaps[: k + 1]) for k in range(10)]}
    ran = run_tables(raw)
    assert leaves(ran)["S2"] == [3, 7, 11, 12, 17, 21, 24, 28, 30, 33]
    assert stations(ran)["S2"]["working"] == 24
    assert ran.ledger.job_time == 31_000
    queue = sum(level * ticks for level, ticks in enumerate(ran.ledger.buffer_level[0]))
    assert queue == 7_000
    assert ran.ledger.lead_time == 31_000
