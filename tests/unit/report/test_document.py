"""An answer as the parts of a page: views, drawings, selectors over stored cases."""

from dataclasses import replace

import pytest

import linesim
from linesim.answers.card import CaseCard, StudyCard
from linesim.answers.document import Chart, Document, View
from linesim.answers.table import Column, Table
from linesim.answers.values import Change, Estimate
from linesim.questions.mix import mix
from linesim.questions.screen import screen
from linesim.report.document import document_pieces
from linesim.report.figure import Figure
from linesim.report.parts import Fold, Listed
from linesim.report.pictures import Drawings
from linesim.report.table import PageTable, view_table
from linesim.scenario import load_text
from tests.commands.calls import LINE
from tests.unit.report.small import small_scenario


@pytest.fixture(scope="module")
def loaded() -> Document:
    """Ask what more racks do to a small line."""
    return mix(load_text(LINE), {"option.rack.take": 0.9}, no_options=True, replications=2)


FACTORS = ("buffer.lane.capacity = [1, 3]", "crew.belt.people = [1, 2]")


def test_a_page_draws_what_a_terminal_lists() -> None:
    """Effects are a drawing whose numbers are those of the table; all tables stand behind a fold."""
    answer = screen(small_scenario(), FACTORS, replications=3)
    first, _, fold = document_pieces(answer)
    assert isinstance(first, Figure) and first.title.startswith("What matters for jobs a shift")
    effects = [change for change in answer.table("effects").column("effect") if isinstance(change, Change)]
    assert [row[1].value for row in first.table.rows] == [change.mean for change in effects]
    assert [row[-1].text for row in first.table.rows] == [change.verdict for change in effects]
    assert isinstance(fold, Fold) and all(isinstance(part, Listed) for part in fold.parts)
    assert len(fold.parts) == 3


def test_a_grid_is_shaded_by_size(loaded: Document) -> None:
    """Loads stand as a table, what is built as a grid in percent, darker where there is more."""
    tables = [piece for piece in document_pieces(loaded) if isinstance(piece, PageTable)]
    built = next(table for table in tables if table.caption.startswith("What is built"))
    assert [column.name for column in built.columns] == ["model or option", "as it is", "new mix"]
    (cells,) = [row for row in built.rows if row[0].text == "rack"]
    assert [cell.text for cell in cells] == ["rack", "50", "90"]
    assert cells[2].tint == pytest.approx(0.9 / max(cell.value or 0 for row in built.rows for cell in row))
    loads = next(table for table in tables if table.caption.startswith("The fullest"))
    assert [row[1].text for row in loads.rows[:2]] == ["B", "A"]


def test_a_curve_marks_the_present_places() -> None:
    """A curve keeps its points in order, endless last, and marks the line as it is; one point is none."""
    levels = (("lane", "0", ""), ("lane", "2", "now"), ("lane", "endless", ""), ("alone", "1", "now"))
    rows = [
        {"buffer": buffer, "places": places, "now": now, "level": Estimate(90.0 + k, 88.0 + k, 92.0 + k)}
        for k, (buffer, places, now) in enumerate(levels)
    ]
    table = Table.of("curve", (*map(Column, ("buffer", "places", "now")), Column("level", "estimate")), rows)
    view = View("curve", "jobs by places", table.columns, by="buffer")
    chart = Chart("curves", "curves", "Says.", view, "level", "{places}", "jobs")
    card = StudyCard("A line", "", 1, 0.95, (CaseCard("base", "0" * 64, (), 3),), (), ())
    drawn, _ = document_pieces(Document("x", (), (table,), (chart,), (), card))
    assert isinstance(drawn, Figure) and drawn.title == "Jobs by places"
    assert [[cell.text for cell in row[:3]] for row in drawn.table.rows] == [list(level) for level in levels]
    assert ">lane<" in drawn.wide and ">endless<" in drawn.wide and ">alone<" not in drawn.wide


def test_a_notebook_shows_the_drawings_of_the_page() -> None:
    """The drawings of an answer are those of its page, whole by themselves; hostile names are escaped."""
    answer = screen(small_scenario(), FACTORS, replications=3)
    found = linesim.drawings(answer)
    assert [figure for figure in document_pieces(answer) if isinstance(figure, Figure)] == list(found.figures)
    shown = found._repr_html_()
    assert shown.count("<svg") == len(found.figures) >= 1
    assert repr(found) == f"<drawings: {', '.join(figure.name for figure in found.figures)}>"
    bad = replace(found.figures[0], title="<script>", says="a < b")
    assert "<script>" not in Drawings((bad,))._repr_html_()
    assert "a &lt; b" in Drawings((bad,))._repr_html_()


def test_no_heading_of_a_page_is_empty() -> None:
    """What a terminal shows without a heading has one on a page: the name of the column, or verdict."""
    change = Column("gain", "change")
    view = View("t", "T", (Column("crew_kind", head=""), change))
    heads = [
        column.name for column in view_table(view, [{"crew_kind": "a", "gain": Change(1, 0, 2)}]).columns
    ]
    assert heads == ["crew kind", "gain", "interval", "verdict"]
