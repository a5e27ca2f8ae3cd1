"""The answer of a run: a table of measures, and everything needed to get the same one again."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from linesim.answers.card import Convergence
from linesim.answers.values import Estimate
from linesim.measures import SEGMENT
from linesim.runs.replication import Label, Replication, column_of, unknown
from linesim.runs.rows import Row, row_of, rows_of

if TYPE_CHECKING:
    import pandas as pd


SCHEMA_VERSION = 1  #: Of the JSON document; rises when a key changes its meaning or goes.


@dataclass(frozen=True, slots=True)
class ScenarioCard:
    """Which scenario was run.

    Attributes:
        title: Its title.
        file: Name of its file, without folders; empty if it came from no file.
        fingerprint: Digest of everything that determines its numbers.
        changes: Lines of TOML laid over it.
        warnings: What `check` has to say about it that bears on the figures.
    """

    title: str
    file: str
    fingerprint: str
    changes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RunCard:
    """How it was run.

    Attributes:
        seed: Seed of all draws.
        numbers: Replications that finished.
        lost: Replications whose worker process died whenever they ran; normally none.
        confidence: Confidence of the intervals.
        warm_up_s, length_s: Time before measuring, and measured [s].
        shift_min: Working time of an average shift [min].
        target: Jobs per shift that the plan asks for, None if it asks for none.
        sections: Names of the sections, in the order of `Shift.stop_min`.
        versions: Versions of the program and of what can move a digit.
    """

    seed: int
    numbers: tuple[int, ...]
    lost: tuple[int, ...]
    confidence: float
    warm_up_s: float
    length_s: float
    shift_min: float
    target: float | None
    sections: tuple[str, ...]
    versions: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, repr=False)
class Result:
    """What a run of a scenario says.

    Attributes:
        scenario: Which scenario.
        run: How it was run.
        labels: Names of the figures of each replication.
        replications: The figures themselves.
        measures: The table: one row a figure, with its interval.
        convergence: How a figure became sharp, if the number of replications followed from that.
    """

    scenario: ScenarioCard
    run: RunCard
    labels: tuple[Label, ...]
    replications: tuple[Replication, ...]
    measures: tuple[Row, ...]
    convergence: Convergence | None = None

    @classmethod
    def of(
        cls,
        scenario: ScenarioCard,
        run: RunCard,
        labels: tuple[Label, ...],
        finished: tuple[Replication, ...],
    ) -> Result:
        """Return the result of finished replications, at least one."""
        rows = rows_of(labels, finished, run.confidence, target=run.target)
        return cls(scenario, run, labels, finished, rows)

    def __repr__(self) -> str:
        run, name = self.run, self.scenario.title or self.scenario.file or "a line"
        return (
            f"<result of {name[:60]}: {len(run.numbers)} replications with seed {run.seed}, "
            f"{len(self.measures)} measures>"
        )

    def row(self, measure: str, where: str = SEGMENT, cause: str = "") -> Row:
        """Return one row of the table.

        Raises:
            KeyError: If there is no such row; the message lists the measures, or the places of this one.
        """
        for row in self.measures:
            if row[:3] == (measure, where, cause):
                return row
        alike = [row for row in self.measures if row.measure == measure]
        raise KeyError(unknown((measure, where, cause), self.measures, alike))

    def rows(self, measure: str) -> tuple[Row, ...]:
        """Return all rows of a measure, in the order of the table."""
        return tuple(row for row in self.measures if row.measure == measure)

    def estimate(self, measure: str, where: str = SEGMENT, cause: str = "") -> Estimate:
        """Return one row of the table as answers have it, see `row`."""
        return self.estimate_of(self.row(measure, where, cause))

    def estimate_of(self, row: Row) -> Estimate:
        """Return a row as answers have it, with the confidence of the run."""
        return replace(row.estimate, confidence=self.run.confidence)

    def values(self, measure: str, where: str = SEGMENT, cause: str = "") -> tuple[float | None, ...]:
        """Return a figure of each replication, in the order of their numbers.

        Raises:
            KeyError: If replications have no such figure.
        """
        column = column_of(self.labels, measure, where, cause)
        return tuple(r.values[column] for r in self.replications)

    @property
    def table(self) -> pd.DataFrame:
        """The table of measures as a pandas frame, one row a figure."""
        import pandas as pd

        return pd.DataFrame(list(self.measures), columns=list(Row._fields))

    def to_json(self) -> str:
        """Return the result as one JSON object; the same input and seed give the same bytes."""
        return json.dumps(self.as_dict(), indent=2, ensure_ascii=False, allow_nan=False) + "\n"

    def as_dict(self) -> dict[str, Any]:
        """Return what `to_json` writes, as plain dictionaries, lists, texts and numbers."""
        scenario, run = self.scenario, self.run
        return {
            "schema_version": SCHEMA_VERSION,
            "scenario": {
                "title": scenario.title,
                "file": scenario.file,
                "fingerprint": scenario.fingerprint,
                "changes": list(scenario.changes),
            },
            "warnings": list(scenario.warnings),
            "run": {
                "seed": run.seed,
                "replications": len(run.numbers),
                "numbers": list(run.numbers),
                "lost": list(run.lost),
                "confidence": run.confidence,
                "warm_up_s": run.warm_up_s,
                "length_s": run.length_s,
                "shift_min": run.shift_min,
                "target": run.target,
                "versions": dict(run.versions),
            },
            "measures": [row._asdict() for row in self.measures],
            **({} if self.convergence is None else {"convergence": self.convergence.as_dict()}),
        }

    def _repr_html_(self) -> str:
        """Show the table in a notebook."""
        return str(self.table.to_html(index=False, na_rep="", float_format=lambda x: f"{x:.4g}"))


def together(result: Result, measure: str, where: str, belongs: Callable[[str], bool]) -> Row:
    """Return the row of the sum of the causes or states of ``where`` that ``belongs`` picks.

    Summed in each replication and then averaged: the parts go up and down together, so the
    interval of the sum does not follow from theirs.
    """
    columns = [
        column
        for column, label in enumerate(result.labels)
        if label[:2] == (measure, where) and belongs(label.cause)
    ]
    sums = []
    for replication in result.replications:
        given = [value for column in columns if (value := replication.values[column]) is not None]
        if given:
            sums.append(sum(given))
    unit = result.labels[columns[0]].unit if columns else ""
    return row_of(Label(measure, where, "", unit), sums, result.run.confidence)
