"""What each change in staffing does to what the line makes, run only until its answer is clear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from linesim.errors import LinesimError, LineStuck
from linesim.questions.crew.hands import MORE, Barred, Hand
from linesim.runs.cases import CaseRuns
from linesim.runs.main_measure import Measure
from linesim.runs.replication import Label
from linesim.runs.rows import Row, row_from
from linesim.stats import Difference, fair_difference, joint_confidence

FIRST = 6  #: Replications of every change before any answer is looked at.


@dataclass(frozen=True, slots=True)
class Gain:
    """What a change in staffing does.

    Attributes:
        hand: The change.
        found: What it adds to the figure, holding together with all other changes.
        confidence: Of this interval alone.
    """

    hand: Hand
    found: Difference
    confidence: float

    @property
    def mean(self) -> float:
        """The estimate."""
        return self.found.interval.mean

    @property
    def low(self) -> float:
        """Lower bound; the lowest there is without an interval."""
        low = self.found.interval.low
        return float("-inf") if low is None else low

    @property
    def high(self) -> float:
        """Upper bound; the highest there is without an interval."""
        high = self.found.interval.high
        return float("inf") if high is None else high

    def as_row(self, figure: Measure, unit: str) -> Row:
        """Return it as a row of a table of measures."""
        return row_from(Label(*figure, unit), self.found.interval, is_change=True)

    def is_settled(self, matters: float) -> bool:
        """Whether more replications would change no answer: surely nothing that matters, or surely some."""
        if -matters < self.low and self.high < matters:
            return True
        return self.high < 0 or self.low > 0


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
        runs: Everything that was run, the line as it is first.
        stuck: Changes with which the line came to a stand for good.
    """

    def __init__(self, runs: CaseRuns, figure: Measure, confidence: float, comparisons: int) -> None:
        self.runs, self.figure = runs, figure
        self.alone = joint_confidence(confidence, comparisons)
        self.hands: list[Hand] = []
        self.stuck: list[Barred] = []

    @property
    def base(self) -> str:
        """Name of the line as it is."""
        return self.runs.names[0]

    def ask(self, hands: Sequence[Hand], count: int) -> None:
        """Run the first ``count`` replications of changes and of the line as it is."""
        numbers = range(1, count + 1)
        self.runs = self.runs.extend(numbers, [self.base])
        hands = [hand for hand in hands if hand not in self.hands or self._done(hand) < count]
        if not hands:
            return
        try:
            self.runs = self.runs.add([hand.case for hand in hands], numbers)
        except LineStuck:
            hands = [hand for hand in hands if self._moves(hand, count)]
        self.hands += [hand for hand in hands if hand not in self.hands]

    def _done(self, hand: Hand) -> int:
        return len(self.runs.numbers_of(hand.name))

    def _moves(self, hand: Hand, count: int) -> bool:
        try:
            self.runs = self.runs.add([hand.case], range(1, count + 1))
        except LineStuck as error:
            self.stuck.append(Barred(hand.kind, hand.crew, f"the line comes to a stand for good: {error}"))
            self.hands = [other for other in self.hands if other != hand]
            return False
        return True

    def gain(self, hand: Hand) -> Gain:
        """Return what a change does, over the replications it has.

        Raises:
            LinesimError: If no replication gives the figure for both.
        """
        numbers = self.runs.common((self.base, hand.name))
        if not numbers:
            raise LinesimError(f"no replication of {hand.name} is left to compare")
        found = fair_difference(
            self.runs.values(hand.name, *self.figure, numbers=numbers),
            self.runs.values(self.base, *self.figure, numbers=numbers),
            self.alone,
        )
        return Gain(hand, found, self.alone)

    def gains(self) -> tuple[Gain, ...]:
        """Return what every change does, the highest gain first."""
        return tuple(sorted((self.gain(hand) for hand in self.hands), key=lambda gain: -gain.mean))

    def open(self, matters: float) -> list[Hand]:
        """Return what more replications may say more of: unsettled changes, and rivals for the lead."""
        gains = self.gains()
        lead = next((gain for gain in gains if gain.hand.kind == MORE), None)
        rivals = {
            gain.hand.name
            for gain in gains
            if lead is not None and gain.hand.kind == MORE and gain.high > lead.low and gain.low > -matters
        }
        rivals = rivals if len(rivals) > 1 else set()
        return [
            gain.hand
            for gain in gains
            if not gain.is_settled(matters) or (gain.hand.name in rivals and gain.high >= matters)
        ]
