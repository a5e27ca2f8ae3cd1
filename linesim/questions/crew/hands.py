"""The changes asked about: one more or one fewer of a crew, a floater for it, one more tool or carrier."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, NamedTuple

from linesim.answers.values import Change
from linesim.errors import ScenarioError, WrongQuestionError
from linesim.runs.cases import Case
from linesim.scenario.line import placed_tasks
from linesim.scenario.origins import Place
from linesim.ticks import parse_duration

if TYPE_CHECKING:
    from linesim.scenario import Scenario

MORE, FEWER, FLOATER = "one more", "one fewer", "a floater"
RESPONSE = "30 s"  #: Time until a floater comes, where the scenario has none to take after.
CALL_AT = 0.7  #: Share of its window at which a station calls, where none of the scenario does.


@dataclass(frozen=True, slots=True)
class Hand:
    """One change in staffing.

    Attributes:
        kind: ``one more``, ``one fewer``, or ``a floater``.
        crew: The crew that is changed, or helped.
        people: People it takes: 1, or -1 for one fewer.
        case: The line with it.
    """

    kind: str
    crew: str
    people: int
    case: Case

    @property
    def name(self) -> str:
        """What tables call it."""
        return self.case.name

    @property
    def in_words(self) -> str:
        """The change as part of a sentence."""
        if self.kind == FLOATER:
            return f"a floater for crew {self.crew}"
        return f"{'one more operator' if self.people > 0 else 'one operator fewer'} in crew {self.crew}"

    @property
    def in_short(self) -> str:
        """The change as people say it."""
        many = {MORE: "one more in", FEWER: "one fewer in"}
        return f"{many[self.kind]} {self.crew}" if self.kind in many else f"a floater for {self.crew}"


@dataclass(frozen=True, slots=True)
class Barred:
    """A change in staffing that the line does not allow.

    Attributes:
        kind, crew: Which.
        why: What stands against it.
        is_too_few: Whether some work asks for more people at once than there would be.
    """

    kind: str
    crew: str
    why: str
    is_too_few: bool = False


def crews_asked(scenario: Scenario, only: Sequence[str]) -> tuple[str, ...]:
    """Return the crews asked about, in file order.

    Raises:
        WrongQuestionError: If there is no crew, or none of a name asked for.
    """
    if not scenario.crew:
        raise WrongQuestionError(
            "the scenario has no crew to ask about; its tasks need nobody, or add [crew.NAME] with `people` "
            "and `covers`."
        )
    if unknown := [name for name in only if name not in scenario.crew]:
        raise WrongQuestionError(
            f"{unknown[0]!r} is not a crew of this scenario; it has {', '.join(scenario.crew)}."
        )
    return tuple(name for name in scenario.crew if not only or name in only)


def check_response(response: str | None) -> None:
    """Refuse what no floater could have.

    Raises:
        WrongQuestionError: If the response is no time.
    """
    if response is not None:
        try:
            parse_duration(response)
        except ValueError as error:
            raise WrongQuestionError(f"the response of a floater: {error}.") from None


def one_more(scenario: Scenario, crew: str) -> Hand:
    """Return the line with one more person in a crew."""
    return _staffed(scenario, crew, 1)


def one_fewer(scenario: Scenario, crew: str) -> Hand | Barred:
    """Return the line with one person fewer in a crew, or why it cannot be."""
    if scenario.crew[crew].people == 0:
        return Barred(FEWER, crew, "nobody is in it")
    try:
        return _staffed(scenario, crew, -1)
    except ScenarioError as error:
        first = error.problems[0]
        return Barred(
            FEWER, crew, f"{first.place}: {first.message}".rstrip("."), first.code == "too-few-people"
        )


def _staffed(scenario: Scenario, crew: str, people: int) -> Hand:
    changes = {("crew", crew, "people"): scenario.crew[crew].people + people}
    kind = MORE if people > 0 else FEWER
    return Hand(kind, crew, people, Case.changed(f"{crew} {people:+d}", scenario, changes))


def a_floater(
    scenario: Scenario, crew: str, *, response: str | None = None, call_at: float | None = None
) -> Hand | Barred:
    """Return the line with a floater of its own for the stations of a crew, or why it cannot be.

    Args:
        scenario: The line.
        crew: Whose stations the floater helps at.
        response: Time from a call until the floater comes; None takes after the floaters there are, else
            `RESPONSE`.
        call_at: Share of its window at which a station calls that never did; None takes after the
            stations that call, else `CALL_AT`.
    """
    new = floater_for(scenario, crew, response=response, call_at=call_at)
    if isinstance(new, Barred):
        return new
    add = {("crew", new.name): dict(new.crew)}
    return Hand(FLOATER, crew, 1, Case.changed(f"{crew} floater", scenario, new.calls, add=add))


class NewFloater(NamedTuple):
    """A floater as a scenario would have it: its name, its crew, and from when on which stations call."""

    name: str
    crew: Mapping[str, Any]
    calls: Mapping[Place, float]


def floater_for(
    scenario: Scenario, crew: str, *, response: str | None = None, call_at: float | None = None
) -> NewFloater | Barred:
    """Return a floater for the stations of a crew, or why there can be none; see `a_floater`."""
    paced = {s for section in scenario.section.values() if section.pacing != "free" for s in section.stations}
    helped = [station for station in scenario.crew[crew].covers if station in paced]
    if not helped:
        return Barred(FLOATER, crew, "none of its stations has a limit to call before")
    responses = (str(other.response) for other in scenario.crew.values() if other.floater)
    floater = {
        "people": 1,
        "covers": helped,
        "floater": True,
        "response": response or next(responses, RESPONSE),
    }
    if calendar := scenario.crew[crew].calendar:
        floater["calendar"] = calendar
    calling = [station.call_at for station in scenario.station.values() if station.call_at is not None]
    at = min(calling, default=CALL_AT) if call_at is None else call_at
    calls: dict[Place, float] = {
        ("station", station, "call_at"): at
        for station in helped
        if station not in scenario.station or scenario.station[station].call_at is None
    }
    return NewFloater(_unused(scenario, f"{crew}-floater"), floater, calls)


def _unused(scenario: Scenario, name: str) -> str:
    name = name[:60]
    return name if name not in scenario.crew else next(
        other for n in range(2, 100) if (other := f"{name}-{n}") not in scenario.crew
    )  # fmt: skip


KINDS = ("crew", "tool", "carrier")


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
        count = getattr(scenario, self.kind)[self.name].count
        return Case.changed(self.case_name, scenario, {(self.kind, self.name, "count"): count + 1})


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


def tells_more(found: Mapping[Resource, Change]) -> bool:
    """Return whether one more of any of them surely brings more."""
    return any(gain.sign > 0 for gain in found.values())
