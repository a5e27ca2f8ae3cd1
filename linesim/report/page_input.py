"""Everything that a page about a line tells of: the run, the line itself, what was asked and assumed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from linesim.answers.document import Grid, View
from linesim.answers.grid import crossed
from linesim.answers.table import Column
from linesim.capacity.loads import Loads
from linesim.plan.plan import Plan
from linesim.plan.tables import FREE, INDEXED
from linesim.questions.explain.work import Assumption, Chapter
from linesim.questions.run.answer import RunAnswer
from linesim.questions.run.page_only import pacing_word, sections_along
from linesim.report.table import PageTable, folded, grid_table, view_table
from linesim.runs.result import Result
from linesim.ticks import seconds


@dataclass(frozen=True)
class Told:
    """What a page is made from.

    Attributes:
        answer: The answer of the run: line, figures, sentences, tables, what it says of plan and money.
        asked: What is asked, as pairs of heading and text: question, decision, who asks, when.
        note: What else a reader should know, in the scenario's own words.
        assumptions: Inputs and how well they are known, guesses first.
        walk: The line read back in sentences.
        command: How to make the page again.
    """

    answer: RunAnswer
    asked: tuple[tuple[str, str], ...] = ()
    note: str = ""
    assumptions: tuple[Assumption, ...] = ()
    walk: tuple[Chapter, ...] = ()
    command: str = ""

    @property
    def plan(self) -> Plan:
        """The line."""
        return self.answer.plan

    @property
    def result(self) -> Result:
        """The figures."""
        return self.answer.result

    @cached_property
    def loads(self) -> Loads:
        """Work against takt, without simulating."""
        return Loads(self.plan)

    def view(self, name: str) -> PageTable | None:
        """Return a table of the answer as its part shows it; None if there is none.

        Where a terminal tells an estimate in one cell, its interval stands in a cell of its own.
        """
        for part in self.answer.parts:
            if isinstance(part, Grid) and part.table == name:
                return folded(grid_table(part, crossed(part, self.answer.rows_of(name))))
            if isinstance(part, View) and part.table == name:
                (table,) = (one for one in self.answer.shown_ if one.name == name)
                view = replace(part, columns=tuple(map(_with_interval, table.columns)))
                return folded(view_table(view, list(table)), part.most)
        return None

    @property
    def shift_min(self) -> float:
        """Working time of an average shift [min]."""
        return self.result.run.shift_min

    @cached_property
    def stations(self) -> tuple[tuple[str, str, tuple[str, ...]], ...]:
        """Sections with their pacing and stations, in line order: the main line, then the feeders."""
        number = {name: s for s, name in enumerate(self.plan.names.section)}
        return tuple(
            (section, pacing_word(self.plan, number[section]), stations)
            for section, stations in sections_along(self.plan)
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
