"""Choosing the best: constants by quadrature, elimination on pairs, budgets."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats as reference

from linesim.stats import (
    bechhofer_constant,
    dudewicz_dalal_constant,
    eliminate,
    elimination_boundary,
    last_look,
    replications_to_select,
    rinott_constant,
    round_budget,
    spread_budget,
    weighted_sizes,
)


@pytest.mark.parametrize(
    ("alternatives", "promised", "ratio", "constant", "sizes"),
    [(3, 0.90, 0.5, 2.230200, 20), (4, 0.99, 0.2, 3.796956, 361), (4, 0.95, 0.6, 2.916227, 24)],
)
def test_bechhofer(alternatives: int, promised: float, ratio: float, constant: float, sizes: int) -> None:
    """With a known variance constant and sample size must be the published ones."""
    # Sizes 20, 361 and 24: graduate course notes, lesson "Comparing systems"; constants recomputed.
    found = bechhofer_constant(alternatives, promised)
    assert found == pytest.approx(constant, abs=6e-7)
    assert replications_to_select([1.0], ratio, found, 2) == (sizes,)


@pytest.mark.parametrize(
    ("promised", "first", "both", "three", "five"),
    [  # recomputed: double (Rinott) and single (Dudewicz-Dalal) quadrature
        (0.90, 10, 1.9986, (2.5875, 2.4832), (3.1367, 2.9372)),
        (0.90, 20, 1.8957, (2.4312, 2.3423), (2.9164, 2.7471)),
        (0.95, 10, 2.6141, (3.1657, 3.0819), (3.6926, 3.5284)),
        (0.95, 20, 2.4525, (2.9372, 2.8716), (3.3854, 3.2580)),
        (0.95, 40, 2.3856, (2.8449, 2.7858), (3.2641, 3.1497)),
    ],
)
def test_unknown_variances(
    promised: float, first: int, both: float, three: tuple[float, float], five: tuple[float, float]
) -> None:
    """Rinott's and Dudewicz and Dalal's constants must be the tabled ones, and differ beyond two."""
    assert rinott_constant(2, promised, first) == pytest.approx(both, abs=6e-5)
    assert dudewicz_dalal_constant(2, promised, first) == pytest.approx(both, abs=6e-5)
    for count, (rinott, weighted) in ((3, three), (5, five)):
        assert rinott_constant(count, promised, first) == pytest.approx(rinott, abs=6e-5)
        assert dudewicz_dalal_constant(count, promised, first) == pytest.approx(weighted, abs=6e-5)


def test_constant_against_another_quadrature() -> None:
    """For two alternatives the difference of two t variables must give the same constant."""
    df = 9
    t = np.linspace(-60, 60, 120_001)
    chance = np.trapezoid(
        reference.t.cdf(t + dudewicz_dalal_constant(2, 0.95, 10), df) * reference.t.pdf(t, df), t
    )
    assert chance == pytest.approx(0.95, abs=1e-6)


def test_worked_sample_sizes() -> None:
    """Three variances must lead to the worked sample sizes."""
    constant = rinott_constant(3, 0.95, 20)
    assert replications_to_select((4.1, 6.3, 5.2), 1, constant, 20) == (36, 55, 45)  # recomputed
    assert replications_to_select((0.1, 6.3), 1, constant, 20)[0] == 20
    assert weighted_sizes((0.1,), 1, constant, 20) == (21,)
    for wrong in (lambda: rinott_constant(1, 0.9, 10), lambda: bechhofer_constant(2, 0.5)):
        with pytest.raises(ValueError, match=r"2 alternatives|chance among 2"):
            wrong()
    with pytest.raises(ValueError, match="difference must be > 0"):
        replications_to_select((1.0,), 0, 2, 10)


def test_elimination_boundary() -> None:
    """The constants of the elimination and the end of its region must be the tabled ones."""
    two, five = elimination_boundary(2, 10, 0.05), elimination_boundary(5, 10, 0.05)  # Kim and Nelson 2001
    assert (two.eta, two.h2) == pytest.approx((0.33405027, 6.01290483), abs=6e-9)  # recomputed
    assert (five.eta, five.h2) == pytest.approx((0.63496727, 11.42941077), abs=6e-9)
    assert (last_look(4, 1, two), last_look(4, 1, five)) == (24, 45)
    assert (last_look(4, 2, two), last_look(4, 0.5, two)) == (6, 96)
    with pytest.raises(ValueError, match="error must lie between 0 and 1"):
        elimination_boundary(2, 10, 1.5)
    with pytest.raises(ValueError, match="at least 2 alternatives"):
        elimination_boundary(1, 10, 0.05)


def _table(seed: int, rows: int = 200) -> np.ndarray:
    luck = np.random.default_rng(seed)
    common = luck.normal(400, 20, size=(rows, 1))  # common draws: all columns rise and fall together
    return common + np.array([0.0, 1.0, 3.0]) + luck.normal(0, 1.0, size=(rows, 3))


def test_elimination_finds_the_best() -> None:
    """On paired data the best must be found quickly, largest or smallest."""
    up = eliminate(_table(1), 1.0)
    assert up.best == 2
    assert up.dropped_after[2] is None
    assert up.used < 60
    down = eliminate(-_table(1), 1.0, higher_is_better=False)
    assert down == up
    assert eliminate(_table(1), 1.0, higher_is_better=False).best == 0


def test_elimination_errs_as_rarely_as_promised() -> None:
    """With a lead of exactly the difference that matters the best must win at least as often as promised."""
    won = 0
    for seed in range(200):
        luck = np.random.default_rng(seed)
        table = luck.normal(0, 2.0, size=(120, 3)) + np.array([0.0, 0.0, 2.0])
        won += eliminate(table, 2.0, confidence=0.90).best == 2
    assert won >= reference.binom.ppf(1e-5, 200, 0.90)


def test_elimination_without_enough_data_stays_open() -> None:
    """Too few replications must leave several survivors and say how many would decide."""
    table = np.random.default_rng(9).normal(0, 5, size=(12, 2))
    found = eliminate(table, 0.5)
    assert (found.best, found.survivors, found.used) == (None, (0, 1), 12)
    assert found.run > 12
    same = eliminate([[1.0, 1.0]] * 10, 0.5)
    assert (same.best, same.used) == (0, 10)  # equal alternatives: the first, at once
    for table_, words in (
        ([[1.0]] * 12, "columns"),
        ([[1.0, 2.0]] * 9, "rows"),
        ([[1.0, math.nan]] * 12, "numbers"),
    ):
        with pytest.raises(ValueError, match=words):
            eliminate(table_, 0.5)
    with pytest.raises(ValueError, match="difference must be > 0"):
        eliminate(table, 0)


def test_budget() -> None:
    """The published example must spread and round as printed."""
    # Example after Chen and Lee 2011, p. 49 (read in a public optimisation library's documentation).
    shares = spread_budget((1, 2, 3, 4, 5), (1, 1, 9, 9, 4), 50)
    assert shares == pytest.approx((11.204931, 8.621126, 19.397534, 8.621126, 2.155282), abs=6e-7)
    assert round_budget(shares) == (11, 9, 19, 9, 2)
    assert spread_budget((-1, -2, -3, -4, -5), (1, 1, 9, 9, 4), 50, higher_is_better=True) == shares
    assert spread_budget((1, 1, 3), (1, 3, 1), 8) == (2, 6, 0)
    assert spread_budget((1, 1), (1, 3), 1) == (0.25, 0.75)
    with pytest.raises(ValueError, match="variances > 0"):
        spread_budget((1, 2), (1, 0), 10)


def test_an_alternative_that_never_varies_needs_no_more() -> None:
    """A variance of 0 asks for no replication beyond the first; 2**2 * 4 / 1**2 = 16 for one of 4."""
    assert replications_to_select([0.0, 4.0], 1.0, 2.0, 5) == (5, 16)
    assert weighted_sizes([0.0, 4.0], 1.0, 2.0, 5) == (6, 16)
    with pytest.raises(ValueError, match="variances >= 0"):
        replications_to_select([-0.001, 4.0], 1.0, 2.0, 5)
    with pytest.raises(ValueError, match="difference must be > 0"):
        replications_to_select([1.0, 4.0], 0.0, 2.0, 5)
