"""What each change in staffing does to the line, run only until its answer is clear; and to its stops."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from linesim.answers.measure import Measure
from linesim.answers.values import Change
from linesim.errors import LinesimError
from linesim.plan.words import HANDED_ON
from linesim.questions.crew.hands import MORE, Barred, Hand
from linesim.questions.run.sentences import cause_in_words
from linesim.runs.case_runner import Runner, change_of, changes_of, shared_measures
from linesim.runs.cases import CaseRuns

FIRST = 6  #: Replications of every change before any answer is looked at.


@dataclass(frozen=True, slots=True)
class Gain:
    """What a change in staffing does.

    Attributes:
        hand: The change.
        measure: What it is asked by.
        gain: What it adds to that, holding together with all other changes.
    """

    hand: Hand
    measure: Measure
    gain: Change

    @property
    def change(self) -> str:
        """Name of the change."""
        return self.hand.name

    @property
    def kind(self) -> str:
        """Kind of the change."""
        return self.hand.kind

    @property
    def crew(self) -> str:
        """The crew that is changed, or helped."""
        return self.hand.crew

    @property
    def people(self) -> int:
        """People it takes."""
        return self.hand.people

    @property
    def unit(self) -> str:
        """Unit of the measure."""
        return self.gain.unit

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
        hands: The changes whose line moves.
    """

    def __init__(self, runner: Runner, measure: Measure, confidence: float, comparisons: int) -> None:
        self.runner, self.measure = runner, measure
        self.confidence, self.comparisons = confidence, comparisons
        self._asked: dict[str, Hand] = {}

    @property
    def hands(self) -> list[Hand]:
        """The changes that were run and whose line moves."""
        return [hand for name, hand in self._asked.items() if name not in self.runner.stuck]

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
        numbers = range(1, count + 1)
        self.runner.ask(self.runner.runs.cases[:1], numbers)
        self._asked |= {hand.name: hand for hand in hands}
        self.runner.ask([hand.case for hand in hands], numbers)

    def gain(self, hand: Hand) -> Gain:
        """Return what a change does, over the replications it has.

        Raises:
            LinesimError: If no replication gives the figure for both.
        """
        if not self.runner.runs.common((self.runner.base, hand.name)):
            raise LinesimError(f"no replication of {hand.name} is left to compare")
        found = self.runner.change(hand.name, self.measure, self.confidence, self.comparisons)
        return Gain(hand, self.measure, found)

    def gains(self) -> tuple[Gain, ...]:
        """Return what every change does, the highest gain first."""
        return tuple(sorted(map(self.gain, self.hands), key=lambda gain: -gain.mean))

    def open(self, matters: float) -> list[Hand]:
        """Return what more replications may say more of: unsettled changes, and rivals for the lead."""
        gains = self.gains()
        lead = next((gain for gain in gains if gain.kind == MORE), None)
        rivals = {
            gain.change
            for gain in gains
            if lead is not None and gain.kind == MORE and gain.high > lead.low and gain.low > -matters
        }
        rivals = rivals if len(rivals) > 1 else set()
        return [
            gain.hand
            for gain in gains
            if not gain.is_settled(matters) or (gain.change in rivals and gain.high >= matters)
        ]

    def rivals(self, more: Sequence[Gain], pairs: int) -> list[Gain]:
        """Return the crews where one more may bring as much as in the first.

        Args:
            more: What one more does in each crew, the highest gain first.
            pairs: How many comparisons of two of them hold together.
        """
        # The intervals of all gains hold together: where two do not meet there is no doubt.
        near = [gain for gain in more[1:] if gain.high >= more[0].low]
        found = []
        for gain in near:
            lead = change_of(
                self.runner.runs, gain.change, more[0].change, self.measure, self.confidence, pairs
            )
            if lead.sign <= 0:
                found.append(gain)
        return found


@dataclass(frozen=True, slots=True)
class StopChange:
    """How many minutes of stop a change takes away or brings.

    Attributes:
        change: Name of the change.
        kind: Its kind.
        where, cause: Of which station or section, and why.
        difference: Minutes a shift more, negative if it takes them away, with an interval that holds together
            with those of all other places and causes of this change.
    """

    change: str
    kind: str
    where: str
    cause: str
    difference: Change

    @property
    def because(self) -> str:
        """The cause in a reader's words."""
        return cause_in_words(self.cause)

    @property
    def unit(self) -> str:
        """Unit of the minutes."""
        return self.difference.unit


def stops_changed(runs: CaseRuns, base: str, hand: Hand, confidence: float) -> tuple[StopChange, ...]:
    """Return what changes at each place and cause of stops that begin there, the minutes taken away first.

    Args:
        runs: The replications.
        base: Name of the line as it is.
        hand: The change.
        confidence: Of all intervals together.
    """
    numbers = runs.common((base, hand.name))
    asked = [
        one
        for one in shared_measures(runs, (hand.name, base))
        if one.measure == "line_stop" and one.cause and one.cause not in HANDED_ON
        if any(runs.values(name, *one, numbers=numbers).any() for name in (base, hand.name))
    ]
    found = changes_of(runs, base, hand.name, asked, confidence=confidence, comparisons=max(1, len(asked)))
    stops = (StopChange(hand.name, hand.kind, *one.measure[1:], one.difference) for one in found)
    return tuple(sorted(stops, key=lambda stop: (stop.difference.mean or 0.0, stop.where, stop.cause)))
