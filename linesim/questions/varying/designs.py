"""Which combinations of values are looked at: a design, or points from a table."""

from __future__ import annotations

import itertools
import os
import tomllib
from collections.abc import Sequence
from typing import Any

from linesim.errors import WrongQuestionError
from linesim.questions.measured import open_table
from linesim.questions.varying.factors import Factor, Point
from linesim.scenario.grid import Cell
from linesim.scenario.origins import Place
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


NAME_COLUMN = "case"  #: Heading of the column with the names, if there is one.


def read_points(path: str | os.PathLike[str]) -> tuple[Point, ...]:
    """Return the points of a CSV file or workbook.

    The headings are keys such as ``buffer.lane.capacity``; a column ``case`` may give names. A cell is a
    number, ``true`` or ``false``, a list or table as TOML writes it, and otherwise text such as
    ``95 s``. An empty cell leaves the input as the scenario has it.

    Raises:
        ScenarioError: If it cannot be read, is no table, or holds no rows.
        WrongQuestionError: With everything that is wrong in it.
    """
    table = open_table(path, prefer="cases")
    name = table.file
    wrong: list[str] = []
    keys: list[Place | None] = []
    for cell in table.heading:
        keys.append(None if cell.text == NAME_COLUMN else _path(cell, name, wrong))
    if len({key for key in keys if key is not None}) < len([key for key in keys if key is not None]):
        wrong.append(f"{name}: two columns have the same heading; keep one of them.")
    if wrong:
        raise WrongQuestionError(wrong)
    points = []
    for number, row in enumerate(table.rows, start=1):
        called = next((cell.text for cell, key in zip(row, keys, strict=True) if key is None), "")
        levels = [
            (key, cell_value(cell.text))
            for cell, key in zip(row, keys, strict=True)
            if key is not None and cell.text
        ]
        points.append(Point.at(levels, called or f"case {number}"))
    names = [point.name for point in points]
    if twice := [called for called in dict.fromkeys(names) if names.count(called) > 1]:
        raise WrongQuestionError(f"{name}: two cases are called {twice[0]!r}; each needs a name of its own.")
    return tuple(points)


def cell_value(text: str) -> Any:
    """Return what a cell says.

    Examples:
        >>> cell_value("4"), cell_value("0.25"), cell_value("95 s"), cell_value('["T1", "T2"]')
        (4, 0.25, '95 s', ['T1', 'T2'])
    """
    try:
        value = tomllib.loads(f"x = {text}")
    except (ValueError, RecursionError):
        return text
    if list(value) != ["x"] or not isinstance(value["x"], bool | int | float | str | list | dict):
        return text  # a date, which no input of a scenario is
    return value["x"]


def _path(cell: Cell, file: str, wrong: list[str]) -> Place | None:
    """Return the place that a heading names."""
    try:
        raw: Any = tomllib.loads(f"{cell.text} = 0")
    except (ValueError, RecursionError):
        raw = None
    path: Place = ()
    while isinstance(raw, dict) and len(raw) == 1:
        (part,) = raw
        path, raw = (*path, part), raw[part]
    if raw == 0 and path:
        return path
    wrong.append(
        f"{file}: {cell.place}: found the heading {cell.text!r}; write a key such as buffer.lane.capacity, "
        f"or {NAME_COLUMN} above the names."
    )
    return ()
