"""Money of a change: net, break-even margin, and the margin at the cautious end."""

import math

import numpy as np
import pytest

from linesim.questions.crew.pay import Pay, Prices, pay
from linesim.scenario import load_text
from linesim.stats import mean_interval, student_quantile
from tests.unit.questions.crew.lines import OVERRUN, SHARED

JOBS = np.array([6.0, 5.0, 7.0, 6.5, 5.5])
NONE_SAVED = np.zeros(5)


def test_net_is_margin_less_wages_and_stops() -> None:
    """Net money is jobs times margin, plus stop minutes saved, less wages, replication by replication."""
    found = pay(JOBS, np.array([3.0, 2, 4, 3, 3]), 1, Prices(310, 240, 45, "EUR"), 0.9).net
    by_hand = [6 * 240 + 3 * 45 - 310, 5 * 240 + 2 * 45 - 310, 7 * 240 + 4 * 45 - 310,
               6.5 * 240 + 3 * 45 - 310, 5.5 * 240 + 3 * 45 - 310]  # fmt: skip
    assert found == mean_interval(by_hand, 0.9)


def test_break_even_is_wages_over_jobs() -> None:
    """Without a price of stops it pays from wages over jobs, cautiously from wages over their lower bound."""
    found = pay(JOBS, NONE_SAVED, 1, Prices(300, None, 0, "EUR"), 0.95)
    low = mean_interval(JOBS, 0.95).low
    assert low is not None
    assert found.net is None
    assert found.break_even == pytest.approx(300 / 6.0)
    assert found.cautious == pytest.approx(300 / low)


def test_the_cautious_margin_is_fiellers_bound() -> None:
    """With stops in play the cautious margin is a root of Fieller's quadratic, solved here in closed form."""
    saved, prices = np.array([1.0, 3.0, 2.0, 2.0, 4.0]), Prices(400, 240, 45, "EUR")
    cost = prices.operator - saved * prices.stop_minute
    t2 = student_quantile(0.975, 4) ** 2 / 5
    (sjj, sjc), (_, scc) = np.cov(JOBS, cost)
    a = JOBS.mean() ** 2 - t2 * sjj
    b = -2 * (JOBS.mean() * cost.mean() - t2 * sjc)
    c = cost.mean() ** 2 - t2 * scc
    root = (-b + math.sqrt(b * b - 4 * a * c)) / (2 * a)
    assert pay(JOBS, saved, 1, prices, 0.95).cautious == pytest.approx(root, rel=1e-9)


def test_it_pays_at_any_margin_where_stops_alone_pay() -> None:
    """If the stops saved cost more than the operator, the margin is 0, on average and cautiously."""
    found = pay(JOBS, np.array([9.0, 10, 11, 10, 10]), 1, Prices(310, 0, 45, "EUR"), 0.95)
    assert found.break_even == found.cautious == 0.0


def test_one_fewer_pays_up_to_a_margin() -> None:
    """Somebody saved pays as long as a job is worth less than wages over the jobs lost."""
    found = pay(-JOBS, NONE_SAVED, -1, Prices(300, 10, 0, "EUR"), 0.95)
    high = mean_interval(JOBS, 0.95).high
    assert high is not None
    assert found.net is not None
    assert found.net.mean == pytest.approx(300 - 60)
    assert found.break_even == pytest.approx(50)
    assert found.cautious == pytest.approx(300 / high)


def test_no_cautious_margin_where_the_jobs_may_be_none() -> None:
    """Where the interval of the jobs holds 0 no margin surely pays, and one replication says nothing."""
    doubtful = pay(np.array([2.0, -1, 1, -1, 1]), NONE_SAVED, 1, Prices(300, 10, 0, "EUR"), 0.95)
    assert doubtful.cautious is None
    assert doubtful.break_even == pytest.approx(300 / 0.4)
    single = pay(np.array([2.0]), np.zeros(1), 1, Prices(300, 10, 0, "EUR"), 0.95)
    assert single.cautious is None
    assert single.net is not None
    assert single.net.low is None
    worse = pay(-JOBS, NONE_SAVED, 1, Prices(300, 10, 0, "EUR"), 0.95)
    assert worse == Pay(worse.net, None, None)


def test_prices_come_from_the_scenario() -> None:
    """Without the price of an operator there is no question of money; a margin left out stays unknown."""
    assert Prices.of(load_text(SHARED).cost) == Prices(300, 100, 0.0, "EUR")
    assert Prices.of(load_text(OVERRUN).cost) == Prices(300, None, 5, "€")
    assert Prices.of(None) is None
