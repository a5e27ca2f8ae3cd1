"""What one more of a crew, a tool or a carrier brings: candidates beside the stations made faster."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from linesim.answers.values import Change
from linesim.errors import WrongQuestionError
from linesim.questions.crew.hands import one_more
from linesim.runs.cases import Case
from linesim.scenario.line import placed_tasks

if TYPE_CHECKING:
    from linesim.scenario import Scenario

_COUNTED_BY = MappingProxyType({"tool": "count", "carrier": "count"})
KINDS = ("crew", *_COUNTED_BY)


@dataclass(frozen=True, slots=True)
class Resource:
    """A crew, a tool or a carrier of the scenario.

    Attributes:
        kind: ``crew``, ``tool`` or ``carrier``.
        name: Its name.
    """

    kind: str
    name: str

    @property
    def label(self) -> str:
        """What sentences and tables call it."""
        return f"{self.kind} {self.name}"

    @property
    def case_name(self) -> str:
        """What the case is called in which there is one more."""
        return f"{self.label} +1"

    def case(self, scenario: Scenario) -> Case:
        """Return the line with one more."""
        if self.kind == "crew":
            return replace(one_more(scenario, self.name).case, name=self.case_name)
        field = _COUNTED_BY[self.kind]
        count = getattr(getattr(scenario, self.kind)[self.name], field)
        return Case.changed(self.case_name, scenario, {(self.kind, self.name, field): count + 1})


@dataclass(frozen=True, slots=True)
class OneMore:
    """What one more of a crew, a tool or a carrier brings.

    Attributes:
        resource: Which.
        gain: What the line makes more; the interval holds together with those of all stations and others.
    """

    resource: Resource
    gain: Change

    @property
    def label(self) -> str:
        """What sentences and tables call it."""
        return self.resource.label

    @property
    def kind(self) -> str:
        """Crew, tool or carrier."""
        return self.resource.kind

    @property
    def name(self) -> str:
        """Its name."""
        return self.resource.name


def asked_of(scenario: Scenario, only: Sequence[str]) -> tuple[tuple[str, ...], tuple[Resource, ...]]:
    """Return the stations that have a task, and the crews, tools and carriers, whose gain is asked for.

    Args:
        scenario: The line.
        only: Names of stations, or ``crew.NAME``, ``tool.NAME``, ``carrier.NAME``; empty means all.

    Raises:
        WrongQuestionError: If there is none of a name, or nothing is left that could be changed.
    """
    resources = {f"{kind}.{name}": Resource(kind, name) for kind in KINDS for name in getattr(scenario, kind)}
    if unknown := [name for name in only if name not in scenario.station and name not in resources]:
        raise WrongQuestionError(
            f"{unknown[0]!r} is not a station of this scenario, nor a crew, tool or carrier; it has "
            f"{', '.join((*scenario.station, *resources))}."
        )
    at_work = {one.at for one in placed_tasks(scenario.station)}
    stations = tuple(name for name in scenario.station if name in at_work and (not only or name in only))
    chosen = tuple(resource for name, resource in resources.items() if not only or name in only)
    if not stations and not chosen:
        raise WrongQuestionError("none of these stations has a task that could be faster.")
    return stations, chosen


def tells_more(found: Sequence[OneMore]) -> bool:
    """Return whether one more of any of them surely brings more."""
    return any(one.gain.sign > 0 for one in found)
