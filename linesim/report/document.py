"""An answer as the parts of a page: its views as tables, its charts drawn, its grids shaded."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import chain
from types import MappingProxyType

from linesim.answers import table as answers
from linesim.answers.document import Chart, Document, Grid, Heading, View, Words
from linesim.answers.grid import crossed
from linesim.answers.readable import readable
from linesim.answers.values import Change, Estimate
from linesim.report.charts.curves import averages, curves, frontier, plant
from linesim.report.charts.fit import fitted
from linesim.report.charts.forest import ForestMark, ForestRow, forest
from linesim.report.charts.piles import balance_of
from linesim.report.figure import Figure
from linesim.report.parts import Fold, Listed, PageHeading, PageWords, Part
from linesim.report.table import PageTable, folded, grid_table, view_table

Piece = Figure | PageTable | Part | str  #: What an answer is drawn and told with.


def document_pieces(answer: Document) -> tuple[Piece, ...]:
    """Return the parts of an answer in their order, in a reader's words, all its tables last."""
    answer = readable(answer)
    found = tuple(chain.from_iterable(_pieces(answer, part) for part in answer.parts))
    whole = tuple(
        Listed(page_table(answer, View(table.name, table.says or table.name.replace("_", " "), _flat(table))))
        for table in answer.tables_
        if len(table)
    )
    return (*found, Fold("All tables of the study, as it wrote them", whole)) if whole else found


def _pieces(answer: Document, part: object) -> Iterator[Piece]:
    if isinstance(part, Heading):
        yield PageHeading(part.text)
    elif isinstance(part, Words):
        yield PageWords(part.texts, is_list=part.hangs, is_verbatim=part.is_verbatim)
    elif isinstance(part, View):
        if answer.rows(part):
            yield folded(page_table(answer, part), part.most)
    elif isinstance(part, Grid):
        grid = crossed(part, answer.rows_of(part.table))
        if len(grid.heads) > 1:
            yield folded(grid_table(part, grid))
    elif isinstance(part, Chart):
        drawn = DRAWN[part.kind](answer, part)
        if drawn is not None:
            yield drawn
        elif answer.rows(part.view):  # a drawing of one dot says less than its numbers
            yield page_table(answer, part.view)


def page_table(answer: Document, view: View) -> PageTable:
    """Return a view as a table of a page."""
    return view_table(view, answer.rows(view))


def _flat(table: answers.Table) -> tuple[answers.Column, ...]:
    """Return the columns of a table with all that is known of an estimate."""
    usual = ("mean", "interval", "n")
    return tuple(
        answers.Column(
            c.name, c.kind, c.head, c.unit, c.flat, (*usual, "verdict") if c.kind == "change" else usual
        )
        for c in table.columns
    )


def forest_of(answer: Document, chart: Chart) -> Figure | None:
    """Return changes with their intervals against a line at nothing; None without any.

    The largest leads, unless the order of the rows says something; both ends of an input share a line.
    """
    columns = chart.value.split()
    heads = {column.name: column.heading for column in chart.view.columns}
    lines = []
    for row in answer.rows(chart.view):
        marks = []
        for column in columns:
            found = row[column]
            if isinstance(found, Estimate) and found.mean is not None:
                verdict, what = "", heads[column] if len(columns) > 1 else ""
                if isinstance(found, Change):
                    verdict = found.verdict
                else:
                    found = Change(found.mean, found.low, found.high, n=found.n, unit=found.unit)
                shown = found.scaled(100.0, "%") if found.unit == "share" else found
                marks.append(ForestMark(shown, verdict, what))
        if marks:
            lines.append(ForestRow(chart.label.format_map(row), tuple(marks)))
    if not chart.is_ordered:
        lines.sort(key=lambda line: -line.size)
    title = chart.view.title[0].upper() + chart.view.title[1:]
    return forest(chart.name, title, chart.says, chart.unit, lines)


def _with_numbers(
    draw: Callable[[Document, Chart, PageTable], Figure | None],
) -> Callable[[Document, Chart], Figure | None]:
    """Return what draws a chart whose numbers are its view as a table."""
    return lambda answer, chart: draw(answer, chart, page_table(answer, chart.view))


#: How each kind of chart is drawn; a new kind is a function and a line here.
DRAWN: Mapping[str, Callable[[Document, Chart], Figure | None]] = MappingProxyType(
    {
        "forest": forest_of,
        "balance": balance_of,
        "averages": _with_numbers(averages),
        "curves": _with_numbers(curves),
        "fit": _with_numbers(fitted),
        "frontier": _with_numbers(frontier),
        "plant": _with_numbers(plant),
    }
)
