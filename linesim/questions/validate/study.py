"""`validate`: the study."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Unpack

import numpy as np

from linesim.errors import WrongQuestionError
from linesim.plan.arrays import FloatArray
from linesim.questions.answer import Answer
from linesim.questions.validate.actuals import (
    JOBS,
    STOPS,
    Actuals,
    RecordColumn,
    given_actuals,
    read_actuals,
)
from linesim.questions.validate.judged import CANT_TELL, PLAUSIBLE, TOO_BAD, TOO_GOOD, Judged, judge
from linesim.questions.validate.sentences import cautions, sentences
from linesim.questions.validate.tables import figures_table, shifts_table
from linesim.runs.cases import Case, CaseRuns, run_cases
from linesim.runs.replication import Shift
from linesim.runs.run_options import How

if TYPE_CHECKING:
    from linesim.scenario import Scenario

LINE = "line"
WITHIN = 0.02  #: Share of the plant's jobs from which on a difference matters, where nobody says.


@dataclass(frozen=True, slots=True)
class Validation(Answer):
    """Whether the simulated line looks like the plant. Never that it is valid.

    Attributes:
        actuals: The plant's records.
        figures: What each recorded figure says.
        verdict: ``plausible`` if nothing speaks against the line, ``too good`` or ``too bad`` if something
            does, ``too good and too bad`` if both do, ``can't tell`` if the records are too few.
    """

    actuals: Actuals
    figures: tuple[Judged, ...]
    verdict: str

    def figure(self, name: str) -> Judged:
        """Return what one recorded figure says, by its heading.

        Raises:
            KeyError: If there was no such column.
        """
        for judged in self.figures:
            if judged.column.name == name:
                return judged
        raise KeyError(f"no column {name!r}; there are {', '.join(j.column.name for j in self.figures)}")


def validate(
    scenario: Scenario,
    actuals: str | os.PathLike[str] | Mapping[str, Sequence[float]],
    *,
    within: float = WITHIN,
    replications: int | None = None,
    seed: int | None = None,
    confidence: float = 0.95,
    file: str = "",
    **how: Unpack[How],
) -> Validation:
    """Hold the plant's own shift records against the simulated line.

    Args:
        scenario: The line.
        actuals: CSV file or workbook with one row a shift and columns ``jobs``, ``stop_min`` (or
            ``stop_min_SECTION``), ``reworked`` and, if wanted, ``shift``; or such columns themselves.
        within: Share of the plant's jobs from which on a difference matters, between 0 and 1; for stop
            minutes and reworked jobs five times that share.
        replications: How many; None takes what the scenario says.
        seed: Seed of all draws; None takes what the scenario says.
        confidence: Confidence with which all comparisons hold together.
        file: Name of the scenario's file, for the answer to carry.
        how: How replications are run, such as ``workers=4``; see `linesim.runs.run_options.How`.

    Raises:
        ScenarioError: With everything that is wrong in the table.
        WrongQuestionError: If the run holds no whole shift, or there is nothing to compare.
        LineStuck: If the line can no longer move.

    Examples:
        >>> from linesim import load
        >>> validate(load("line.toml"), "actuals.csv").sentences  # doctest: +SKIP
    """
    if not 0 < within < 1:
        raise WrongQuestionError(f"a difference matters from some share of the jobs on, found {within:g}.")
    if isinstance(actuals, Mapping):
        records = given_actuals(actuals, scenario)
    else:
        records = read_actuals(actuals, scenario)
    runs = run_cases([Case(LINE, scenario)], replications=replications, seed=seed, **how)
    n = len(records.columns)
    simulated = {column.name: _simulated(runs, scenario, column) for column in records.columns}
    figures = tuple(
        judge(column, simulated[column.name], within=within, confidence=confidence, comparisons=n)
        for column in records.columns
    )
    result = runs.result(LINE, confidence, file=file)
    return Validation(
        study="validate",
        sentences=sentences(scenario, records, figures, overall(figures), result),
        tables_=(figures_table(figures), shifts_table(records, simulated)),
        cautions=cautions(records, result),
        card=runs.card(confidence, file=file),
        actuals=records,
        figures=figures,
        verdict=overall(figures),
    )


def overall(figures: Sequence[Judged]) -> str:
    """Return the verdict on all figures together."""
    found = {judged.verdict for judged in figures}
    if TOO_GOOD in found and TOO_BAD in found:
        return f"{TOO_GOOD} and {TOO_BAD}"
    for verdict in (TOO_GOOD, TOO_BAD):
        if verdict in found:
            return verdict
    return PLAUSIBLE if PLAUSIBLE in found else CANT_TELL


def _simulated(runs: CaseRuns, scenario: Scenario, column: RecordColumn) -> FloatArray:
    """Return a figure of every whole simulated shift, shape ``(replications, shifts)``."""
    finished = runs.found[LINE].finished
    if not finished[0].shifts:
        raise WrongQuestionError(
            "the run holds no whole shift to compare with one of the plant's; measure at least one shift "
            '([run] length = "5 shifts").'
        )
    place = list(scenario.section).index(column.section) if column.kind == STOPS else 0

    def figure(shift: Shift) -> float:
        if column.kind == STOPS:
            return shift.stop_min[place]
        return float(shift.jobs if column.kind == JOBS else shift.reworked)

    return np.array([[figure(shift) for shift in one.shifts] for one in finished], dtype=np.float64)
