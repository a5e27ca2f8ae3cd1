"""The decision that an answer serves, and whether it turns when an input moves."""

from __future__ import annotations

from dataclasses import dataclass

from linesim.runs.cases import CaseRuns
from linesim.runs.main_measure import OUTPUT, Measure
from linesim.runs.replication import Label
from linesim.runs.rows import Row, change_row, row_of
from linesim.stats import joint_confidence

#: What becomes of a decision.
STAYS, FLIPS, OPENS, CLOSES, OPEN = "stays", "flips", "can't tell any more", "can tell now", "can't tell"

AT_TARGET = "plan"
ALTERNATIVE = "alternative"


@dataclass(frozen=True, slots=True)
class Decision:
    """What is decided: whether the line makes its plan, or whether an alternative is better.

    Attributes:
        kind: ``plan`` or ``alternative``.
        figure: The figure that decides.
        target: Jobs per shift that the plan asks for; None for an alternative.
        alternative: What the alternative is called; empty for the plan.
        confidence: Of each case's verdict, so that all of them hold together.
    """

    kind: str
    figure: Measure
    target: float | None
    alternative: str
    confidence: float

    def look(self, runs: CaseRuns, case: str) -> tuple[int, Row]:
        """Return the verdict on a case, and the figure behind it.

        Args:
            runs: The replications.
            case: Name of the case with the inputs as they are then.

        Returns:
            1 if the plan is made or the alternative is better, -1 if surely not, 0 if the data can't tell;
            and what the line makes, or how much the alternative adds.
        """
        unit = next(label.unit for label in runs.found[case].labels if label[:3] == tuple(self.figure))
        values = runs.values(case, *self.figure)
        if self.target is not None:
            row = row_of(Label(*self.figure, unit), values.tolist(), self.confidence)
            return _side(row, self.target, counts=True), row
        theirs = runs.values(with_alternative(case), *self.figure)
        row = change_row(Label(*self.figure, unit), theirs, values, self.confidence)
        side = _side(row, 0.0, counts=False)
        return side if self.figure.more_is_better else -side, row


def with_alternative(case: str) -> str:
    """Return the name of a case with the alternative on top."""
    return f"{case}, with the alternative"


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


def decision_on(
    target: float | None, figure: Measure, alternative: str, confidence: float, cases: int
) -> Decision | None:
    """Return what is decided: the alternative if there is one, else the plan; None if there is neither.

    Args:
        target: Jobs per shift that the plan asks for.
        figure: The figure that decides between alternatives.
        alternative: Name of the alternative; empty if there is none.
        confidence: With which the verdicts on all cases hold together.
        cases: How many cases there are.
    """
    each = joint_confidence(confidence, cases)
    if alternative:
        return Decision(ALTERNATIVE, figure, None, alternative, each)
    return None if target is None else Decision(AT_TARGET, OUTPUT, target, "", each)


def _side(row: Row, border: float, *, counts: bool) -> int:
    """Return 1 or -1 where a figure surely lies above or below a border, else 0.

    Args:
        row: The figure with its interval.
        border: The border.
        counts: Whether the border itself counts as above.
    """
    if row.low is None or row.high is None:
        return 0
    if row.low > border or (counts and row.low == border):
        return 1
    return -1 if row.high < border else 0
