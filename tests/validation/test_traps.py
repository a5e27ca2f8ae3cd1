"""Traps: places where a published number is easily set against the wrong thing.

| trap | test |
| --- | --- |
| places with or without the one on the machine | test_unbalanced_lines, test_exponential_lines |
| two constants for choosing the best, equal for two alternatives only | here |
| degrees of freedom, pooled variance, sample size in print | here |
| benchmark networks copied by hand | test_networks |
| 1/(1 + sum) needs the rule that a failure stops all | test_common_cycle |
| the arrow rule leans under blocking after service | test_bottlenecks |
| stops that coincide are counted once | test_moving, test_displacement |
| a paced line feeds a bay less variably than a Poisson flow | test_rework |
| spread of a beta-PERT time, mean of a normal time cut at zero | test_drawn_times |
| ties of goal chasing are exact in theory, luck in floating point | here |
| the best split of places need not be a block in the middle | test_places |
"""

from math import ceil, sqrt

import numpy as np
import pytest
from scipy import integrate, optimize, stats

from linesim.draws.goals import Goals
from linesim.draws.goals import goal_chasing as drawn_sequence
from linesim.stats.comparisons import welch_degrees, welch_difference
from linesim.stats.precision import bechhofer_constant, rinott_constant
from tests.formulas.sequences import goal_chasing


def dudewicz_dalal_constant(alternatives: int, promised: float, first: int) -> float:
    """Return h of E. J. Dudewicz and S. R. Dalal, Sankhya B 37 (1975) 28-78, for weighted means."""
    law = stats.t(first - 1)

    def short(h: float) -> float:
        chance, _ = integrate.quad(
            lambda t: law.cdf(t + h) ** (alternatives - 1) * law.pdf(t), -np.inf, np.inf
        )
        return float(chance) - promised

    return float(optimize.brentq(short, 0.0, 20.0))


def test_constants_for_the_best_agree_for_two_alternatives_only() -> None:
    """Rinott's and Dudewicz and Dalal's constants are one for two alternatives and two for more.

    Recomputed: quadrature; 2.453, 2.872, 3.258 (A. M. Law, from memory) are of the second kind.
    """
    assert rinott_constant(2, 0.95, 20) == pytest.approx(2.4525, abs=6e-5)
    assert dudewicz_dalal_constant(2, 0.95, 20) == pytest.approx(2.4525, abs=6e-5)
    assert rinott_constant(3, 0.95, 20) == pytest.approx(2.9372, abs=6e-5)
    assert dudewicz_dalal_constant(3, 0.95, 20) == pytest.approx(2.8716, abs=6e-5)
    assert rinott_constant(5, 0.95, 20) == pytest.approx(3.3854, abs=6e-5)
    assert dudewicz_dalal_constant(5, 0.95, 20) == pytest.approx(3.2580, abs=6e-5)


FIRST, SECOND = (10, 25, 5, 20, 15), (30, 15, 40, 10, 25)


def test_unequal_variances_have_the_degrees_of_welch() -> None:
    """The difference of -9 has 6.94 degrees of freedom; a formula in course notes gives 8.41."""
    a, b = np.var(FIRST, ddof=1) / 5, np.var(SECOND, ddof=1) / 5
    assert (5 * a, 5 * b) == pytest.approx((62.5, 142.5))
    assert welch_degrees(62.5, 5, 142.5, 5) == pytest.approx(6.942695, abs=6e-7)
    printed = (a + b) ** 2 / (a**2 / 6 + b**2 / 6) - 2  # n + 1 and - 2, as printed in the notes
    assert printed == pytest.approx(8.41, abs=0.005)
    interval = welch_difference(FIRST, SECOND, 0.90).interval
    assert interval.mean == pytest.approx(-9)
    assert interval.half_width == pytest.approx(12.146304, abs=6e-7)
    other = stats.ttest_ind(FIRST, SECOND, equal_var=False).confidence_interval(0.90)
    assert interval.half_width == pytest.approx((other.high - other.low) / 2, abs=1e-9)


def test_a_pooled_variance_has_two_degrees_less_than_values() -> None:
    """Divided by n + m - 2 the pooled variance is that of the t test; n + m + 2, in print, is too small."""
    squares = 4 * 62.5 + 4 * 142.5
    pooled = squares / (5 + 5 - 2)
    t = -9 / sqrt(pooled * 2 / 5)
    assert stats.ttest_ind(FIRST, SECOND).statistic == pytest.approx(t, abs=1e-12)
    assert squares / (5 + 5 + 2) < 0.7 * pooled


@pytest.mark.parametrize(
    ("alternatives", "promised", "ratio", "constant", "size"),
    [(3, 0.9, 0.5, 2.230200, 20), (4, 0.99, 0.2, 3.796956, 361), (4, 0.95, 0.6, 2.916227, 24)],
)  # sizes printed in course notes; constants recomputed: quadrature
def test_sample_size_for_a_known_variance(
    alternatives: int, promised: float, ratio: float, constant: float, size: int
) -> None:
    """The size is (h sigma/delta)^2 rounded up: h = sqrt(n) delta/sigma, not (sqrt(n) + delta)/sigma."""
    h = bechhofer_constant(alternatives, promised)
    assert h == pytest.approx(constant, abs=6e-7)
    assert ceil((h / ratio) ** 2) == size
    assert ceil((h - ratio) ** 2) != size  # what the other formula would ask for, sigma = 1


#: Parts in one A, B, C, and how many are to be built (Y. Monden, Toyota Production System, from memory).
PARTS = ((1, 0, 1, 1), (1, 1, 0, 1), (0, 1, 1, 0))
QUANTITIES = (2, 3, 5)


def test_a_tie_of_goal_chasing_is_a_tie() -> None:
    """At the fifth step B and C are equally far off, exactly; the first listed goes: C B A C B C C A B C."""
    goals = Goals(PARTS, QUANTITIES)
    costs = goals.costs([1, 1, 2])
    assert costs[1] == costs[2]
    assert sqrt(costs[1]) / 10 == pytest.approx(0.8660, abs=5e-5)
    published = "CBACBCCABC"
    assert "".join("ABC"[k] for k in drawn_sequence(PARTS, QUANTITIES)) == published
    assert "".join("ABC"[k] for k in goal_chasing(QUANTITIES, PARTS)) == published


def test_a_tie_in_floating_point_is_luck() -> None:
    """Tied distances summed as floats can favour the second listed: whole numbers keep to the first.

    Parts, quantities and products used are invented so that products 1 and 2 tie.
    """
    parts, quantities, used = ((0, 1, 1), (1, 2, 1), (2, 0, 1)), (1, 1, 3), (0, 0, 2)
    costs = Goals(parts, quantities).costs(used)
    assert costs[0] == costs[1] == min(costs)
    goal = [3 * total / 5 for total in np.array(quantities) @ np.array(parts)]
    gone = np.array(used) @ np.array(parts)
    floats = [sum((goal[j] - int(gone[j]) - product[j]) ** 2 for j in range(3)) for product in parts]
    assert floats[1] < floats[0] < floats[1] + 1e-12
