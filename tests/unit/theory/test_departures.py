"""Departure recursions against traces, reversal and independent programs."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linesim.theory.departures import gap_places, line_times, reversed_line
from tests.formulas.departures import departure_times, johnson_order, spent, waits_in_turn

FOUR = [[4, 7, 1, 6], [1, 1, 1, 1], [1, 1, 5, 2], [2, 1, 5, 2], [5, 6, 3, 7], [7, 5, 5, 4]]


@pytest.mark.parametrize(
    ("places", "leaves", "blocked", "starved"),
    [
        # Recomputed: recursion and a separate event-by-event program.
        ((0, 0, 0), (18, 19, 25, 30, 39, 44), (10, 9, 5, 0), (0, 5, 15, 22)),
        ((0, 1, 0), (18, 19, 25, 30, 38, 42), (6, 3, 7, 0), (0, 7, 11, 20)),
        ((1, 1, 1), (18, 19, 21, 25, 34, 39), (5, 0, 0, 0), (0, 9, 15, 17)),
        ((9, 9, 9), (18, 19, 21, 25, 33, 37), (0, 0, 0, 0), (0, 4, 11, 15)),
    ],
)
def test_four_machines(
    places: tuple[int, ...], leaves: tuple[int, ...], blocked: tuple[int, ...], starved: tuple[int, ...]
) -> None:
    """Six jobs on four machines must leave at the traced times for every split of the places."""
    made = line_times(FOUR, places=places)
    assert made.leave[:, -1].tolist() == list(leaves)
    busy, held, idle = spent(made)
    assert (held.tolist(), idle.tolist()) == (list(blocked), list(starved))
    assert (busy + held + idle == made.leave[-1]).all()


def test_three_machines() -> None:
    """The small trace must come out for every job and machine."""
    work = [[3, 5, 2], [4, 2, 6], [2, 7, 3], [5, 1, 4], [3, 3, 2]]
    tight = line_times(work, places=0)
    assert tight.leave.tolist() == [[3, 8, 10], [8, 10, 16], [10, 17, 20], [17, 20, 24], [20, 24, 26]]
    assert spent(tight)[1].tolist() == [3, 3, 0]  # recomputed by hand, as the whole trace
    loose = line_times(work, places=(1, 1))
    assert loose.leave.tolist() == [[3, 8, 10], [7, 10, 16], [9, 17, 20], [14, 18, 24], [17, 21, 26]]
    assert spent(loose)[1].tolist() == [0, 0, 0]
    assert spent(loose)[0].tolist() == [17, 18, 17]


lines = st.integers(1, 5).flatmap(
    lambda s: st.tuples(
        st.lists(st.lists(st.integers(0, 20), min_size=s, max_size=s), min_size=1, max_size=8),
        st.lists(st.integers(0, 3), min_size=s - 1, max_size=s - 1),
    )
)


@given(lines)
def test_reversed_line_ends_at_the_same_time(line: tuple[list[list[int]], list[int]]) -> None:
    """A line run backwards must take exactly as long (Muth 1979; from memory, checked here)."""
    work, places = line
    back_work, back_places = reversed_line(work, places)
    forth = departure_times(work, places=places)[-1, -1]
    assert departure_times(back_work, places=back_places)[-1, -1] == forth


@given(lines, st.integers(0, 3))
def test_one_place_more_never_delays(line: tuple[list[list[int]], list[int]], gap: int) -> None:
    """One place more in any gap must not delay any departure."""
    work, places = line
    if not places:
        return
    more = list(places)
    more[gap % len(more)] += 1
    assert (departure_times(work, places=more) <= departure_times(work, places=places)).all()


def _by_clock(work: list[list[int]], places: list[int]) -> list[int]:
    """Return when each job leaves the line, second by second: a plain twin of the recursion."""
    stations, n = len(work[0]), len(work)
    at: list[int | None] = [None] * stations
    left = [0] * stations
    queues: list[list[int]] = [[] for _ in places]
    coming, out, clock = 0, [0] * n, 0
    while True:
        changed = True
        while changed:
            changed = False
            for s in reversed(range(stations)):
                job = at[s]
                if job is not None and left[s] == 0:
                    if s == stations - 1:
                        out[job], at[s], changed = clock, None, True
                    elif at[s + 1] is None and not queues[s]:
                        at[s + 1], left[s + 1], at[s], changed = job, work[job][s + 1], None, True
                    elif len(queues[s]) < places[s]:
                        queues[s].append(job)
                        at[s], changed = None, True
                if at[s] is None and s == 0 and coming < n:
                    at[0], left[0], coming, changed = coming, work[coming][0], coming + 1, True
                elif at[s] is None and s > 0 and queues[s - 1]:
                    at[s] = queues[s - 1].pop(0)
                    left[s], changed = work[at[s] or 0][s], True
        if coming == n and all(a is None for a in at) and not any(queues):
            return out
        clock += 1
        left = [max(0, t - 1) if a is not None else t for t, a in zip(left, at, strict=True)]


@given(lines)
def test_recursion_equals_a_clock(line: tuple[list[list[int]], list[int]]) -> None:
    """The recursion must give the exits that moving the jobs second by second gives."""
    work, places = line
    assert departure_times(work, places=places)[:, -1].tolist() == _by_clock(work, places)


def test_lines_side_by_side() -> None:
    """Several lines in one call must give what each gives alone."""
    tables = np.random.default_rng(5).uniform(0.0, 9.0, size=(4, 6, 3))
    together = departure_times(tables, takt=2.0, places=(1, 0))
    for alone, table in zip(together, tables, strict=True):
        assert (departure_times(table, takt=2.0, places=(1, 0)) == alone).all()


@pytest.mark.parametrize(
    ("work", "takt", "places", "words"),
    [
        ([], 0, 0, "shape"),
        ([[1, 2], [3, -4]], 0, 0, r"work\[1, 1\] must be >= 0 s, got -4"),
        ([[1, 2]], -1, 0, "takt must be >= 0"),
        ([[1, 2]], 0, (1, 1), "1 whole numbers"),
        ([[1, 2]], 0, -1, "whole numbers >= 0"),
    ],
)
def test_wrong_input_is_named(work: list[list[int]], takt: float, places: int, words: str) -> None:
    """What is not a line must be refused with its place."""
    with pytest.raises(ValueError, match=words):
        departure_times(work, takt=takt, places=places)
    assert gap_places(2, 3) == (2, 2)


def test_waits_by_hand() -> None:
    """Ten jobs at one station must wait as computed by hand, and obey Little's law."""
    waits, leaves = waits_in_turn([0, 5, 1, 3, 1, 9, 4, 2, 1, 6], [3, 2, 4, 1, 5, 2, 1, 3, 2, 1])
    assert waits == (0, 0, 1, 2, 2, 0, 0, 0, 2, 0)
    assert leaves == (3, 7, 11, 12, 17, 21, 24, 28, 30, 33)
    assert sum(waits) / 10 == 0.7
    served = 24
    assert sum((3, 2, 4, 1, 5, 2, 1, 3, 2, 1)) == served  # utilisation 24/33
    assert (sum(waits) + served) / 33 == pytest.approx((10 / 33) * 3.1)  # time-average in system 31/33
    with pytest.raises(ValueError, match="equal length"):
        waits_in_turn([1], [])


def test_published_order_of_two_stations() -> None:
    """Johnson's example must leave station 2 at 47, the best of all 120 orders."""
    first, second = (4, 4, 30, 6, 2), (5, 1, 4, 30, 3)  # Johnson 1954, from memory; all orders recomputed

    def ends(order: tuple[int, ...]) -> list[float]:
        table = [[first[j], second[j]] for j in order]
        return departure_times(table, places=len(table))[:, -1].tolist()

    published = (4, 0, 3, 2, 1)
    assert ends(published) == [5, 11, 42, 46, 47]
    assert ends((0, 1, 2, 3, 4))[-1] == 77
    last = [ends(order)[-1] for order in itertools.permutations(range(5))]
    assert (min(last), max(last)) == (47, 78)
    assert johnson_order(first, second) == published
    with pytest.raises(ValueError, match="equal length"):
        johnson_order([1], [])
