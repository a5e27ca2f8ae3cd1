"""Factors: inputs of a scenario and their values; a point sets each, and is a case of the study."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from linesim.errors import ScenarioError, WrongQuestionError
from linesim.runs.cases import Case
from linesim.scenario.base import as_share
from linesim.scenario.origins import Place
from linesim.scenario.replace import leaves, lines_of, path_of
from linesim.scenario.toml import key, shown_value, toml_line, toml_value
from linesim.ticks import parse_duration

if TYPE_CHECKING:
    from linesim.scenario import Scenario


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
