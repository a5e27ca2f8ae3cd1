"""Counting of broken windows."""

import pytest

from linesim.draws.spacing import SpacingCheck, counts, most_that_fit, violations
from linesim.plan.orders import PlannedOrder, PlannedSpacing


def jobs(marks):
    """Return jobs with option 0 where a mark is x."""
    return [PlannedOrder(0, int(mark == "x")) for mark in marks]


def rule(at_most, in_any):
    """Return a rule for option 0."""
    return PlannedSpacing("roof", -1, 0, at_most, in_any)


@pytest.mark.parametrize(
    ("marks", "at_most", "in_any", "first"),
    [
        ("x..x..x", 1, 3, ()),
        ("x.x..xx", 1, 3, (0, 4)),
        ("xx", 1, 3, ()),  # no full window
        ("xxx", 1, 3, (0,)),
        ("xxx.", 1, 2, (0, 1)),
        ("xx.xx", 2, 4, (0, 1)),
        ("....", 1, 2, ()),
        ("x" * 20, 1, 2, tuple(range(10))),  # 19 broken, ten are named
    ],
)
def test_broken_windows_are_found_where_they_begin(marks, at_most, in_any, first):
    """Every full window with too many jobs counts once, and the places are where the windows begin."""
    (check,) = violations(jobs(marks), [rule(at_most, in_any)])
    by_hand = [
        start
        for start in range(len(marks) - in_any + 1)
        if marks[start : start + in_any].count("x") > at_most
    ]
    assert check.first == first
    assert check.first == tuple(by_hand[:10])
    assert check.broken == len(by_hand)
    assert check.windows == max(0, len(marks) - in_any + 1)
    assert check.jobs == marks.count("x")


def test_rules_for_models_and_options():
    """A rule counts jobs of its model, or jobs that have its option among others."""
    model, option = PlannedSpacing("long cab", 1, -1, 1, 2), PlannedSpacing("roof", -1, 3, 1, 2)
    assert [counts(model, order) for order in (PlannedOrder(0), PlannedOrder(1), PlannedOrder(1, 8))] == [
        False,
        True,
        True,
    ]
    assert [
        counts(option, order) for order in (PlannedOrder(0), PlannedOrder(0, 4), PlannedOrder(1, 12))
    ] == [False, False, True]


@pytest.mark.parametrize(
    ("at_most", "in_any", "n", "fit"),
    [(1, 3, 100, 34), (2, 5, 10, 4), (2, 5, 12, 6), (2, 5, 11, 5), (3, 3, 7, 7)],
)
def test_most_that_fit(at_most, in_any, n, fit):
    """The most jobs that fit is what packing them to the front of every window gives."""
    assert most_that_fit(rule(at_most, in_any), n) == fit
    packed = "".join("x" if place % in_any < at_most else "." for place in range(n))
    assert packed.count("x") == fit
    assert not violations(jobs(packed), [rule(at_most, in_any)])[0].broken


def test_too_many_jobs_are_hopeless():
    """More jobs than fit are called hopeless; as many as fit are not, even in a bad order."""
    (many,) = violations(jobs("xx.x."), [rule(1, 3)])
    assert many == SpacingCheck("roof", jobs=3, fit=2, windows=3, broken=2, first=(0, 1))
    assert many.is_hopeless
    (few,) = violations(jobs("xx..."), [rule(1, 3)])
    assert few.broken == 1
    assert not few.is_hopeless
