"""Everything that a page about a line tells of: the run, the line itself, what was asked and assumed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from linesim.answers.decision import CaseDecision
from linesim.answers.document import Part, View
from linesim.answers.table import Column, Table
from linesim.capacity.loads import Loads
from linesim.plan.plan import Plan
from linesim.plan.tables import FREE, INDEXED, SECTION
from linesim.questions.explain.work import Assumption, Chapter
from linesim.questions.run.parts import run_parts
from linesim.report.table import PageTable, folded, view_table
from linesim.runs.result import Result
from linesim.ticks import seconds


@dataclass(frozen=True)
class Told:
    """What a page is made from.

    Attributes:
        plan: The line.
        result: The run.
        asked: What is asked, as pairs of heading and text: question, decision, who asks, when.
        note: What else a reader should know, in the scenario's own words.
        assumptions: Inputs and how well they are known, guesses first.
        walk: The line read back in sentences.
        command: How to make the page again.
        decision: What the run says of the plan and of money.
    """

    plan: Plan
    result: Result
    asked: tuple[tuple[str, str], ...] = ()
    note: str = ""
    assumptions: tuple[Assumption, ...] = ()
    walk: tuple[Chapter, ...] = ()
    command: str = ""
    decision: CaseDecision | None = None

    @cached_property
    def loads(self) -> Loads:
        """Work against takt, without simulating."""
        return Loads(self.plan)

    @cached_property
    def parts(self) -> tuple[tuple[Table, ...], tuple[Part, ...]]:
        """The tables of the run's answer and its parts, as a terminal shows them."""
        return run_parts(self.plan, self.result)

    def view(self, name: str) -> PageTable | None:
        """Return a table of the run's answer with the interval of every estimate; None if there is none."""
        tables, parts = self.parts
        for table in tables:
            if table.name == name:
                shown = next(part for part in parts if isinstance(part, View) and part.table == name)
                view = replace(shown, columns=tuple(map(_with_interval, table.columns)))
                return folded(view_table(view, list(table)), shown.most)
        return None

    @property
    def shift_min(self) -> float:
        """Working time of an average shift [min]."""
        return self.result.run.shift_min

    @cached_property
    def stations(self) -> tuple[tuple[str, str, tuple[str, ...]], ...]:
        """Sections with their pacing and stations, in line order: the main line, then the feeders."""
        plan = self.plan
        flows = (plan.flow, *plan.feeders.flows)
        order = [
            int(i) for flow in flows for kind, i in zip(flow.kind, flow.index, strict=True) if kind == SECTION
        ]
        order += [s for s in range(len(plan.names.section)) if s not in order]
        return tuple(
            (
                plan.names.section[s],
                {FREE: "free", INDEXED: "indexed"}.get(int(plan.sections.pacing[s]), "moving"),
                tuple(plan.names.station[k] for k in plan.sections.stations[s].tolist()),
            )
            for s in order
        )

    @property
    def has_interval(self) -> bool:
        """Whether there is more than one replication."""
        return len(self.result.run.numbers) > 1


def _with_interval(column: Column) -> Column:
    """Return a column that shows an estimate beside its interval, where it was told in one cell."""
    narrow = {"short", "plus minus", "both"}
    return replace(column, faces=("mean", "interval")) if narrow & set(column.faces) else column


def pacing_in_words(plan: Plan, section: int) -> str:
    """Return how a section moves, and its takt."""
    pacing, takt = int(plan.sections.pacing[section]), seconds(int(plan.sections.takt[section]))
    if pacing == FREE:
        return "free, each station hands on by itself"
    if pacing == INDEXED:
        moves = seconds(int(plan.sections.transfer[section]))
        return f"indexed, takt {takt:g} s{f', of which {moves:g} s move' if moves else ''}"
    return f"moving, takt {takt:g} s"
