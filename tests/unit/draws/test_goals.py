"""Goal chasing: the published example, ties, and evenness."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linesim.draws.goals import Goals, goal_chasing

#: Parts 1 to 4 in one of products A, B, C. Example of Y. Monden, Toyota Production System, chapter on
#: mixed-model sequencing; from memory, distances recomputed from the formula.
PARTS = ((1, 0, 1, 1), (1, 1, 0, 1), (0, 1, 1, 0))
QUANTITIES = (2, 3, 5)


def test_published_sequence():
    """Two A, three B, five C come as C B A C B C C A B C."""
    assert "".join("ABC"[i] for i in goal_chasing(PARTS, QUANTITIES)) == "CBACBCCABC"


@pytest.mark.parametrize(
    ("before", "distances"),
    [
        ("", (1.1091, 1.0149, 0.7937)),
        ("C", (0.8485, 0.5657, 1.5875)),
        ("CB", (0.8185, 1.4387, 0.9327)),
        ("CBA", (1.8655, 1.6371, 0.2828)),
    ],
)
def test_published_distances(before, distances):
    """The distances of the first steps are those of the example."""
    costs = Goals(PARTS, QUANTITIES).costs([before.count(name) for name in "ABC"])
    assert [math.sqrt(cost) / 10 for cost in costs] == pytest.approx(distances, abs=5e-5)


def test_an_exact_tie_is_a_tie():
    """At step 5 B and C are both 0.8660 away; whole numbers see the tie and the first listed comes."""
    costs = Goals(PARTS, QUANTITIES).costs([1, 1, 2])
    assert costs[1] == costs[2] == 75  # 100 · 0.75
    assert goal_chasing(PARTS, QUANTITIES)[4] == 1
    turned = goal_chasing([PARTS[0], PARTS[2], PARTS[1]], (2, 5, 3))
    assert turned[4] == 1  # now C is listed before B


def test_two_models_alternate():
    """Equal numbers of two models alternate, the first listed first; one in four comes in the middle."""
    assert goal_chasing([[1, 0], [0, 1]], [3, 3]) == [0, 1, 0, 1, 0, 1]
    assert goal_chasing([[1, 0], [0, 1]], [1, 3]) == [1, 0, 1, 1]


@given(st.lists(st.integers(0, 12), min_size=1, max_size=6))
def test_every_product_comes_as_often_as_ordered(quantities):
    """The sequence holds each product exactly as often as it was ordered."""
    identity = [[int(i == j) for j in range(len(quantities))] for i in range(len(quantities))]
    sequence = goal_chasing(identity, quantities)
    assert [sequence.count(i) for i in range(len(quantities))] == quantities


@given(st.lists(st.integers(1, 9), min_size=2, max_size=3))
def test_use_stays_near_its_goal(quantities):
    """With up to three products, after every step each has come within one of its even share."""
    identity = [[int(i == j) for j in range(len(quantities))] for i in range(len(quantities))]
    sequence = goal_chasing(identity, quantities)
    total = len(sequence)
    for k in range(1, total + 1):
        for i, quantity in enumerate(quantities):
            assert abs(sequence[:k].count(i) - k * quantity / total) < 1
