"""Margins from which a change pays, on average and at the cautious end."""

import math

import numpy as np
import pytest

from linesim.questions.decision import margins_of
from linesim.stats.intervals import mean_interval, student_quantile

JOBS = np.array([6.0, 5.0, 7.0, 6.5, 5.5])


def test_break_even_is_wages_over_jobs() -> None:
    """Without a price of stops it pays from wages over jobs, cautiously from wages over their lower bound."""
    even, cautious = margins_of(JOBS, np.full(5, -300.0), 1, 0.95)
    low = mean_interval(JOBS, 0.95).low
    assert low is not None
    assert even == pytest.approx(300 / 6.0)
    assert cautious == pytest.approx(300 / low)


def test_the_cautious_margin_is_fiellers_bound() -> None:
    """With stops in play the cautious margin is a root of Fieller's quadratic, solved here in closed form."""
    cost = 400 - 45 * np.array([1.0, 3.0, 2.0, 2.0, 4.0])
    t2 = student_quantile(0.975, 4) ** 2 / 5
    (sjj, sjc), (_, scc) = np.cov(JOBS, cost)
    a = JOBS.mean() ** 2 - t2 * sjj
    b = -2 * (JOBS.mean() * cost.mean() - t2 * sjc)
    c = cost.mean() ** 2 - t2 * scc
    root = (-b + math.sqrt(b * b - 4 * a * c)) / (2 * a)
    assert margins_of(JOBS, -cost, 1, 0.95)[1] == pytest.approx(root, rel=1e-9)


def test_it_pays_at_any_margin_where_stops_alone_pay() -> None:
    """If the stops saved cost more than the operator, the margin is 0, on average and cautiously."""
    assert margins_of(JOBS, 45 * np.array([9.0, 10, 11, 10, 10]) - 310, 1, 0.95) == (0.0, 0.0)


def test_one_fewer_pays_up_to_a_margin() -> None:
    """Somebody saved pays as long as a job is worth less than wages over the jobs lost."""
    even, cautious = margins_of(-JOBS, np.full(5, 300.0), -1, 0.95)
    high = mean_interval(JOBS, 0.95).high
    assert high is not None
    assert even == pytest.approx(50)
    assert cautious == pytest.approx(300 / high)


def test_no_cautious_margin_where_the_jobs_may_be_none() -> None:
    """Where the interval of the jobs holds 0 no margin surely pays, and one replication says nothing."""
    even, cautious = margins_of(np.array([2.0, -1, 1, -1, 1]), np.full(5, -300.0), 1, 0.95)
    assert (even, cautious) == (pytest.approx(300 / 0.4), None)
    assert margins_of(np.array([2.0]), np.full(1, -300.0), 1, 0.95) == (150.0, None)
    assert margins_of(-JOBS, np.full(5, -300.0), 1, 0.95) == (None, None)
