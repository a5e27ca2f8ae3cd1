"""Changes drawn against a line at nothing: verdicts, long lists, long names; a comparison's first figure."""

import pytest

from linesim.answers.measure import Measure
from linesim.answers.values import Change
from linesim.questions.compare import compare
from linesim.report.canvas import wrapped
from linesim.report.charts.forest import ForestMark, ForestRow, forest
from linesim.report.document import document_pieces
from linesim.report.figure import Figure
from linesim.report.table import PageTable
from tests.unit.report.small import small_scenario


def _mark(mean: float, low: float | None, high: float | None, n: int) -> ForestMark:
    """Return a change with its verdict."""
    change = Change(mean, low, high, n=n)
    return ForestMark(change, change.verdict)


def test_a_mark_says_which_side_it_is_on() -> None:
    """A change is sure only if its interval leaves out nothing; its text is rounded to what that supports."""
    up, down = _mark(6.2, 4.9, 7.5, 20), _mark(-3.0, -4.0, -2.0, 20)
    open_, single = (
        _mark(1.0, -1.0, 3.0, 20),
        _mark(1.0, None, None, 1),
    )
    assert [bool(mark.change.sign) for mark in (up, down, open_, single)] == [True, True, False, False]
    assert up.text() == "+6.2 (+4.9 to +7.5)"
    assert down.text() == "-3 (-4 to -2)"
    assert single.text() == "+1"


def row(label: str, mean: float) -> ForestRow:
    """Return a row of one change."""
    return ForestRow(label, (_mark(mean, mean - 1, mean + 1, 5),))


def test_a_forest_draws_the_first_and_tells_all() -> None:
    """A long list is drawn in part, says so, and stands whole in the table; one change is no drawing."""
    found = forest("f", "Title", "Says.", "jobs", [row(f"case {k}", float(k)) for k in range(60)])
    assert found is not None
    assert "Only the first 24 are drawn" in found.says
    assert len(found.table.rows) == 60
    assert found.wide.count(">case ") == 24
    assert forest("f", "Title", "Says.", "jobs", [row("alone", 1.0)]) is None


def test_both_ends_of_an_input_share_a_row() -> None:
    """An input at its low and its high end is one row with two marks, each told in the table."""
    ends = [ForestMark(Change(m, m - 1, m + 1, n=5), "", what) for m, what in ((-2.0, "low"), (3.0, "high"))]
    found = forest("f", "Title", "Says.", "jobs", [ForestRow(name, tuple(ends)) for name in ("a1", "b1")])
    assert found is not None
    assert found.wide.count(">a1<") == 1
    assert [line[0].text for line in found.table.rows] == ["a1, low", "a1, high", "b1, low", "b1, high"]
    assert "Squares: low; diamonds: high." in found.says


def test_a_phone_shows_whole_labels() -> None:
    """Labels that differ only at their end are broken into lines on a phone, not cut off."""
    cases = [
        f"crew.cab.people = {n}, buffer.bank-trim.capacity = 4, option.loader.take = {n}" for n in (1, 2)
    ]
    found = forest("f", "Title", "Says.", "jobs", [row(name, 1.0) for name in cases])
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


def test_the_largest_effect_leads_in_words() -> None:
    """A comparison draws each case's change as the answer has it, the largest first, without keys."""
    cases = {"buffer.lane.capacity = 4": {"buffer.lane.capacity": 4}, "slow": {"takt": "75 s"}}
    answer = compare(small_scenario(), cases, replications=3)
    first = document_pieces(answer)[0]
    assert isinstance(first, Figure)
    assert [line[0].text for line in first.table.rows] == ["slow", "lane: 4 places"]
    change = answer.table("differences").row("slow", Measure("jobs_per_shift"))["difference"]
    assert isinstance(change, Change) and first.table.rows[0][1].value == pytest.approx(change.mean)
    assert "jobs a shift" in first.title


def test_one_change_is_told_and_not_drawn() -> None:
    """A drawing of one dot says less than its numbers, so a page shows these."""
    answer = compare(small_scenario(), {"two more": {"buffer.lane.capacity": 5}}, replications=3)
    first = document_pieces(answer)[0]
    assert isinstance(first, PageTable) and first.rows[0][0].text == "two more"
