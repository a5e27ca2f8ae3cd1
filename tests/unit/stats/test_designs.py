"""Designs: two-level fractions, fold-over, effects, Latin hypercubes."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from linesim.stats.designs import (
    confused_pairs,
    fold_over,
    fractional_factorial,
    full_factorial,
    interaction,
    latin_hypercube,
    main_effects,
    resolution_of,
)

# Fewest runs of regular two-level designs: G. E. P. Box, J. S. Hunter and W. G. Hunter, Statistics for
# Experimenters, table of fractional factorials (from memory; found again by the search tested here).
FEWEST = {
    3: {3: 4, 4: 8, 5: 8, 6: 8, 7: 8, 8: 16, 11: 16, 15: 16},
    4: {4: 8, 5: 16, 6: 16, 7: 16, 8: 16, 9: 32, 11: 32, 15: 32},
    5: {5: 16, 6: 32, 7: 64, 8: 64, 9: 128, 10: 128, 11: 128},
}


@pytest.mark.parametrize("resolution", FEWEST)
def test_fewest_runs(resolution: int) -> None:
    """Designs must be as small as the published ones, balanced, orthogonal, and of the resolution asked."""
    for factors, runs in FEWEST[resolution].items():
        design = fractional_factorial(factors, resolution)
        table = np.asarray(design)
        assert table.shape == (runs, factors)
        assert (resolution_of(design) or 99) >= resolution
        assert (table.sum(axis=0) == 0).all()
        assert (table.T @ table == runs * np.eye(factors)).all()
        assert len(set(design)) == runs


def test_small_designs() -> None:
    """One or two factors must get all combinations; nonsense must be refused."""
    assert full_factorial(1) == ((-1,), (1,))
    assert fractional_factorial(2) == full_factorial(2)
    assert resolution_of(full_factorial(3)) is None
    for factors, resolution in ((0, 4), (21, 4), (5, 6)):
        with pytest.raises(ValueError, match="factors must be 1 to 20"):
            fractional_factorial(factors, resolution)
    with pytest.raises(ValueError, match="factors must be 1 to 20"):
        full_factorial(0)


def test_fold_over_separates_main_effects() -> None:
    """Folding a design of resolution 3 must give one of resolution 4."""
    saturated = fractional_factorial(7, 3)
    folded = fold_over(saturated)
    assert (len(saturated), resolution_of(saturated)) == (8, 3)
    assert (len(folded), resolution_of(folded)) == (16, 4)


def _response(row: tuple[int, ...]) -> float:
    return 400 + 5 * row[0] - 2 * row[3] + 3 * row[0] * row[1]


def test_effects_are_found() -> None:
    """Effects must be twice the coefficients of a known response, and confused only as the design says."""
    clean = fractional_factorial(5, 5)
    responses = [[_response(row)] for row in clean]
    assert [e.mean for e in main_effects(clean, responses)] == pytest.approx([10, 0, 0, -4, 0])
    assert interaction(clean, responses, 0, 1).mean == pytest.approx(6)
    assert interaction(clean, responses, 1, 2).mean == pytest.approx(0)
    assert confused_pairs(clean) == ()
    coarse = fractional_factorial(7, 3)
    found = [e.mean for e in main_effects(coarse, [[_response(row)] for row in coarse])]
    assert found != pytest.approx([10, 0, 0, -4, 0, 0, 0])  # the interaction hides in a main effect
    folded = fold_over(coarse)
    found = [e.mean for e in main_effects(folded, [[_response(row)] for row in folded])]
    assert found == pytest.approx([10, 0, 0, -4, 0, 0, 0])
    pairs = confused_pairs(folded)
    assert sum(len(group) for group in pairs) == 21  # all pairs of seven factors, in groups
    assert len(pairs) == 7


def test_effects_use_replications() -> None:
    """What all runs of a replication share must not widen the interval of an effect."""
    design = full_factorial(2)
    luck = np.random.default_rng(6)
    shared = luck.normal(0, 50, size=(1, 12))
    responses = np.array([[row[0]] for row in design]) + shared + luck.normal(0, 0.1, size=(4, 12))
    effect = main_effects(design, responses)[0]
    assert effect.mean == pytest.approx(2, abs=0.2)
    assert effect.half_width is not None
    assert effect.half_width < 0.2
    with pytest.raises(ValueError, match="one row for each of the 4 runs"):
        main_effects(design, [[1.0]])
    with pytest.raises(ValueError, match="one level in every run"):
        main_effects(((1,), (1,)), [[1.0], [2.0]])


@pytest.mark.parametrize(("points", "factors"), [(1, 1), (2, 3), (20, 5), (40, 2)])
def test_every_slice_holds_one_point(points: int, factors: int) -> None:
    """Each slice of each factor must hold exactly one point."""
    unit = latin_hypercube(points, factors)
    assert unit.shape == (points, factors)
    for column in unit.T:
        assert sorted(np.floor(column * points).astype(int).tolist()) == list(range(points))


def test_hypercube_is_repeatable_and_spread() -> None:
    """The same seed must give the same points; more tries must not bring points closer."""
    assert (latin_hypercube(10, 3, seed=5) == latin_hypercube(10, 3, seed=5)).all()
    assert (latin_hypercube(10, 3, seed=5) != latin_hypercube(10, 3, seed=6)).any()

    def closest(tries: int) -> float:
        unit = latin_hypercube(12, 2, tries=tries)
        return min(float(np.linalg.norm(a - b)) for a, b in itertools.combinations(unit, 2))

    assert closest(50) >= closest(1)
    for points, factors, tries in ((0, 1, 1), (1, 0, 1), (1, 1, 0)):
        with pytest.raises(ValueError, match="must be >= 1"):
            latin_hypercube(points, factors, tries=tries)


def test_two_points_are_spread_too() -> None:
    """Of many designs of two points the one whose points are further apart must be kept."""
    apart = [float(np.linalg.norm(np.diff(latin_hypercube(2, 3, tries=t), axis=0))) for t in (1, 100)]
    assert apart[0] < apart[1]


def test_hypercube_is_the_best_of_twenty_unless_told_otherwise() -> None:
    """With this seed the twentieth design is better than those before it, and the next one better still."""
    usual = latin_hypercube(5, 2, seed=252)
    same = [(usual == latin_hypercube(5, 2, seed=252, tries=tries)).all() for tries in (19, 20, 21)]
    assert same == [False, True, False]


def test_pairs_that_a_half_fraction_confuses() -> None:
    """Where the fourth factor is the product of three, each pair is confused with the two left over."""
    half = tuple((a, b, c, a * b * c) for a in (-1, 1) for b in (-1, 1) for c in (-1, 1))
    assert confused_pairs(half) == (((0, 1), (2, 3)), ((0, 2), (1, 3)), ((0, 3), (1, 2)))
    assert confused_pairs(full_factorial(3)) == ()
