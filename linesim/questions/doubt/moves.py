"""What happens to the output, and to the decision it serves, when inputs move to an end of their ranges."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from linesim.answers.measure import OUTPUT, Measure
from linesim.answers.values import Change, Estimate
from linesim.questions.alternatives import Alternative
from linesim.questions.doubt.inputs import Doubtful
from linesim.runs.case_runner import change_of, estimate_of
from linesim.runs.cases import Case, CaseRuns
from linesim.scenario import Scenario
from linesim.scenario.replace import Changes
from linesim.stats.comparisons import joint_confidence

BASE = "as it is"
WORSE, BETTER = "everything at its worse end", "everything at its better end"
#: What becomes of a decision.
STAYS, FLIPS, OPENS, CLOSES, OPEN = "stays", "flips", "can't tell any more", "can tell now", "can't tell"


@dataclass(frozen=True, slots=True)
class Decision:
    """What is decided: whether the line makes its plan, or whether an alternative is better.

    Attributes:
        measure: The measure that decides.
        target: Jobs per shift that the plan asks for; None for an alternative.
        alternative: What the alternative is called; empty for the plan.
        confidence: With which the verdicts on all cases hold together.
        cases: How many cases there are.
    """

    measure: Measure
    target: float | None
    alternative: str
    confidence: float
    cases: int

    def look(self, runs: CaseRuns, case: str) -> tuple[int, Estimate]:
        """Return the verdict on a case, and the figure behind it.

        Args:
            runs: The replications.
            case: Name of the case with the inputs as they are then.

        Returns:
            1 if the plan is made or the alternative is better, -1 if surely not, 0 if the data can't tell;
            and what the line makes, or how much the alternative adds.
        """
        if self.target is not None:
            made = estimate_of(runs, case, self.measure, joint_confidence(self.confidence, self.cases))
            if made.low is None or made.high is None:
                return 0, made
            return (1 if made.low >= self.target else -1 if made.high < self.target else 0), made
        found = change_of(runs, case, with_alternative(case), self.measure, self.confidence, self.cases)
        return (found.sign if self.measure.more_is_better else -found.sign), found


def decision_on(
    target: float | None, measure: Measure, alternative: str, confidence: float, cases: int
) -> Decision | None:
    """Return what is decided: the alternative if there is one, else the plan; None if there is neither."""
    if alternative:
        return Decision(measure, None, alternative, confidence, cases)
    return None if target is None else Decision(OUTPUT, target, "", confidence, cases)


def fate(before: int, after: int) -> str:
    """Return what becomes of a decision.

    Examples:
        >>> fate(1, -1), fate(1, 0), fate(0, 1), fate(-1, -1)
        ('flips', "can't tell any more", 'can tell now', 'stays')
    """
    if before == 0:
        return CLOSES if after else OPEN
    if after == 0:
        return OPENS
    return STAYS if before == after else FLIPS


@dataclass(frozen=True, slots=True)
class RangeEnd:
    """Inputs at one end of their ranges.

    Attributes:
        case: Name of the case.
        change: How much the measure rises, paired over common draws; the intervals of all ends hold together.
        decided: What the decision goes by; None if nothing is decided.
        fate: What becomes of the decision; empty if nothing is decided.
    """

    case: str
    change: Change
    decided: Estimate | None
    fate: str


@dataclass(frozen=True, slots=True)
class InputMove:
    """An input at both ends.

    Attributes:
        input: The input.
        low: At its lowest factor.
        high: At its highest.
    """

    input: Doubtful
    low: RangeEnd
    high: RangeEnd

    @property
    def ends(self) -> tuple[tuple[float, RangeEnd], ...]:
        """Both ends, each with its factor."""
        return tuple(zip(self.input.ends, (self.low, self.high), strict=True))

    @property
    def fates(self) -> tuple[str, ...]:
        """What becomes of the decision at both ends, each word once; empty if nothing is decided."""
        return tuple(dict.fromkeys(filter(None, (self.low.fate, self.high.fate))))

    @property
    def swing(self) -> float:
        """The larger of both changes, in the unit of the measure."""
        return max(abs(end.change.mean or 0.0) for _, end in self.ends)

    @property
    def most(self) -> Change | None:
        """The change at the end whose interval reaches furthest; None without intervals."""
        if any(end.change.low is None for _, end in self.ends):
            return None
        return max((end.change for _, end in self.ends), key=reach)

    @property
    def tells(self) -> bool:
        """Whether the measure surely changes at one end at least."""
        return any(end.change.sign for _, end in self.ends)


def reach(change: Change) -> float:
    """Return how far from 0 a change may be."""
    return max(abs(change.low or 0.0), abs(change.high or 0.0))


def with_alternative(case: str) -> str:
    """Return the name of a case with the alternative on top."""
    return f"{case}, with the alternative"


def cases_of_doubt(scenario: Scenario, settings: Mapping[str, Changes], tried: Alternative) -> Iterator[Case]:
    """Yield the line with each setting of its inputs, by name, each also with the alternative on top."""
    for name, changes in settings.items():
        yield Case.changed(name, scenario, changes)
        if tried.name:
            both = {**changes, **tried.changes}
            yield Case.changed(with_alternative(name), scenario, both, add=tried.add)


def end_of(
    runs: CaseRuns,
    name: str,
    measure: Measure,
    decision: Decision | None,
    confidence: float,
    comparisons: int,
) -> RangeEnd:
    """Return what happens at an end.

    Args:
        runs: The replications.
        name: Name of the case.
        measure: The measure that counts.
        decision: What is decided.
        confidence: Of all changes together.
        comparisons: How many changes there are.
    """
    change = change_of(runs, BASE, name, measure, confidence, comparisons)
    if decision is None:
        return RangeEnd(name, change, None, "")
    before, _ = decision.look(runs, BASE)
    after, decided = decision.look(runs, name)
    return RangeEnd(name, change, decided, fate(before, after))


def worse_and_better(moves: Sequence[InputMove], measure: Measure) -> tuple[Changes, Changes]:
    """Return the changes that put every input to the end at which the line did worse, and better."""
    worse: dict[Any, Any] = {}
    better: dict[Any, Any] = {}
    for move in moves:
        low_is_worse = measure.sign * (move.low.change.mean or 0.0) <= measure.sign * (
            move.high.change.mean or 0.0
        )
        worse |= move.input.changes("low" if low_is_worse else "high")
        better |= move.input.changes("high" if low_is_worse else "low")
    return worse, better
