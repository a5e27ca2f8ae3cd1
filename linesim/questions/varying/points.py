"""A point of a study: what the factors are set to, and the case that it makes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from linesim.errors import ScenarioError
from linesim.runs.cases import Case
from linesim.scenario.origins import Place
from linesim.scenario.replace import lines_of
from linesim.scenario.toml import key, shown_value

if TYPE_CHECKING:
    from linesim.scenario import Scenario

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
