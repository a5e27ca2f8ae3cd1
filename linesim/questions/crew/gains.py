"""What each change in staffing does to the line, run only until its answer is clear; and to its stops."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from linesim.answers.measure import Measure
from linesim.answers.values import Change
from linesim.plan.words import HANDED_ON
from linesim.questions.crew.hands import FEWER, FLOATER, MORE, Barred, Hand
from linesim.runs.case_runner import CaseChange, Runner, change_of, changes_of, shared_measures
from linesim.runs.cases import CaseRuns

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
