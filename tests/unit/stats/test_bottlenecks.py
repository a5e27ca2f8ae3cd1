"""Bottleneck methods on exact lines and on a trace by hand."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linesim.stats.bottlenecks import (
    ActivePeriods,
    active_periods,
    arrow_rule,
    surely_turning,
    surely_worst,
    turning_point,
)
from linesim.theory.tandem import solve_line


def test_rules_agree_on_a_clear_bottleneck() -> None:
    """Arrows and turning point must both name the slow middle station."""
    line = solve_line((1, 1, 1.25, 1, 1), 2)
    arrows = arrow_rule(line.blocked, line.starved)
    assert (arrows.directions, arrows.bottlenecks, arrows.worst) == (">><<", (2,), 2)
    assert turning_point(line.blocked, line.starved) == 2


def test_published_example() -> None:
    """The textbook shares must give the textbook arrows, bottleneck and severity."""
    blocked = (0.18, 0.15, 0.03, 0.02, 0)  # Li and Meerkov, from memory
    starved = (0, 0.02, 0.05, 0.14, 0.17)
    arrows = arrow_rule(blocked, starved)
    assert (arrows.directions, arrows.worst) == (">><<", 2)
    assert arrows.severity == pytest.approx((0.21,))
    assert turning_point(blocked, starved) == 2


def test_several_and_none() -> None:
    """Two bottlenecks must both be named, the more severe first; no turning point is None."""
    arrows = arrow_rule((0.0, 0.3, 0.0, 0.0), (0.0, 0.2, 0.1, 0.4))
    assert arrows.bottlenecks == (0, 2)
    assert arrows.worst == 2
    assert arrows.severity == pytest.approx((0.2, 0.2 + 0.4))  # only one neighbour at the end
    assert turning_point((0.1, 0.0, 0.1), (0.0, 0.2, 0.0)) is None
    assert arrow_rule((0.0,), (0.0,)).bottlenecks == (0,)
    with pytest.raises(ValueError, match="as many"):
        arrow_rule((0.1,), ())


def spread(shares: tuple[float, ...], by: float) -> list[list[float]]:
    """Return four replications with these means, each station off by so much to either side."""
    return [[share + by * way * (1 if share else 0) for share in shares] for way in (-1, 1, -1, 1)]


def test_signs_that_are_clear_name_the_station_of_the_means() -> None:
    """With little between replications both rules name what they name on the textbook's means."""
    blocked, starved = (0.18, 0.15, 0.03, 0.02, 0.0), (0.0, 0.02, 0.05, 0.14, 0.17)
    for rule in (surely_worst, surely_turning):
        found = rule(spread(blocked, 0.0005), spread(starved, -0.0005))
        assert (found.place, found.could_be) == (2, (2,))


def test_signs_that_are_not_clear_name_nobody() -> None:
    """Where replications disagree on blocked against starved, what nothing rules out is left, and no name."""
    blocked, starved = (0.18, 0.15, 0.03, 0.02, 0.0), (0.0, 0.02, 0.05, 0.14, 0.17)
    for rule in (surely_worst, surely_turning):
        found = rule(spread(blocked, 0.02), spread(starved, -0.02))
        assert found.place is None
        assert 2 in found.could_be
        assert rule([list(blocked)], [list(starved)]).place is None  # one replication tells nothing


def test_a_line_that_surely_turns_nowhere() -> None:
    """Starved, then blocked, then starved in every replication: no station could be the turning point."""
    found = surely_turning([[0.1, 0.0, 0.1]] * 3, [[0.0, 0.2, 0.0]] * 3)
    assert (found.place, found.could_be) == (None, ())


def test_of_two_sure_bottlenecks_the_surely_more_severe_is_named() -> None:
    """Arrows point to the first and third station; severity 0.6 against 0.2 decides, equal ones do not."""
    blocked, starved = (0.0, 0.3, 0.0, 0.0), (0.0, 0.2, 0.1, 0.4)
    assert surely_worst([blocked] * 3, [starved] * 3).place == 2
    level = surely_worst([(0.0, 0.2, 0.0)] * 3, [(0.0, 0.2, 0.0)] * 3)
    assert (level.place, level.could_be) == (None, (0, 2))


def test_a_wrong_station_is_named_no_more_often_than_stated() -> None:
    """Two stations truly alike: with 95 % neither is the turning point in 5 of 100 studies at most.

    500 studies of 6 replications; false alarm of the check 1e-5 (binomial, 500 of 5 %: 48 at most).
    """
    luck = np.random.default_rng(7)
    named = 0
    for _ in range(500):
        blocked = np.abs(np.array([0.3, 0.1, 0.1, 0.0]) + luck.normal(0, 0.03, (6, 4)))
        starved = np.abs(np.array([0.0, 0.1, 0.1, 0.3]) + luck.normal(0, 0.03, (6, 4)))
        named += surely_turning(blocked, starved).place is not None
    assert named <= 48


