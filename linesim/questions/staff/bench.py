"""Staffings that were simulated, over common draws, and what is known of each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from linesim.answers.measure import Measure
from linesim.answers.values import Change, Estimate
from linesim.errors import LinesimError, ScenarioError, WrongQuestionError
from linesim.measures import SEGMENT
from linesim.plan.tables import FloatArray
from linesim.questions.staff.staffings import Heads, Staffings
from linesim.runs.case_runner import Runner, change_of, estimate_of
from linesim.runs.cases import Case
from linesim.runs.replication import Label
from linesim.runs.rows import plan_met_row
from linesim.stats import could_be_highest, joint_confidence

MAKES, TOO_SELDOM, UNSURE = "makes it", "too seldom", "can't tell"


class Bench:
    """The staffings that were looked at.

    Attributes:
        staffings: All that are allowed.
        runner: Their replications, the line as it is first.
        measure: What decides among those of one cost, or is to be had most of.
        first, count: Replications of each, and of those that it is worth while to know better.
        tried: Those whose line moves, in the order in which they were asked for.
        barred: Those that cannot be, and why.
    """

    def __init__(
        self, staffings: Staffings, runner: Runner, measure: Measure, *, target: float | None, share: float,
        confidence: float, first: int, count: int, most: int,
    ) -> None:  # fmt: skip
        self.staffings, self.runner, self.measure = staffings, runner, measure
        self.target, self.share, self.confidence = target, share, confidence
        self.first, self.count, self.most = first, count, most
        now = staffings.now
        self.tried: dict[Heads, Case] = {now: runner.runs.cases[0]}
        self.barred: dict[Heads, str] = {}

    @property
    def is_full(self) -> bool:
        """Whether no further staffing may be looked at."""
        return len(self.tried) >= self.most

    def ask(self, wanted: Iterable[Heads | None], count: int | None = None) -> list[Heads]:
        """Run the first replications of staffings and return those whose line moves.

        What is new beyond the most that may be looked at is left out.

        Args:
            wanted: Which; None stands for one that the limits do not allow.
            count: How many replications; None takes the first ones.
        """
        chosen = [heads for heads in dict.fromkeys(wanted) if heads is not None and self._may(heads)]
        numbers = range(1, (count or self.first) + 1)
        if count:
            self.runner.ask([self.tried[self.staffings.now]], numbers)
        self.runner.ask([self.tried[heads] for heads in chosen], numbers)
        for heads in chosen:
            if (why := self.runner.stuck.get(self.tried[heads].name)) is not None:
                del self.tried[heads]
                self.barred[heads] = f"the line comes to a stand for good: {why}"
        return [heads for heads in chosen if heads in self.tried]

    def _may(self, heads: Heads) -> bool:
        if heads in self.tried:
            return True
        if heads in self.barred or self.is_full:
            return False
        try:
            self.tried[heads] = self.staffings.case(heads)
        except ScenarioError as error:
            first = error.problems[0]
            self.barred[heads] = f"{first.place}: {first.message}".rstrip(".")
            return False
        return True

    def sharpen(self, wanted: Iterable[Heads]) -> list[Heads]:
        """Run all replications of staffings; return those whose line moves."""
        return self.ask(wanted, self.count)

    def is_sharp(self, heads: Heads) -> bool:
        """Whether all replications of a staffing were run."""
        return len(self.runner.runs.numbers_of(self.tried[heads].name)) >= self.count

    def values(self, heads: Heads, numbers: Sequence[int]) -> FloatArray:
        """Return the measure in each of some replications, signed so that more is better.

        Raises:
            WrongQuestionError: If one does not give it.
        """
        found = self.runner.runs.values(self.tried[heads].name, *self.measure, numbers=numbers)
        if np.isnan(found).any():
            raise WrongQuestionError(
                f"not every replication gives {self.measure}; measure a longer run (run.length)."
            )
        return found if self.measure.more_is_better else -found

    def ahead(self, heads: Heads, other: Heads) -> float:
        """Return how much better one is than another on average, over the replications that both have."""
        numbers = self.numbers(heads, other)
        return float((self.values(heads, numbers) - self.values(other, numbers)).mean())

    def is_behind(self, heads: Heads, other: Heads, comparisons: int) -> bool:
        """Whether a staffing is surely worse than another, among so many comparisons."""
        sign = 1 if self.measure.more_is_better else -1
        return sign * self.change(heads, other, comparisons).sign < 0

    def numbers(self, *which: Heads) -> tuple[int, ...]:
        """Return the replications that staffings have in common.

        Raises:
            LinesimError: If there is none, because workers died.
        """
        found = self.runner.runs.common([self.tried[heads].name for heads in which])
        if not found:
            raise LinesimError("no replication is left to compare staffings by")
        return found

    def change(self, heads: Heads, other: Heads, comparisons: int = 1) -> Change:
        """Return how much more of the measure a staffing has than another, paired over common draws."""
        names = self.tried[other].name, self.tried[heads].name
        return change_of(self.runner.runs, *names, self.measure, self.confidence, comparisons)

    def makes(self, heads: Heads) -> Estimate:
        """Return what a staffing makes."""
        return estimate_of(self.runner.runs, self.tried[heads].name, self.measure, self.confidence)

    def met(self, heads: Heads, comparisons: int = 1) -> Estimate | None:
        """Return in which share of the shifts a staffing makes the target; None without one."""
        if self.target is None:
            return None
        confidence = joint_confidence(self.confidence, comparisons)
        finished = self.runner.runs.found[self.tried[heads].name].finished
        row = plan_met_row(Label("plan_met", SEGMENT, "", "share"), self.target, finished, confidence)
        if row.mean is None:
            raise WrongQuestionError("the run holds no whole shift to make a target in; set run.length.")
        return Estimate(
            row.mean, row.low, row.high, n=row.replications, method=row.method, unit="share",
            confidence=confidence,
        )  # fmt: skip

    def meets(self, heads: Heads) -> bool:
        """Whether a staffing makes the target often enough, as far as one can see."""
        found = self.met(heads)
        return found is not None and (found.mean or 0.0) >= self.share - 1e-9

    def may_meet(self, heads: Heads) -> bool:
        """Whether the data leave it open, or say, that a staffing makes the target often enough."""
        return self.meets(heads) or self.verdict(heads) != TOO_SELDOM

    def verdict(self, heads: Heads) -> str:
        """Return what the data say of the target.

        Surely often enough holds for all staffings together; a single one that is truly often enough is
        called too seldom with no more than the chance of error.
        """
        found, joint = self.met(heads), self.met(heads, len(self.tried))
        assert found is not None and joint is not None
        if joint.low is not None and joint.low >= self.share - 1e-9:
            return MAKES
        return TOO_SELDOM if found.high is not None and found.high < self.share - 1e-9 else UNSURE

    def best_of(self, which: Sequence[Heads]) -> list[Heads]:
        """Return those that may have most of the measure, the first first, over what they all have."""
        numbers = self.numbers(*which)
        table = np.column_stack([self.values(heads, numbers) for heads in which])
        return [which[column] for column in could_be_highest(table, self.confidence)]

    def cost(self, heads: Heads) -> float:
        """Return what the people of a staffing cost a shift."""
        return self.staffings.cost(heads)
