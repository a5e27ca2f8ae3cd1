"""Levels that are kept step by step, and the hours of shifts that they are summed over."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from linesim.ledger.ledger import StepAccount
from linesim.ledger.shifts import HOUR, shift_hours


def test_sums_by_hand() -> None:
    """Two from tick 3 on, none from tick 8 on: what a span holds of that, its ends inside or outside."""
    account = StepAccount(2)
    account.switch(0, 2, 3)
    account.switch(0, 0, 8)
    begin, end = np.array([0, 4, 3, 8, 5]), np.array([10, 6, 8, 20, 5])
    assert account.sums(begin, end).tolist() == [[10, 4, 10, 0, 0], [0, 0, 0, 0, 0]]


def test_what_was_before_is_forgotten_but_the_level_stays() -> None:
    """After a restart only the level is left of what was before."""
    account = StepAccount(1)
    account.switch(0, 5, 1)
    account.switch(0, 3, 2)
    account.restart(10)
    assert account.sums(np.array([[10], [12]]), np.array([[12], [13]])).tolist() == [[[6], [3]]]


@given(st.lists(st.tuples(st.integers(0, 9), st.integers(0, 5)), max_size=12), st.integers(0, 30))
def test_spans_add_up(steps: list[tuple[int, int]], cut: int) -> None:
    """Two spans side by side hold what their union holds, and all of it is what was there tick by tick."""
    account, now, levels = StepAccount(1), 0, [0] * 200
    for wait, level in steps:
        now += wait
        account.switch(0, level, now)
        levels[now:] = [level] * (200 - now)
    parts = account.sums(np.array([0, cut, 0]), np.array([cut, 150, 150]))[0].tolist()
    assert parts[0] + parts[1] == parts[2] == sum(levels[:150])
    assert parts[0] == sum(levels[:cut])


def test_hours_of_shifts_of_two_lengths() -> None:
    """Hours count from the start of each shift; the last is as long as what is left; others are empty."""
    begin, end = shift_hours(np.array([[HOUR, 4 * HOUR], [5 * HOUR, 6 * HOUR + 1]]))
    assert (end - begin).tolist() == [[HOUR, HOUR, HOUR], [HOUR, 1, 0]]
    assert begin[:, 0].tolist() == [HOUR, 5 * HOUR]
    assert (begin[:, 1:] == end[:, :-1]).all()


def test_no_shift_has_no_hours() -> None:
    """A run without a whole shift has no hours."""
    begin, end = shift_hours(np.zeros((0, 2), dtype=np.int64))
    assert begin.shape == end.shape == (0, 0)
    assert StepAccount(2).sums(begin, end).shape == (2, 0, 0)
