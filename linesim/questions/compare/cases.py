"""The cases of a comparison: scenarios, or changes of the base."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from linesim.errors import WrongQuestionError
from linesim.runs.cases import Case
from linesim.scenario.replace import Changes, named_after

if TYPE_CHECKING:
    from linesim.scenario import Scenario


def cases_against(
    base: Scenario,
    others: Mapping[str, Scenario | Changes] | Sequence[Scenario | Changes | Case],
) -> tuple[Case, ...]:
    """Return the cases to compare with the base, each with a name of its own.

    Args:
        base: The base.
        others: Scenarios, changes of the base, or ready cases; by name, or named after what they change.

    Raises:
        WrongQuestionError: If there is none, or two have one name.
        ScenarioError: If a change is wrong.
    """
    pairs = list(others.items()) if isinstance(others, Mapping) else [("", other) for other in others]
    cases = tuple(_case(base, name, other, number) for number, (name, other) in enumerate(pairs, start=2))
    if not cases:
        raise WrongQuestionError(
            "there is nothing to compare with; name another scenario, or what to change "
            "(--try on the command line)."
        )
    names = [case.name for case in cases]
    if twice := [name for name in dict.fromkeys(names) if names.count(name) > 1]:
        raise WrongQuestionError(f"two cases are called {twice[0]!r}; give each a name of its own.")
    return cases


def _case(base: Scenario, name: str, other: Scenario | Changes | Case, number: int) -> Case:
    if isinstance(other, Case):
        return Case(name or other.name, other.scenario, other.changes)
    if isinstance(other, Mapping):
        return Case.changed(name or named_after(other), base, other)
    return Case(name or other.title or f"case {number}", other)
