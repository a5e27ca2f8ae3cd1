"""What happens to the output, and to the decision, when an input moves to its low or high end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from linesim.questions.doubt.decision import FLIPS, OPENS, Decision, fate, with_alternative
from linesim.questions.doubt.inputs import Doubtful
from linesim.questions.verdicts import sign_of
from linesim.runs.cases import Case, CaseRuns
from linesim.runs.main_measure import Measure
from linesim.runs.replication import Label
from linesim.runs.rows import Row, change_row
from linesim.scenario.replace import NOTHING, Changes
from linesim.stats import joint_confidence

if TYPE_CHECKING:
    from linesim.scenario import Scenario

BASE = "as it is"
WORSE, BETTER = "everything at its worse end", "everything at its better end"


class RangeEnd(NamedTuple):
    """An input at one end of its range.

    Attributes:
        case: Name of the case.
        factor: Factor on the input; None where inputs of several ranges move together.
        change: How much the figure rises, paired over common draws; the intervals of all ends hold together.
        decided: What the decision goes by; None if nothing is decided.
        verdict: 1, 0 or -1 as in `Decision.look`; None if nothing is decided.
        fate: What becomes of the decision; empty if nothing is decided.
    """

    case: str
    factor: float | None
    change: Row
    decided: Row | None
    verdict: int | None
    fate: str


class Move(NamedTuple):
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
    def ends(self) -> tuple[RangeEnd, RangeEnd]:
        """Both ends."""
        return self.low, self.high

    @property
    def swing(self) -> float:
        """The larger of both changes, in the unit of the figure."""
        return max(abs(end.change.mean or 0.0) for end in self.ends)

    @property
    def most(self) -> float | None:
        """The largest change that the intervals allow; None without intervals."""
        bounds = [bound for end in self.ends for bound in (end.change.low, end.change.high)]
        return None if None in bounds else max(abs(bound) for bound in bounds if bound is not None)

    @property
    def tells(self) -> bool:
        """Whether the figure surely changes at one end at least."""
        return any(sign_of(end.change) for end in self.ends)

    @property
    def turns(self) -> bool:
        """Whether the decision surely turns at one end at least."""
        return any(end.fate == FLIPS for end in self.ends)

    @property
    def opens(self) -> bool:
        """Whether the decision can no longer be told at one end at least."""
        return any(end.fate == OPENS for end in self.ends)


def cases_of_doubt(
    scenario: Scenario, inputs: Sequence[Doubtful], alternative: Changes, add: Changes = NOTHING
) -> Iterator[Case]:
    """Yield the line as it is and with each input at either end, each also with the alternative on top.

    Args:
        scenario: The line.
        inputs: The inputs.
        alternative: Changes of the alternative; empty if there is none.
        add: What it adds.
    """
    yield from case_of_doubt(scenario, BASE, NOTHING, alternative, add)
    for item in inputs:
        for end, changes in (("low", item.low), ("high", item.high)):
            yield from case_of_doubt(scenario, end_name(item, end), changes, alternative, add)


def case_of_doubt(
    scenario: Scenario, name: str, changes: Changes, alternative: Changes, add: Changes
) -> Iterator[Case]:
    """Yield one case, and the same with the alternative on top if there is one."""
    yield Case.changed(name, scenario, changes)
    if alternative or add:
        yield Case.changed(with_alternative(name), scenario, {**changes, **alternative}, add=add)


def end_name(item: Doubtful, end: str) -> str:
    """Return what the case is called in which an input is at its ``low`` or ``high`` end."""
    return f"{item.name} {end}"


def ends_of(
    runs: CaseRuns,
    cases: Sequence[tuple[str, float | None]],
    figure: Measure,
    decision: Decision | None,
    confidence: float,
    comparisons: int,
) -> Iterator[RangeEnd]:
    """Yield what happens at ends.

    Args:
        runs: The replications.
        cases: Name of the case and factor of each end.
        figure: The figure that counts.
        decision: What is decided.
        confidence: Of all changes together.
        comparisons: How many changes there are.
    """
    base = runs.values(BASE, *figure)
    alone = joint_confidence(confidence, comparisons)
    unit = next(label.unit for label in runs.found[BASE].labels if label[:3] == tuple(figure))
    before = None if decision is None else decision.look(runs, BASE)[0]
    for name, factor in cases:
        change = change_row(Label(*figure, unit), runs.values(name, *figure), base, alone)
        if decision is None or before is None:
            yield RangeEnd(name, factor, change, None, None, "")
            continue
        verdict, decided = decision.look(runs, name)
        yield RangeEnd(name, factor, change, decided, verdict, fate(before, verdict))


def worse_and_better(moves: Sequence[Move], figure: Measure) -> tuple[Changes, Changes]:
    """Return the changes that put every input to the end at which the line did worse, and better."""
    sign = 1 if figure.more_is_better else -1
    worse: dict[Any, Any] = {}
    better: dict[Any, Any] = {}
    for move in moves:
        low_is_worse = sign * (move.low.change.mean or 0.0) <= sign * (move.high.change.mean or 0.0)
        ends = (move.input.low, move.input.high)
        worse |= ends[0] if low_is_worse else ends[1]
        better |= ends[1] if low_is_worse else ends[0]
    return worse, better
