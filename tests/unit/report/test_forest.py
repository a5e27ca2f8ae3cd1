"""Changes drawn against a line at nothing: verdicts, long lists, long names; a comparison's first figure."""

import pytest

from linesim.answers.measure import Measure
from linesim.answers.values import Change
from linesim.questions.compare.question import compare
from linesim.report.canvas import wrapped
from linesim.report.charts.forest import ForestRow, forest
from linesim.report.document import document_pieces
from linesim.report.figure import Figure
from tests.unit.report.small import small_scenario


def test_a_gap_says_which_side_it_is_on() -> None:
    """A change is sure only if its interval leaves out nothing; its text is rounded to what that supports."""
    up, down = ForestRow("a", 6.2, 4.9, 7.5, "higher", 20), ForestRow("b", -3.0, -4.0, -2.0, "lower", 20)
    open_, single = (
        ForestRow("c", 1.0, -1.0, 3.0, "can't tell", 20),
        ForestRow("d", 1.0, None, None, "no interval", 1),
    )
    assert [gap.is_sure for gap in (up, down, open_, single)] == [True, True, False, False]
    assert up.text() == "+6.2 (+4.9 to +7.5)"
    assert down.text() == "-3.0 (-4.0 to -2.0)"
    assert single.text() == "+1"


def test_a_forest_draws_the_first_and_tells_all() -> None:
    """A long list is drawn in part, says so, and stands whole in the table."""
    many = [ForestRow(f"case {k}", float(k), k - 1.0, k + 1.0, "higher", 5) for k in range(60)]
    found = forest("f", "Title", "Says.", "jobs", many)
    assert found is not None
    assert "Only the first 24 are drawn" in found.says
    assert len(found.table.rows) == 60
    assert found.wide.count(">case ") == 24
    assert forest("f", "Title", "Says.", "jobs", []) is None


def test_a_phone_shows_whole_labels() -> None:
    """Labels that differ only at their end are broken into lines on a phone, not cut off."""
    cases = [
        f"crew.cab.people = {n}, buffer.bank-trim.capacity = 4, option.loader.take = {n}" for n in (1, 2)
    ]
    found = forest(
        "f", "Title", "Says.", "jobs", [ForestRow(name, 1.0, 0.5, 1.5, "higher", 5) for name in cases]
    )
    assert found is not None
    assert "…" not in found.narrow
    for n in (1, 2):
        assert f"option.loader.take = {n}<" in found.narrow
    assert wrapped("one two", 1000) == ["one two"]
    assert [line[-1] for line in wrapped("one " + "w" * 90, 100)] == ["e", "…"]


def test_long_names_beside_the_best_are_counted() -> None:
    """A sentence names the cases that may be as good as the best only where one can still read it."""
    cases = {letter * 70: {"buffer.lane.capacity": n} for letter, n in (("a", 4), ("b", 5))}
    answer = compare(small_scenario(), cases, replications=2)
    assert any("the data can't tell it from 2 others." in text for text in answer.sentences)


def test_comparison_draws_the_deciding_figure() -> None:
    """The first figure of a comparison holds each case's difference in jobs a shift as the answer has it."""
    answer = compare(small_scenario(), {"two more": {"buffer.lane.capacity": 5}}, replications=3)
    first = document_pieces(answer)[0]
    assert isinstance(first, Figure)
    change = answer.table("differences").row("two more", Measure("jobs_per_shift"))["difference"]
    ((label, drawn, *_),) = first.table.rows
    assert label.text == "two more"
    assert isinstance(change, Change) and drawn.value == pytest.approx(change.mean)
    assert "jobs a shift" in first.title
