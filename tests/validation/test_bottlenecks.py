"""Where every machine's time goes on lines that block after service, and what bottleneck rules make of it.

Exact shares recomputed from the Markov chain. Rules: J. Li and S. M. Meerkov, Production Systems Engineering
(arrows); L. Li, Q. Chang, J. Ni, International Journal of Production Research 47 (2009) 5019-5036 (turning
point); both from memory. The method of active periods needs no line: tests/unit/theory.
"""

from functools import cache

import numpy as np
import pytest

from linesim.stats.bottlenecks import arrow_rule, turning_point
from linesim.theory.tandem import solve_line
from tests.formulas.bottlenecks import speed_gains
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import UNIT, Line, exponential, shares, tandem

REPLICATIONS = 40
WORKING, BLOCKED, STARVED = range(3)
Times = tuple[float, ...]

#: Mean times, places in every gap: throughput, blocked, starved. Recomputed: Markov chain.
PRINTED = {
    ((1, 1.2, 1, 1), 1): (
        0.59245829, (0.407542, 0.188550, 0.121005, 0), (0, 0.100500, 0.286537, 0.407542),
    ),
    ((1, 1, 1, 1), 1): (
        0.63115269, (0.368847, 0.246096, 0.144788, 0), (0, 0.122751, 0.224059, 0.368847),
    ),
    ((1, 1, 1.25, 1, 1), 2): (
        0.63133131, (0.368669, 0.303334, 0.111435, 0.079207, 0), (0, 0.065335, 0.099401, 0.289461, 0.368669),
    ),
}  # fmt: skip


@cache
def ran(mean_times: Times, places: int) -> np.ndarray:
    """Return the shares worked, blocked, starved, shape (replications, machines, 3)."""
    times = [exponential(UNIT * w) for w in mean_times]
    line = Line(tandem(times, places, length=600 * UNIT, warm_up=60 * UNIT))
    return np.array([shares(ledger) for ledger in line.runs(REPLICATIONS)])


@pytest.mark.parametrize(("mean_times", "places"), PRINTED)
def test_shares_of_time(mean_times: Times, places: int) -> None:
    """Each machine works, is blocked and is starved for its exact share of time; 0.05 would be seen."""
    exact = solve_line(mean_times, places)
    throughput, blocked, starved = PRINTED[mean_times, places]
    assert exact.throughput == pytest.approx(throughput, abs=5e-9)
    assert exact.working == pytest.approx([throughput * w for w in mean_times], abs=1e-7)
    assert exact.blocked == pytest.approx(blocked, abs=6e-7)
    assert exact.starved == pytest.approx(starved, abs=6e-7)
    found = ran(mean_times, places)
    for s in range(len(mean_times)):
        assert_mean_agrees(found[:, s, WORKING], exact.working[s], must_see=0.05)
        assert_mean_agrees(found[:, s, BLOCKED], exact.blocked[s], must_see=0.05)
        assert_mean_agrees(found[:, s, STARVED], exact.starved[s], must_see=0.05)
    assert np.allclose(found.sum(axis=2), 1, atol=1e-12)


def test_shares_of_another_line_do_not_pass() -> None:
    """A slow second machine is told from a slow third: the shares of the middle machines differ by more."""
    found = ran((1, 1.2, 1, 1), 1)
    turned = solve_line((1, 1, 1.2, 1), 1)
    assert_mean_differs(found[:, 1, WORKING], turned.working[1], must_see=0.05)
    assert_mean_differs(found[:, 2, WORKING], turned.working[2], must_see=0.05)


def test_arrows_lean_to_one_side_on_a_balanced_line() -> None:
    """On a balanced line both middle machines count the same, yet the arrow rule names one.

    The rule is defined for lines with a common slot. Under blocking after service machine 2 is blocked 0.022
    more than machine 3 is starved, so blocked and starved shares are no mirror images.
    """
    exact = solve_line((1, 1, 1, 1), 1)
    assert exact.blocked[1] - exact.starved[2] == pytest.approx(0.246096 - 0.224059, abs=1e-6)  # recomputed
    arrows = arrow_rule(exact.blocked, exact.starved)
    assert (arrows.directions, arrows.bottlenecks) == (">><", (2,))
    gains = speed_gains((1, 1, 1, 1), 1)
    assert gains[1] == pytest.approx(gains[2], abs=1e-9)
    assert turning_point(exact.blocked, exact.starved) is None


def test_rules_on_the_shares_of_a_run() -> None:
    """On five machines the measured shares point to the third by both rules, as its speed gain says."""
    mean_times = (1, 1, 1.25, 1, 1)
    _, blocked, starved = ran(mean_times, 2).mean(axis=0).T.tolist()
    arrows = arrow_rule(blocked, starved)
    assert (arrows.directions, arrows.worst) == (">><<", 2)
    assert turning_point(blocked, starved) == 2
    gains = speed_gains(mean_times, 2)
    assert gains == pytest.approx((0.062540, 0.117774, 0.270704, 0.117774, 0.062540), abs=6e-7)
    assert int(np.argmax(gains)) == 2
