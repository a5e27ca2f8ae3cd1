"""The answer of a run as a document: what a planner reads first, its tables, and the figures behind them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from linesim.answers.card import CaseCard, StudyCard
from linesim.answers.document import Document
from linesim.answers.measure import Measure
from linesim.answers.table import Column, Table
from linesim.measures import SEGMENT
from linesim.plan.build import build
from linesim.plan.plan import Plan
from linesim.questions.cautions import CAUTION
from linesim.questions.decision import decision_of
from linesim.questions.run import RunQuestion
from linesim.questions.run.parts import run_parts
from linesim.questions.run.sentences import answer as sentences
from linesim.questions.run.sentences import uncalled
from linesim.runs.cases import CaseRuns
from linesim.runs.result import Result
from linesim.runs.rows import Row

if TYPE_CHECKING:
    import pandas as pd

    from linesim.answers.decision import CaseDecision
    from linesim.scenario import Scenario


@dataclass(frozen=True, slots=True, repr=False, kw_only=True)
class RunAnswer(Document):
    """The answer of a run; its JSON object is that of the result.

    Attributes:
        plan: The line.
        result: The measures, and the replications behind them.

    Examples:
        >>> import linesim
        >>> answer = linesim.simulate(linesim.example(), replications=2)
        >>> list(answer.tables)
        ['measures', 'replications', 'shifts']
        >>> answer.row("crew_busy", "cab").replications
        2
        >>> answer.replications.shape[0], len(answer.frame("shifts"))
        (2, 10)
        >>> answer.row("crew_bsy", "cab")
        Traceback (most recent call last):
        ...
        KeyError: "no measure 'crew_bsy'; did you mean crew_busy?"
    """

    plan: Plan
    result: Result

    def row(self, measure: str, where: str = SEGMENT, cause: str = "") -> Row:
        """Return a measure with its interval, see `Result.row`."""
        return self.result.row(measure, where, cause)

    def values(self, measure: str, where: str = SEGMENT, cause: str = "") -> tuple[float | None, ...]:
        """Return a figure of each replication, see `Result.values`."""
        return self.result.values(measure, where, cause)

    @property
    def replications(self) -> pd.DataFrame:
        """The figures of the replications as a frame: a row each, by number, and a column a measure."""
        import pandas as pd

        finished = self.result.replications
        return pd.DataFrame(
            [one.values for one in finished],
            index=pd.Index([one.number for one in finished], name="replication"),
            columns=[str(Measure(*label[:3])) for label in self.result.labels],
        )

    def as_dict(self) -> dict[str, Any]:
        """Return the result as plain dictionaries, lists, texts and numbers."""
        return self.result.as_dict()

    def files(self) -> dict[str, str]:
        """Return what a folder of results holds: each table as CSV, and the JSON object."""
        texts = {f"{table.name}.csv": table.to_csv() for table in self.tables_}
        return {**texts, "result.json": self.to_json()}


def answer_of(asked: RunQuestion, scenario: Scenario, runs: CaseRuns) -> RunAnswer:
    """Return what the replications of the one case of ``runs`` say."""
    (case,) = runs.cases
    result = runs.result(case.name, asked.confidence, file=asked.file)
    found = document_of(build(scenario), result, decision_of(result, scenario))
    return replace(
        found,
        sentences=(*found.sentences, *uncalled(scenario, runs, case.name)),
        card=runs.card(asked.confidence, file=asked.file),
        asked=asked.echo(),
    )


def document_of(plan: Plan, result: Result, decision: CaseDecision | None = None) -> RunAnswer:
    """Return a result as an answer: its sentences, tables and parts.

    Args:
        plan: The line.
        result: What came of its replications.
        decision: What the run says of the plan and of money.
    """
    shown, parts = run_parts(plan, result)
    line, run = result.scenario, result.run
    case = CaseCard(line.title or "the scenario", line.fingerprint, line.changes, len(run.numbers))
    return RunAnswer(
        study="run",
        sentences=sentences(result),
        tables_=tuple(data_tables(result)),
        parts=parts,
        cautions=(CAUTION,),
        card=StudyCard(
            line.title, line.file, run.seed, run.confidence, (case,),
            tuple((case.name, number) for number in run.lost), run.versions,
            () if result.convergence is None else (result.convergence,), line.warnings,
        ),
        shown_=shown,
        decision=decision,
        plan=plan,
        result=result,
    )  # fmt: skip


def data_tables(result: Result) -> Iterator[Table]:
    """Yield every figure with its interval, every figure of each replication, and every whole shift."""
    measure, unit = Column("measure", "measure"), Column("unit")
    rows: Iterator[dict[str, Any]] = (
        {"measure": Measure(*row[:3]), "unit": row.unit, "mean": result.estimate_of(row)}
        for row in result.measures
    )
    columns: tuple[Column, ...] = (measure, unit, Column("mean", "estimate"))
    yield Table.of("measures", columns, rows, "Every figure with its interval.", keys=("measure",))
    rows = (
        {"replication": one.number, "measure": Measure(*label[:3]), "unit": label.unit, "value": value}
        for one in result.replications
        for label, value in zip(result.labels, one.values, strict=True)
    )
    columns = (Column("replication", "count"), measure, unit, Column("value", "number"))
    says = "Every figure of every replication."
    yield Table.of("replications", columns, rows, says, keys=("replication", "measure"))
    stops = [Column(f"stop_min_{name}", "number") for name in result.run.sections]
    rows = (
        {"replication": one.number, "shift": number, "jobs": shift.jobs, "reworked": shift.reworked,
         **{column.name: minutes for column, minutes in zip(stops, shift.stop_min, strict=True)}}
        for one in result.replications
        for number, shift in enumerate(one.shifts, start=1)
    )  # fmt: skip
    columns = (*(Column(name, "count") for name in ("replication", "shift", "jobs", "reworked")), *stops)
    says = "Every whole shift of every replication."
    yield Table.of("shifts", columns, rows, says, keys=("replication", "shift"))
