"""`validate`: each recorded figure against the simulated one, and where to look if they differ."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from linesim.answers.document import Chart, Document, Part, View
from linesim.answers.table import Column, Table
from linesim.errors import WrongQuestionError
from linesim.plan.tables import FloatArray
from linesim.questions.validate import Validate
from linesim.questions.validate.judged import (
    CANT_TELL,
    JOBS,
    PLAUSIBLE,
    STOPS,
    TOO_BAD,
    TOO_GOOD,
    Actuals,
    Judged,
    RecordColumn,
    given_actuals,
    judge,
    read_actuals,
    singles,
)
from linesim.questions.validate.sentences import cautions, sentences
from linesim.runs.cases import Case, CaseRuns
from linesim.runs.replication import Shift
from linesim.scenario import Scenario

LINE = "line"


def study(asked: Validate, scenario: Scenario) -> Document:
    """Return whether the simulated line looks like the plant; never that it is valid.

    Raises:
        ScenarioError: With everything that is wrong in the table.
        WrongQuestionError: If the run holds no whole shift, or there is nothing to compare.
    """
    if isinstance(asked.actuals, Mapping):
        records = given_actuals(asked.actuals, scenario)
    else:
        records = read_actuals(asked.actuals, scenario)
    runs = asked.run([Case(LINE, scenario)])
    n = len(records.columns)
    simulated = {column.name: _simulated(runs, scenario, column) for column in records.columns}
    figures = tuple(
        judge(column, simulated[column.name], within=asked.within, confidence=asked.confidence, comparisons=n)
        for column in records.columns
    )
    result = runs.result(LINE, asked.confidence, file=asked.file)
    verdict = overall(figures)
    tables = (_figures_table(figures), _shifts_table(records, simulated))
    return asked.told(
        asked.card(runs),
        sentences(scenario, records, figures, verdict, result),
        tables,
        _parts(figures, *tables),
        cautions(records, result),
        is_refusal=asked.must_hold and verdict != PLAUSIBLE,
    )


def overall(figures: Sequence[Judged]) -> str:
    """Return the verdict on all figures together.

    ``plausible`` if nothing speaks against the line, ``too good`` or ``too bad`` if something does, ``too
    good and too bad`` if both do, ``can't tell`` if the records are too few.
    """
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


_RANGE = Column(
    "singles", "estimate", flat="low=p10 mean=p50 high=p90", faces=("interval=8 simulated in 10",)
)  #: The range of single simulated shifts.


def _figures_table(figures: Sequence[Judged]) -> Table:
    levels = "before=plant_mean after=line_mean mean=difference low high n method confidence"
    columns = (
        Column("figure", head=""), Column("plant_shifts", "count", "shifts"),
        Column("difference", "change", flat=levels,
               faces=("before=plant", "after=line", "mean=difference", "interval")),
        Column("matters_from", "number", "matters"), Column("verdict", head=""), _RANGE,
        Column("plant_shifts_inside", "count", "inside"), Column("plant_share_inside", "share", "inside, %"),
        Column("line_share_inside", "share", "should be, %"), Column("scatter"),
    )  # fmt: skip
    says = "Simulated line minus plant; p10 to p90 holds eight single shifts in ten."
    return Table.of("figures", columns, figures, says)


def _shifts_table(records: Actuals, simulated: Mapping[str, FloatArray]) -> Table:
    """Return each shift of the plant beside the simulated range, and which share of them is no higher."""
    columns = (
        Column("figure"), Column("shift"), Column("plant", "number"), _RANGE,
        Column("line_share_at_most", "share", "simulated at most that, %"),
    )  # fmt: skip
    rows = (
        {"figure": column.name, "shift": label, "plant": value, "singles": singles(simulated[column.name]),
         "line_share_at_most": float(np.mean(simulated[column.name] <= value))}
        for column in records.columns
        for label, value in zip(column.shifts, column.values, strict=True)
    )  # fmt: skip
    says = "The plant's shifts against single simulated ones."
    return Table.of("shifts", columns, rows, says, keys=("figure", "shift"))


def _parts(figures: Sequence[Judged], means: Table, shifts: Table) -> list[Part]:
    counts = "; ".join(f"{j.figure}: {j.plant_shifts_inside} of {j.plant_shifts}" for j in figures)
    says = (
        "One dot a shift of the plant, in the order of the records; eight simulated shifts in ten lie in the "
        f"grey band. Filled dots lie outside it. Inside are {counts}."
    )
    title = "The plant's shifts beside simulated ones"
    view = View("shifts", title, shifts.columns, only_page=True)
    parts: list[Part] = [Chart("plant", "plant", says, view, "plant", "{shift}")]
    of = {column.name: column for column in means.columns}
    for title, names, note in (
        (
            "A shift, on average", ("figure", "difference", "matters_from", "verdict"),
            "The differences hold together.",
        ),
        (
            "Single shifts",
            ("figure", "singles", "plant_shifts", "plant_share_inside", "line_share_inside", "scatter"),
            "'should be': as often as simulated shifts are inside.",
        ),
    ):  # fmt: skip
        parts.append(View("figures", title, tuple(of[name] for name in names), note=note))
    return parts
