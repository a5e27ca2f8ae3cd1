"""`compare`: the study."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Unpack

from linesim.scenario.replace import Changes
from linesim.studies.answer import Answer
from linesim.studies.answer_table import AnswerTable
from linesim.studies.asked import Asked, asked, main_figure
from linesim.studies.cases import Case, CaseRuns, run_cases
from linesim.studies.cautions import cautions_on
from linesim.studies.changes import Change, changes_between, changes_table
from linesim.studies.comparison.asked_cases import cases_against
from linesim.studies.comparison.rows import DifferenceRow, difference_rows, shared_figures
from linesim.studies.comparison.sentences import sentences
from linesim.studies.how import How
from linesim.studies.rows import Row

if TYPE_CHECKING:
    from linesim.scenario import Scenario

BASE = "base"  #: Name of the base where it has no other.

#: Parts of other figures, for drawings: a difference of them would only widen the intervals of all others.
_PARTS = frozenset({"operator_load", "bay_by_hour"})


@dataclass(frozen=True, slots=True)
class Comparison(Answer):
    """What some cases do that the base does not.

    Attributes:
        base: Name of the base.
        figure: The figure that decides.
        differences: Every figure of every case against the base: the one that decides, then what a planner
            looks at next, then all others but what is part of them.
        changes: What differs in the input, by case.
    """

    base: str
    figure: Asked
    differences: tuple[DifferenceRow, ...]
    changes: tuple[tuple[str, tuple[Change, ...]], ...]

    def difference(self, case: str, figure: Asked | str | None = None) -> DifferenceRow:
        """Return one difference.

        Args:
            case: Name of the case.
            figure: Which figure, such as ``"line_stop:trim"``; None takes the one that decides.

        Raises:
            KeyError: If there is no such case or figure.
        """
        wanted = asked(figure) if isinstance(figure, str) else figure or self.figure
        for row in self.differences:
            if row.case == case and row.figure == wanted:
                return row
        raise KeyError(f"no difference of {wanted} for a case {case!r}")


def compare(
    base: Scenario,
    others: Mapping[str, Scenario | Changes] | Sequence[Scenario | Changes | Case],
    *,
    on: str | None = None,
    replications: int | None = None,
    seed: int | None = None,
    confidence: float = 0.95,
    base_name: str = BASE,
    file: str = "",
    **how: Unpack[How],
) -> Comparison:
    """Compare cases with a base over common draws.

    Args:
        base: The line as it is.
        others: What it is compared with: scenarios, or changes of the base such as
            ``{"crew.cab.people": 6}``; a mapping gives them names.
        on: The figure that decides, such as ``"throughput"`` or ``"line_stop:trim"``; None means jobs per
            shift, or jobs per hour where the run holds no whole shift.
        replications: How many of each; None takes what the base says.
        seed: Seed of all draws; None takes what the base says.
        confidence: Confidence with which all comparisons on the deciding figure hold together.
        base_name: What the answer calls the base.
        file: Name of the base's file, for the answer to carry.
        how: How replications are run, such as ``workers=4``; see `linesim.studies.how.How`.

    Raises:
        ScenarioError: If a change is wrong.
        WrongQuestionError: If there is nothing to compare, or no such figure.
        LineStuck: If a line can no longer move.

    Examples:
        >>> from linesim import load
        >>> compare(load("line.toml"), {"one more": {"crew.cab.people": 6}}).sentences  # doctest: +SKIP
    """
    wanted = None if on is None else asked(on)
    cases = (Case(base_name, base), *cases_against(base, others))
    runs = run_cases(cases, replications=replications, seed=seed, **how)
    return comparison_of(runs, wanted, confidence=confidence, file=file)


def comparison_of(
    runs: CaseRuns, wanted: Asked | None = None, *, confidence: float = 0.95, file: str = ""
) -> Comparison:
    """Return the comparison of replications that are there already; the first case is the base."""
    base, *others = runs.names
    figure = main_figure(runs, wanted)
    rows = _differences(runs, figure, confidence)
    changes = tuple(
        (name, changes_between(runs.case(base).scenario, runs.case(name).scenario)) for name in others
    )
    return Comparison(
        study="compare",
        sentences=sentences(runs, figure, rows, changes, confidence),
        tables_=(_table(rows), _levels(runs, figure, confidence), changes_table(dict(changes))),
        cautions=cautions_on(change.path for _, found in changes for change in found),
        card=runs.card(confidence, file=file),
        base=base,
        figure=figure,
        differences=rows,
        changes=changes,
    )


def headline(runs: CaseRuns, figure: Asked) -> tuple[Asked, ...]:
    """Return what a planner looks at next to the figure that decides."""
    flat = ("jobs_per_shift", "throughput", "plan_met", "lead_time", "in_progress", "first_time_through")
    wanted = [Asked(measure) for measure in flat[:3]]
    wanted += [f for f in shared_figures(runs, runs.names) if f.measure == "line_stop" and not f.cause]
    wanted += [Asked(measure) for measure in flat[3:]]
    return tuple(item for item in wanted if item != figure)


def _differences(runs: CaseRuns, figure: Asked, confidence: float) -> tuple[DifferenceRow, ...]:
    """Return all differences, each family of them holding together with the confidence."""
    base, *others = runs.names
    first = headline(runs, figure)
    rest = tuple(
        f
        for f in shared_figures(runs, runs.names)
        if f != figure and f not in first and f.measure not in _PARTS
    )
    families = ((figure,), first, rest)
    return tuple(
        row
        for family in families
        for name in others
        for row in difference_rows(
            runs, base, name, family, confidence=confidence, comparisons=max(1, len(family)) * len(others)
        )
    )


def _table(rows: tuple[DifferenceRow, ...]) -> AnswerTable:
    return AnswerTable.of(
        "differences", DifferenceRow._fields, rows, "Each case minus the base, paired over common draws."
    )


def _levels(runs: CaseRuns, figure: Asked, confidence: float) -> AnswerTable:
    """Return what each case gives by itself, with the range of a single shift."""
    rows = []
    for name in runs.names:
        result = runs.result(name, confidence)
        wanted = [figure, *headline(runs, figure)]
        named = {row[:3]: row for row in result.measures}
        percentiles = [Asked("jobs_per_shift_p10"), Asked("jobs_per_shift_p90")]
        rows += [(name, *named[item]) for item in (*wanted, *percentiles) if item in named]
    return AnswerTable.of("levels", ("case", *Row._fields), rows, "Each case by itself.")