def test_active_periods() -> None:
    """The trace of three machines must give averages, periods, sole and shifting times by hand."""
    # Method of Roser, Nakano and Tanaka 2001/2002 (from memory); trace invented, worked by hand.
    found = active_periods(
        [
            [(0, 10), (14, 20), (24, 40)],
            [(0, 4), (6, 26), (30, 36)],
            [(2, 8), (10, 16), (22, 30), (33, 45)],
        ]
    )
    assert found.average == pytest.approx((10.666667, 10, 8), abs=6e-7)
    assert found.periods == ((0, 0, 10), (1, 6, 26), (0, 24, 40), (2, 33, 45))
    assert found.sole == (13, 14, 5)
    assert found.shifting == (13, 6, 7)
    assert active_periods([[], [(0, 1)]]).average == (0, 1)


def test_a_window_counts_only_what_lies_inside_but_full_lengths() -> None:
    """Of the trace by hand only minutes 8 to 35 are counted; which period is the longest stays as it was."""
    spans = [
        [(0, 10), (14, 20), (24, 40)],
        [(0, 4), (6, 26), (30, 36)],
        [(2, 8), (10, 16), (22, 30), (33, 45)],
    ]
    found = active_periods(spans, window=(8, 35))
    # By hand: M1 and M2 share 8-10 and 24-26, M1 and M3 share 33-35; M2 alone 10-24, M1 alone 26-33.
    assert found.sole == (7, 14, 0)
    assert found.shifting == (2 + 2 + 2, 2 + 2, 2)
    assert found.average == pytest.approx(((10 + 6 + 16) / 3, (20 + 6) / 2, (6 + 8 + 12) / 3))
    assert found.periods == ((0, 0, 10), (1, 6, 26), (0, 24, 40), (2, 33, 45))
    assert active_periods(spans, window=(10, 33)).periods == ((1, 6, 26), (0, 24, 40))
    assert active_periods(spans, window=(0, 2)).periods == ((0, 0, 10),)


def plainly(active: list[list[tuple[int, int]]]) -> ActivePeriods:
    """Return the method word for word: at each instant look at every span."""
    every = [(s, b, e) for s, spans in enumerate(active) for b, e in spans]
    borders = sorted({t for _, b, e in every for t in (b, e)})
    chosen: list[tuple[int, int, int]] = []
    for begin, end in itertools.pairwise(borders):
        present = [p for p in every if p[1] <= begin and end <= p[2]]
        if present:
            longest = max(present, key=lambda p: (p[2] - p[1], -p[1], -p[0]))
            if longest not in chosen:
                chosen.append(longest)
    chosen.sort(key=lambda p: (p[1], p[2], p[0]))
    sole, shifting = [0] * len(active), [0] * len(active)
    for begin, end in itertools.pairwise(borders):
        present = [p for p in chosen if p[1] <= begin and end <= p[2]]
        for station, _, _ in present:
            (sole if len(present) == 1 else shifting)[station] += end - begin
    average = tuple(math.fsum(e - b for b, e in spans) / len(spans) if spans else 0.0 for spans in active)
    return ActivePeriods(average, tuple(chosen), tuple(sole), tuple(shifting))


def spans_of(cuts: list[int]) -> list[tuple[int, int]]:
    """Return spans from an even number of rising instants."""
    rising = sorted(set(cuts))
    return list(zip(rising[::2], rising[1::2], strict=False))


@given(st.lists(st.lists(st.integers(0, 60), max_size=12).map(spans_of), min_size=1, max_size=5))
def test_the_sweep_says_what_the_plain_method_says(active: list[list[tuple[int, int]]]) -> None:
    """For any spans of up to five stations the fast sweep equals the method carried out word for word."""
    assert active_periods(active) == plainly(active)


@given(st.lists(st.lists(st.integers(0, 60), max_size=12).map(spans_of), min_size=1, max_size=5))
def test_bottleneck_time_is_the_time_in_which_anything_is_active(active: list[list[tuple[int, int]]]) -> None:
    """At every instant with an active station there is a bottleneck, alone or with another."""
    found = active_periods(active)
    covered = {t for spans in active for b, e in spans for t in range(b, e)}
    held = [t for _, b, e in found.periods for t in range(b, e)]
    assert set(held) == covered
    alone = [t for t in set(held) if held.count(t) == 1]
    assert sum(found.sole) == len(alone)
    assert sum(found.shifting) == len(held) - len(alone)
