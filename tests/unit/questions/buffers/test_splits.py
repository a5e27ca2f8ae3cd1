"""Splits of places: all of them, and the steps between them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linesim.questions.buffers.splits import all_splits, count_splits, even_split, moves
from tests.formulas.allocation import splits


@given(st.integers(0, 9), st.lists(st.integers(0, 2), min_size=1, max_size=4))
def test_splits_are_all_there_and_counted(total: int, least: list[int]) -> None:
    """Every split keeps to the total and to the fewest places, comes once, and the count is right."""
    found = list(all_splits(total, tuple(least)))
    assert len(found) == len(set(found)) == count_splits(total, tuple(least))
    assert all(sum(split) == total for split in found)
    assert all(n >= fewest for split in found for n, fewest in zip(split, least, strict=True))


def test_splits_without_limits_are_those_of_the_theory() -> None:
    """Two lists of all splits, written apart, agree; there are C(total + gaps - 1, gaps - 1)."""
    assert list(all_splits(5, (0, 0, 0))) == list(splits(5, 3))
    assert count_splits(30, (0, 0, 0, 0)) == math.comb(33, 3)


@given(st.lists(st.integers(0, 6), min_size=2, max_size=4), st.integers(1, 3))
def test_moves_keep_the_total_and_the_limits(split: list[int], step: int) -> None:
    """A move takes places from one buffer that has them to spare and gives them to another."""
    least = tuple(min(1, n) for n in split)
    found = moves(tuple(split), least, tuple(float(n) for n in split), step)
    givers = sum(n - step >= fewest for n, fewest in zip(split, least, strict=True))
    assert len(found) == givers * (len(split) - 1)
    for other in found:
        assert sum(other) == sum(split)
        assert sorted(b - a for a, b in zip(split, other, strict=True) if a != b) == [-step, step]


def test_the_most_promising_move_comes_first() -> None:
    """Places go first from where they pay least to where they pay most."""
    assert moves((3, 3, 3), (0, 0, 0), (0.2, 0.0, 0.5), step=2)[0] == (3, 1, 5)
    assert moves((3, 0, 3), (0, 0, 0), (0.2, 0.0, 0.5))[0] == (2, 0, 4)  # the middle has none to give


def test_an_even_split_favours_the_middle() -> None:
    """Places that are left over go to the middle of the line, and nobody gets fewer than it must have."""
    assert even_split(4, (0, 0, 0)) == (1, 2, 1)
    assert even_split(7, (0, 0, 0)) == (2, 3, 2)
    assert even_split(3, (0, 0, 1)) == (1, 1, 1)
    with pytest.raises(ValueError, match="total must be >= 2"):
        even_split(1, (1, 1))
