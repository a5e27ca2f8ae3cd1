"""What is varied, and in which combinations: from lines of TOML to the cases of a study."""

from __future__ import annotations

import itertools
import os
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from linesim.errors import ScenarioError, WrongQuestionError
from linesim.questions.alternatives import open_table
from linesim.runs.cases import Case
from linesim.scenario import Scenario
from linesim.scenario.base import as_share
from linesim.scenario.grid import Cell
from linesim.scenario.origins import Place
from linesim.scenario.replace import leaves, lines_of, path_of
from linesim.scenario.toml import key, shown_value, toml_line, toml_value
from linesim.stats.designs import Runs, fold_over, fractional_factorial, full_factorial, latin_hypercube
from linesim.ticks import parse_duration


@dataclass(frozen=True, slots=True)
class Factor:
    """One input that is varied.

    Attributes:
        path: Its place in the scenario.
        values: What it is set to, in the order given, at least one, no two the same.
    """

    path: Place
    values: tuple[Any, ...]

    def __post_init__(self) -> None:
        """Take percent as shares; refuse a factor without values, or with one of them twice."""
        object.__setattr__(self, "values", tuple(map(as_share, self.values)))
        written = [toml_value(value) for value in self.values]
        if not self.path or not written:
            raise WrongQuestionError(f"{self.name}: no value is given; write a list such as [2, 4].")
        twice = sorted({text for text in written if written.count(text) > 1})
        if twice:
            raise WrongQuestionError(f"{self.name}: {twice[0]} stands in the list twice; keep one.")

    @property
    def name(self) -> str:
        """The place as a dotted key, such as ``buffer.lane.capacity``."""
        return key(self.path)

    def line(self, value: Any) -> str:
        """Return the line of TOML that sets the factor to a value."""
        return toml_line(self.path, value)

    def between(self, share: float) -> Any:
        """Return the value that lies ``share`` of the way from the first of two values to the second.

        Whole numbers stay whole, times keep their unit where both have the same.

        Args:
            share: From 0 to 1.

        Raises:
            WrongQuestionError: If the factor has not two values, or none can lie between them.

        Examples:
            >>> Factor(("takt",), ("90 s", "100 s")).between(0.25)
            '92.5 s'
            >>> Factor(("crew", "cab", "people"), (2, 5)).between(0.9)
            5
        """
        if len(self.values) != 2:
            raise WrongQuestionError(
                f"{self.name}: a range has two ends, such as [2, 8]; found {len(self.values)} values."
            )
        low, high = self.values
        if isinstance(low, bool) or isinstance(high, bool):
            raise self._no_range()
        if isinstance(low, int) and isinstance(high, int):
            # Every whole number between the ends has an equal part of the range.
            return min(max(low, high), min(low, high) + int(self._share(share) * (abs(high - low) + 1)))
        if isinstance(low, int | float) and isinstance(high, int | float):
            return round(low + share * (high - low), 6)
        if isinstance(low, str) and isinstance(high, str):
            return self._time(low, high, share)
        raise self._no_range()

    def _share(self, share: float) -> float:
        """Return the share counted from the lower end."""
        return share if self.values[0] <= self.values[1] else 1 - share

    def _time(self, low: str, high: str, share: float) -> str:
        try:
            first, second = parse_duration(low), parse_duration(high)
        except ValueError:
            raise self._no_range() from None
        if first.unit == second.unit:
            unit, start, stop = first.unit, first.amount, second.amount
        else:
            unit, start, stop = "s", first.seconds, second.seconds
        amount = round(start + share * (stop - start), 3)
        return f"{amount:g} {unit}{'s' if unit in ('day', 'week', 'shift') and amount != 1 else ''}"

    def _no_range(self) -> WrongQuestionError:
        ends = " and ".join(toml_value(value) for value in self.values)
        return WrongQuestionError(
            f"{self.name}: nothing lies between {ends}; a range has two numbers or times."
        )


def factors_of(vary: Mapping[str, Sequence[Any]] | Sequence[Factor | str]) -> tuple[Factor, ...]:
    """Return what is varied, by place, as factors, or as lines of TOML.

    Examples:
        >>> factors_of({"buffer.lane.capacity": [0, 2, 4]})
        (Factor(path=('buffer', 'lane', 'capacity'), values=(0, 2, 4)),)
    """
    if isinstance(vary, Mapping):
        return tuple(Factor(path_of(place), tuple(values)) for place, values in vary.items())
    return tuple(factor_of(item) if isinstance(item, str) else item for item in vary)


def factor_of(line: str) -> Factor:
    """Return the factor of a line of TOML whose value is a list.

    Raises:
        WrongQuestionError: If the line is no TOML, sets more than one thing, or its value is no list.

    Examples:
        >>> factor_of("buffer.lane.capacity = [0, 2, 4]")
        Factor(path=('buffer', 'lane', 'capacity'), values=(0, 2, 4))
    """
    found = list(leaves(_parsed(line)))
    if len(found) != 1 or not isinstance(found[0][1], list):
        raise WrongQuestionError(
            f'{line!r} varies nothing: write one key and a list of values, such as "buffer.lane.capacity = '
            '[0, 2, 4]".'
        )
    path, values = found[0]
    return Factor(path, tuple(values))


def _parsed(line: str) -> dict[str, Any]:
    import tomllib

    try:
        return tomllib.loads(line)
    except (ValueError, RecursionError) as error:
        raise WrongQuestionError(
            f'{line!r} is no line of TOML ({error}); write one such as "buffer.lane.capacity = [0, 2, 4]".'
        ) from None


BASE = "as it is"  #: Name of the case in which nothing is changed.


@dataclass(frozen=True, slots=True)
class Point:
    """What the factors are set to.

    Attributes:
        name: What the tables call it.
        levels: Place and value of each factor that is set; the others stay as the scenario has them.
    """

    name: str
    levels: tuple[tuple[Place, Any], ...]

    @classmethod
    def at(cls, levels: Iterable[tuple[Place, Any]], name: str = "") -> Point:
        """Return a point; without a name it is called after what it sets."""
        listed = tuple(levels)
        return cls(
            name or ", ".join(f"{key(path)} = {shown_value(value)}" for path, value in listed) or BASE, listed
        )

    @property
    def lines(self) -> tuple[str, ...]:
        """The lines of TOML that set the factors."""
        return lines_of(dict(self.levels))

    def level(self, path: Place) -> str | None:
        """Return what a factor is set to as text for a table, None where it stays as it was."""
        for where, value in self.levels:
            if where == path:
                return shown_value(value)
        return None


def cases_of(scenario: Scenario, points: Iterable[Point]) -> tuple[Case, ...]:
    """Return the case of each point.

    Raises:
        ScenarioError: With everything that is wrong in any of them, each once.
    """
    cases: list[Case] = []
    problems: dict[tuple[str, str], Any] = {}
    for point in points:
        try:
            cases.append(Case.changed(point.name, scenario, dict(point.levels)))
        except ScenarioError as error:
            for problem in error.problems:
                problems.setdefault((problem.place, problem.message), problem)
    if problems:
        raise ScenarioError(problems.values())
    return tuple(cases)


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
