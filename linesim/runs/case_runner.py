"""Cases run when asked, over common draws, and what they say of a measure."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linesim.answers.measure import Measure
from linesim.answers.values import Change, Estimate
from linesim.errors import LineStuck, WrongQuestionError
from linesim.measures import SEGMENT
from linesim.plan.tables import FloatArray
from linesim.runs.cases import Case, CaseRuns, run_cases
from linesim.runs.cost import CostOnly, RunCost
from linesim.runs.replicate import Replications
from linesim.runs.replication import Label
from linesim.runs.rows import Row, plan_met_row
from linesim.stats.comparisons import fair_difference, joint_confidence
from linesim.stats.intervals import student_interval


class Runner:
    """Runs cases when they are asked for; one that comes to a stand for good is set aside with the reason.

    Attributes:
        runs: Everything that was run so far, the line as it is first.
        stuck: Cases that came to a stand for good, and why.
    """

    def __init__(self, base: Case, numbers: Iterable[int], *, seed: int | None = None, **how: Any) -> None:
        """Run some replications of the line as it is.

        Args:
            base: The line as it is.
            numbers: Which replications, counted from 1.
            seed: Seed of all draws; None takes what the base says.
            how: How replications are run, see `linesim.runs.run_options.How`.

        Raises:
            LineStuck: If the line as it is comes to a stand for good.
        """
        self.runs: CaseRuns = run_cases([base], numbers=numbers, seed=seed, **how)
        self.stuck: dict[str, str] = {}

    @property
    def base(self) -> str:
        """Name of the line as it is."""
        return self.runs.names[0]

    def ask(self, cases: Sequence[Case], numbers: Iterable[int]) -> list[Case]:
        """Run replications of cases; what was run before is not run again.

        Args:
            cases: Which; those that are stuck already are left out.
            numbers: Which replications, counted from 1.

        Returns:
            The cases that have all of them: those whose line does not come to a stand.

        Raises:
            LineStuck: If the line as it is comes to a stand for good.
        """
        wanted = tuple(numbers)
        fresh = [case for case in cases if case.name not in self.stuck]
        if not fresh:
            return []
        try:
            self.runs = self.runs.add(fresh, wanted)
        except LineStuck:
            return [case for case in fresh if self._moves(case, wanted)]  # the others are worth having
        return fresh

    def _moves(self, case: Case, numbers: tuple[int, ...]) -> bool:
        try:
            self.runs = self.runs.add([case], numbers)
        except LineStuck as error:
            if case.name == self.base:
                raise
            self.stuck[case.name] = str(error)
            return False
        return True

    def estimate(self, name: str, measure: Measure, confidence: float) -> Estimate:
        """Return what a case makes, over all its replications."""
        return estimate_of(self.runs, name, measure, confidence)

    def change(self, name: str, measure: Measure, confidence: float, comparisons: int = 1) -> Change:
        """Return what a case makes more than the line as it is, see `change_of`."""
        return change_of(self.runs, self.base, name, measure, confidence, comparisons)

    def further(self, count: int) -> tuple[int, ...]:
        """Return numbers of replications that no case has seen yet, so that they took part in no choice."""
        used = max(number for name in self.runs.names for number in self.runs.numbers_of(name))
        return tuple(range(used + 1, used + 1 + count))

    def fresh(self, cases: Sequence[Case], count: int) -> CaseRuns:
        """Run further replications of cases, and return those alone, of those that come to no stand."""
        numbers = self.further(count)
        moving = self.ask(cases, numbers)
        return self.runs.only([case.name for case in moving]).take(numbers)


def foretell(
    base: Case, numbers: Iterable[int], steps: Callable[[RunCost], RunCost], *, seed: int | None, **how: Any
) -> None:
    """Say before anything is simulated how long a study may take, from one replication that is timed.

    Nothing where nobody listens, or where the cost is all that is asked for.

    Args:
        base: The line as it is.
        numbers: The replications of it that the first step runs.
        steps: Makes of the cost of the first step that of all of them.
        seed: Seed of all draws; None takes what the base says.
        how: How replications are run, see `linesim.runs.run_options.How`.
    """
    if how.get("notice") is None or how.get("only_cost"):
        return
    try:
        run_cases([base], numbers=numbers, seed=seed, **{**how, "only_cost": True})
    except CostOnly as found:
        how["notice"](" ".join(steps(found.cost).sentences))


def estimate_of(runs: CaseRuns, name: str, measure: Measure, confidence: float) -> Estimate:
    """Return a measure of a case over all its replications.

    Raises:
        KeyError: If there is no such case or measure.
    """
    return estimate_from(runs.row(name, *measure, confidence=confidence), confidence)


def estimate_from(row: Row, confidence: float) -> Estimate:
    """Return what a row of the table of measures says."""
    currency = Measure(row.measure, row.where, row.cause).currency(row.unit)
    return Estimate(*row[4:9], row.replications, row.method, row.unit, confidence, currency)


def met_of(runs: CaseRuns, name: str, target: float | None, confidence: float) -> Estimate | None:
    """Return in which share of its shifts a case makes a target; None without a target or whole shifts."""
    if target is None:
        return None
    row = plan_met_row(Label("plan_met", SEGMENT, "", "share"), target, runs.found[name].finished, confidence)
    return None if row.mean is None else estimate_from(row, confidence)


def change_of(
    runs: CaseRuns, base: str, name: str, measure: Measure, confidence: float, comparisons: int = 1
) -> Change:
    """Return how much more of a measure a case has than the base, paired over common draws.

    Args:
        runs: The replications.
        base: Name of the case to compare with.
        name: Name of the case whose gain is asked for.
        measure: The measure.
        confidence: Of all comparisons together, between 0 and 1.
        comparisons: How many intervals have to hold together (Bonferroni), >= 1.

    Raises:
        KeyError: If there is no such case or measure.
        WrongQuestionError: If no replication gives the measure in both.
    """
    after, before = pairs_of(runs, base, name, measure)
    if not len(after):
        raise WrongQuestionError(f"no replication gives {measure} in both {base!r} and {name!r}.")
    return paired(before, after, measure, unit_of(runs, measure), confidence, comparisons)


def unit_of(runs: CaseRuns, measure: Measure) -> str:
    """Return the unit in which the first case gives a measure, money with the word or sign of the file."""
    return next(label.unit for label in runs.found[runs.names[0]].labels if label[:3] == tuple(measure))


def paired(
    before: FloatArray,
    after: FloatArray,
    measure: Measure,
    unit: str,
    confidence: float,
    comparisons: int = 1,
) -> Change:
    """Return how much higher a measure is after than before, paired over common draws.

    Args:
        before: The measure in each replication of the one case.
        after: In the same replications of the other.
        measure: The measure.
        unit: Its unit.
        confidence: Of all comparisons together, between 0 and 1.
        comparisons: How many intervals have to hold together (Bonferroni), >= 1.
    """
    return Change.between(
        fair_difference(after, before, joint_confidence(confidence, comparisons)), unit,
        currency=measure.currency(unit), before=student_interval(before).mean,
        after=student_interval(after).mean, comparisons=comparisons,
    )  # fmt: skip


def pairs_of(runs: CaseRuns, base: str, name: str, measure: Measure) -> tuple[FloatArray, FloatArray]:
    """Return a measure of a case and of the base in the replications that give it in both."""
    numbers = runs.common((base, name))
    after = runs.values(name, *measure, numbers=numbers)
    before = runs.values(base, *measure, numbers=numbers)
    both = ~(np.isnan(after) | np.isnan(before))
    return after[both], before[both]


@dataclass(frozen=True, slots=True)
class CaseChange:
    """One measure of one case against the base.

    Attributes:
        case: The case.
        measure: The measure.
        difference: Case minus base.
    """

    case: str
    measure: Measure
    difference: Change

    @property
    def unit(self) -> str:
        """Unit of the measure."""
        return self.difference.unit


def changes_of(
    runs: CaseRuns, base: str, case: str, measures: Iterable[Measure], *, confidence: float, comparisons: int
) -> tuple[CaseChange, ...]:
    """Return the differences of measures that both cases give in some replication; others are left out.

    Args:
        runs: The replications.
        base: Name of the case to compare with.
        case: Name of the case whose gain is asked for.
        measures: Which measures.
        confidence: Of all comparisons together, between 0 and 1.
        comparisons: How many intervals have to hold together (Bonferroni), >= 1.
    """
    numbers = runs.common((base, case))
    ours, theirs = _columns(runs.found[case], numbers), _columns(runs.found[base], numbers)
    changes = []
    for measure in measures:
        if measure not in ours or measure not in theirs:
            continue
        (unit, after), (_, before) = ours[measure], theirs[measure]
        both = ~(np.isnan(after) | np.isnan(before))
        if both.any():
            change = paired(before[both], after[both], measure, unit, confidence, comparisons)
            changes.append(CaseChange(case, measure, change))
    return tuple(changes)


def shared_measures(runs: CaseRuns, names: Sequence[str]) -> tuple[Measure, ...]:
    """Return the measures that all the named cases have rows for, in the order of the first."""
    others = [{label[:3] for label in runs.found[name].labels} for name in names[1:]]
    return tuple(
        Measure(*label[:3])
        for label in runs.found[names[0]].labels
        if all(label[:3] in other for other in others)
    )


def headline(runs: CaseRuns, measure: Measure) -> tuple[Measure, ...]:
    """Return what a planner looks at next to the measure that decides."""
    first = map(Measure, ("jobs_per_shift", "throughput", "plan_met"))
    stops = (one for one in shared_measures(runs, runs.names) if one.measure == "line_stop" and not one.cause)
    last = map(Measure, ("lead_time", "in_progress", "first_time_through"))
    return tuple(one for one in (*first, *stops, *last) if one != measure)


def _columns(runs: Replications, numbers: Sequence[int]) -> dict[Measure, tuple[str, FloatArray]]:
    """Return unit and values of every measure, in the order of the numbers."""
    given = {replication.number: replication.values for replication in runs.finished}
    table = np.array([given[number] for number in numbers], dtype=np.float64).reshape(len(numbers), -1)
    return {Measure(*label[:3]): (label.unit, table[:, column]) for column, label in enumerate(runs.labels)}
