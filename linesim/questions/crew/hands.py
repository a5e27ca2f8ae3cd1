"""Changes in staffing: one more or one fewer of a crew, a floater for it, and what each does to the line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any, NamedTuple

from linesim.answers.measure import Measure
from linesim.answers.values import Change
from linesim.errors import ScenarioError, WrongQuestionError
from linesim.plan.words import HANDED_ON
from linesim.runs.case_runner import CaseChange, Runner, change_of, changes_of, shared_measures
from linesim.runs.cases import Case, CaseRuns
from linesim.scenario import Scenario
from linesim.scenario.origins import Place
from linesim.ticks import parse_duration

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


FIRST = 6  #: Replications of every change before any answer is looked at.


@dataclass(frozen=True, slots=True)
class Gain:
    """What a change in staffing does.

    Attributes:
        hand: The change.
        gain: What it adds to the measure that decides, holding together with all other changes.
    """

    hand: Hand
    gain: Change

    @property
    def crew(self) -> str:
        """The crew that is changed, or helped."""
        return self.hand.crew

    @property
    def mean(self) -> float:
        """The estimate."""
        return self.gain.mean or 0.0

    @property
    def low(self) -> float:
        """Lower bound; the lowest there is without an interval."""
        return float("-inf") if self.gain.low is None else self.gain.low

    @property
    def high(self) -> float:
        """Upper bound; the highest there is without an interval."""
        return float("inf") if self.gain.high is None else self.gain.high

    def is_settled(self, matters: float) -> bool:
        """Whether more replications would change no answer: surely nothing that matters, or surely some."""
        return -matters < self.low <= self.high < matters or bool(self.gain.sign)


def looks(replications: int) -> tuple[int, ...]:
    """Return after how many replications answers are looked at, the last being all.

    Examples:
        >>> looks(20), looks(12), looks(4)
        ((6, 12, 20), (6, 12), (4,))
    """
    found, n = [], FIRST
    while n < replications:
        found.append(n)
        n *= 2
    return (*found, replications)


class Tally:
    """The changes and their replications so far.

    Attributes:
        runner: What runs them, and everything that was run, the line as it is first.
        measure: What they are asked by.
        looks: After how many replications answers are looked at.
        comparisons: How many of all looks hold together.
    """

    def __init__(
        self, runner: Runner, measure: Measure, confidence: float, looks: tuple[int, ...], changes: int
    ) -> None:
        self.runner, self.measure, self.confidence, self.looks = runner, measure, confidence, looks
        self.comparisons = max(1, changes * len(looks))
        self._asked: dict[str, Hand] = {}

    @property
    def stuck(self) -> list[Barred]:
        """The changes with which the line came to a stand for good."""
        return [
            Barred(hand.kind, hand.crew, f"the line comes to a stand for good: {self.runner.stuck[name]}")
            for name, hand in self._asked.items()
            if name in self.runner.stuck
        ]

    def ask(self, hands: Sequence[Hand], count: int) -> None:
        """Run the first ``count`` replications of changes and of the line as it is."""
        self._asked |= {hand.name: hand for hand in hands}
        self.runner.ask([self.runner.runs.cases[0], *(hand.case for hand in hands)], range(1, count + 1))

    def gains(self, *kinds: str) -> tuple[Gain, ...]:
        """Return what every change does whose line moves, kind by kind, the highest gain first."""
        found = [
            Gain(hand, self.runner.change(name, self.measure, self.confidence, self.comparisons))
            for name, hand in self._asked.items()
            if name not in self.runner.stuck
        ]
        order = kinds or (MORE, FLOATER, FEWER)
        kept = [gain for gain in found if gain.hand.kind in order]
        return tuple(sorted(kept, key=lambda gain: (order.index(gain.hand.kind), -gain.mean)))

    def open(self, matters: float) -> list[Hand]:
        """Return what more replications may say more of: unsettled changes, and rivals for the lead."""
        more = self.gains(MORE)
        rivals = [gain for gain in more if gain.high > more[0].low and gain.low > -matters]
        near = {gain.hand.name for gain in rivals if len(rivals) > 1 and gain.high >= matters}
        return [gain.hand for gain in self.gains() if not gain.is_settled(matters) or gain.hand.name in near]

    def rivals(self) -> list[Gain]:
        """Return the crews where one more may bring as much as in the first."""
        first, *others = self.gains(MORE)
        pairs = max(1, len(list(combinations([first, *others], 2))) * len(self.looks))
        # The intervals of all gains hold together: where two do not meet there is no doubt.
        return [
            gain
            for gain in others
            if gain.high >= first.low
            and change_of(
                self.runner.runs, gain.hand.name, first.hand.name, self.measure, self.confidence, pairs
            ).sign
            <= 0
        ]


def stops_changed(runs: CaseRuns, name: str, confidence: float) -> tuple[CaseChange, ...]:
    """Return what changes at each place and cause of stops that begin there, the minutes taken away first.

    Args:
        runs: The replications, the line as it is first.
        name: Name of the change.
        confidence: Of all intervals of this change together.
    """
    both = runs.names[0], name
    numbers = runs.common(both)
    asked = [
        one
        for one in shared_measures(runs, both[::-1])
        if one.measure == "line_stop" and one.cause and one.cause not in HANDED_ON
        if any(runs.values(case, *one, numbers=numbers).any() for case in both)
    ]
    found = changes_of(runs, *both, asked, confidence=confidence, comparisons=max(1, len(asked)))
    return tuple(sorted(found, key=lambda one: (one.difference.mean or 0.0, *one.measure[1:])))
