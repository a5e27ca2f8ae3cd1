"""Which combinations of values are looked at."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from linesim.errors import WrongQuestionError
from linesim.questions.varying.factors import Factor
from linesim.questions.varying.points import Point
from linesim.stats import fold_over, fractional_factorial, full_factorial, latin_hypercube
from linesim.stats.designs import Runs

MOST_POINTS = 10_000  #: More combinations than these are taken for a slip of the pen.
FULL_UP_TO = 3  #: With so few factors all combinations cost no more than a folded fraction.


def grid(factors: Sequence[Factor]) -> tuple[Point, ...]:
    """Return every combination, the last factor changing fastest.

    Raises:
        WrongQuestionError: If there are more than `MOST_POINTS`, or a factor stands there twice.
    """
    require_apart(factors)
    count = 1
    for factor in factors:
        count *= len(factor.values)
    if count > MOST_POINTS:
        raise WrongQuestionError(
            f"these lists make {count:,} combinations, more than {MOST_POINTS:,}; shorten them, or take a "
            "latin hypercube of a few dozen points."
        )
    paths = [factor.path for factor in factors]
    return tuple(
        Point.at(zip(paths, values, strict=True))
        for values in itertools.product(*(factor.values for factor in factors))
    )


def one_at_a_time(factors: Sequence[Factor]) -> tuple[Point, ...]:
    """Return each value of each factor with all others as the scenario has them."""
    require_apart(factors)
    return tuple(Point.at([(factor.path, value)]) for factor in factors for value in factor.values)


def hypercube(factors: Sequence[Factor], points: int, *, seed: int) -> tuple[Point, ...]:
    """Return points spread evenly over the ranges of all factors.

    Args:
        factors: Each with two values, the ends of its range.
        points: How many, >= 2; whole numbers may make a few of them equal, which are given once.
        seed: Same seed, same points.

    Raises:
        WrongQuestionError: If a factor has no range.
    """
    require_apart(factors)
    if not 2 <= points <= MOST_POINTS:
        raise WrongQuestionError(f"a latin hypercube has 2 to {MOST_POINTS:,} points; found {points}.")
    found: dict[tuple[str, ...], Point] = {}
    for row in latin_hypercube(points, len(factors), seed=seed).tolist():
        point = Point.at(
            (factor.path, factor.between(share)) for factor, share in zip(factors, row, strict=True)
        )
        found.setdefault(point.lines, point)
    return tuple(found.values())


def two_level(factors: Sequence[Factor]) -> tuple[Runs, tuple[Point, ...]]:
    """Return a small design of low and high values in which no main effect is mixed with a pair's.

    A two-level fraction of resolution 3 followed by its mirror image (fold-over), which makes it
    resolution 4; with up to `FULL_UP_TO` factors simply all combinations.

    Args:
        factors: Each with two values, low and high.

    Returns:
        The levels, -1 and 1, shape ``(runs, factors)``, and the points, in the same order.

    Raises:
        WrongQuestionError: If a factor has not two values, or there are more than 20.
    """
    require_apart(factors)
    wrong = [
        f"{factor.name}: a screening needs two values, low and high, such as [2, 4]; found "
        f"{len(factor.values)}."
        for factor in factors
        if len(factor.values) != 2
    ]
    if not 1 <= len(factors) <= 20:
        wrong.append(f"a screening takes 1 to 20 factors; found {len(factors)}.")
    if wrong:
        raise WrongQuestionError(wrong)
    runs = _screening(len(factors))
    points = tuple(
        Point.at((factor.path, factor.values[level > 0]) for factor, level in zip(factors, row, strict=True))
        for row in runs
    )
    return runs, points


def _screening(factors: int) -> Runs:
    if factors <= FULL_UP_TO:
        return full_factorial(factors)
    runs = fractional_factorial(factors, 3)
    mirrored = fold_over(runs)
    # Some fractions are their own mirror image, and of resolution 4 as they are.
    return runs if set(mirrored) == set(runs) else mirrored


def require_apart(factors: Sequence[Factor]) -> None:
    """Refuse an empty list of factors, and two that set the same thing.

    Raises:
        WrongQuestionError: With what is wrong.
    """
    if not factors:
        raise WrongQuestionError("nothing is varied; name at least one key with a list of values.")
    for one, other in itertools.combinations(factors, 2):
        short = min(len(one.path), len(other.path))
        if one.path[:short] == other.path[:short]:
            raise WrongQuestionError(f"{one.name} and {other.name} set the same thing; keep one of them.")
