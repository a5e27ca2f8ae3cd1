"""The cases of a comparison: scenarios, or lines laid over the base."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from linesim.studies.cases import Case
from linesim.studies.varying import lines_in, shown_value, with_lines
from linesim.studies.varying.lines import key
from linesim.studies.wrong_question import WrongQuestionError

if TYPE_CHECKING:
    from linesim.scenario import Scenario

#: A scenario, a line of TOML laid over the base, or several such lines.
Other = "Scenario | str | Sequence[str]"


def cases_against(
    base: Scenario,
    others: Mapping[str, Scenario | str | Sequence[str]] | Sequence[Scenario | str | Sequence[str] | Case],
) -> tuple[Case, ...]:
    """Return the cases to compare with the base, each with a name of its own.

    Args:
        base: The base.
        others: Scenarios, lines of TOML, lists of lines, or ready cases; by name, or named after what
            they change.

    Raises:
        WrongQuestionError: If there is none, or two have one name.
        ScenarioError: If a scenario with its lines is wrong.
    """
    pairs = list(others.items()) if isinstance(others, Mapping) else [("", other) for other in others]
    cases = tuple(_case(base, name, other, number) for number, (name, other) in enumerate(pairs, start=2))
    if not cases:
        raise WrongQuestionError(
            "there is nothing to compare with; name another scenario, or lines that change it."
        )
    names = [case.name for case in cases]
    if twice := [name for name in dict.fromkeys(names) if names.count(name) > 1]:
        raise WrongQuestionError(f"two cases are called {twice[0]!r}; give each a name of its own.")
    return cases


def named_after(lines: Sequence[str]) -> str:
    """Return a name for a case that changes these lines.

    Examples:
        >>> named_after(["buffer.lane.capacity = 4", 'takt = "90 s"'])
        'buffer.lane.capacity = 4, takt = 90 s'
    """
    return ", ".join(_said(lines))


def _said(lines: Sequence[str]) -> Iterator[str]:
    for line in lines:
        for path, value in lines_in(line):
            yield f"{key(path)} = {shown_value(value)}"


def _case(base: Scenario, name: str, other: Scenario | str | Sequence[str] | Case, number: int) -> Case:
    if isinstance(other, Case):
        return Case(name or other.name, other.scenario, other.changes)
    if isinstance(other, str):
        other = [other]
    if isinstance(other, Sequence):
        lines = tuple(other)
        return Case(name or named_after(lines), with_lines(base, lines), lines)
    return Case(name or other.title or f"case {number}", other)
