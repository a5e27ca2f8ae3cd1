"""Choosing the best: constants by quadrature, the boundary of the elimination."""

from __future__ import annotations

import math

import pytest

from linesim.stats.precision import bechhofer_constant, elimination_boundary, last_look, rinott_constant


@pytest.mark.parametrize(
    ("alternatives", "promised", "ratio", "constant", "sizes"),
    [(3, 0.90, 0.5, 2.230200, 20), (4, 0.99, 0.2, 3.796956, 361), (4, 0.95, 0.6, 2.916227, 24)],
)
def test_bechhofer(alternatives: int, promised: float, ratio: float, constant: float, sizes: int) -> None:
    """With a known variance constant and sample size must be the published ones."""
    # Sizes 20, 361 and 24: graduate course notes, lesson "Comparing systems"; constants recomputed.
    found = bechhofer_constant(alternatives, promised)
    assert found == pytest.approx(constant, abs=6e-7)
    assert math.ceil((found / ratio) ** 2) == sizes


@pytest.mark.parametrize(
    ("promised", "first", "both", "three", "five"),
    [  # recomputed: double quadrature
        (0.90, 10, 1.9986, 2.5875, 3.1367),
        (0.90, 20, 1.8957, 2.4312, 2.9164),
        (0.95, 10, 2.6141, 3.1657, 3.6926),
        (0.95, 20, 2.4525, 2.9372, 3.3854),
        (0.95, 40, 2.3856, 2.8449, 3.2641),
    ],
)
def test_unknown_variances(promised: float, first: int, both: float, three: float, five: float) -> None:
    """Rinott's constants must be the tabled ones."""
    assert rinott_constant(2, promised, first) == pytest.approx(both, abs=6e-5)
    for count, known in ((3, three), (5, five)):
        assert rinott_constant(count, promised, first) == pytest.approx(known, abs=6e-5)


def test_worked_sample_sizes() -> None:
    """Three variances must lead to the worked sample sizes, ceil(h**2 s**2); wrong input is refused."""
    constant = rinott_constant(3, 0.95, 20)
    assert [math.ceil(constant**2 * s2) for s2 in (4.1, 6.3, 5.2)] == [36, 55, 45]  # recomputed
    for wrong in (lambda: rinott_constant(1, 0.9, 10), lambda: bechhofer_constant(2, 0.5)):
        with pytest.raises(ValueError, match=r"2 alternatives|chance among 2"):
            wrong()


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
