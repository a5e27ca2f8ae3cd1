"""Answers of studies on a page: changes with their verdicts, curves, and stored cases behind selectors."""

import pytest

from linesim.answers.card import CaseCard, StudyCard
from linesim.answers.measure import Measure
from linesim.answers.values import Change
from linesim.questions.answer import Answer
from linesim.questions.answer_table import AnswerTable
from linesim.questions.compare.question import compare
from linesim.report.canvas import wrapped
from linesim.report.charts.curve import Curve, CurvePoint, curves
from linesim.report.charts.forest import ForestRow, forest
from linesim.report.compared.plain import gaps, named, number_of, plain_table, rows_of, shown
from linesim.report.compared.studies import DRAWN, pieces
from linesim.report.figure import Figure
from linesim.report.table import PageTable
from tests.unit.report.small import small_scenario


def answer_with(study: str, *tables: AnswerTable) -> Answer:
    """Return an answer that holds tables."""
    card = StudyCard("A line", "", 1, 0.95, (CaseCard("base", "0" * 64, (), 3),), (), ())
    return Answer(study, ("So it is.",), tables, (), card)


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


def test_mix_page_tells_loads_and_what_is_built_in_percent() -> None:
    """Loads and the mix built are grids in percent; an option by itself is told from it with its company."""
    loads = AnswerTable.of(
        "loads",
        ("kind", "name", "as_it_is_share", "load_share", "p95_share", "heaviest_share", "heaviest",
         "over_takt_share"),
        [("station", "T6", 0.4, 0.42, 0.54, 0.62, "field+cab", 0.0),
         ("station", "F1", *[0.3] * 4, "any", 0.0)],
    )  # fmt: skip
    built = [(case, "cab", share) for case, share in (("as it is", 0.5), ("new", 0.7))]
    drivers = [
        ("cab", part, "overload", mean, mean - 1, mean + 1) for part, mean in (("all", 5.0), ("own", 2.0))
    ]
    answer = answer_with(
        "mix", loads, AnswerTable.of("built", ("case", "name", "share"), built),
        AnswerTable.of("drivers", ("option", "part", "measure", "mean", "low", "high"), drivers),
    )  # fmt: skip
    forest_of, work, mixes, *_ = pieces(answer)
    assert isinstance(forest_of, Figure) and isinstance(work, PageTable) and isinstance(mixes, PageTable)
    assert [row[0].text for row in forest_of.table.rows] == ["cab", "cab, by itself"]
    assert [[cell.text for cell in row] for row in work.rows] == [
        ["T6", "station", "40", "42", "54", "62", "0", "field+cab"],
        ["F1", "station", "30", "30", "30", "30", "0", "–"],
    ]
    assert [[cell.text for cell in row] for row in mixes.rows] == [["cab", "50", "70"]]


def test_shares_are_read_in_percent() -> None:
    """A table that a page picks out tells shares in percent, also in its headings; whole tables do not."""
    found = AnswerTable.of("where", ("buffer", "full_share", "places"), [("lane", 0.344, 2)], "How full.")
    told, whole = named(answer_with("buffers", found), "where"), plain_table(found)
    assert told is not None and whole is not None
    assert [column.name for column in told.columns] == ["buffer", "full, %", "places"]
    assert [cell.text for cell in told.rows[0]] == ["lane", "34.4", "2"]
    assert [cell.text for cell in whole.rows[0]] == ["lane", "0.344", "2"]


def test_methods_are_told_by_name() -> None:
    """Whom a way of looking names stands beside its name."""
    methods = AnswerTable.of("methods", ("method", "place"), [("stops", "K1")])
    (told, *_) = pieces(answer_with("bottleneck", methods))
    assert isinstance(told, PageTable)
    assert [cell.text for cell in told.rows[0]] == ["stops", "K1"]


def test_comparison_draws_the_deciding_figure() -> None:
    """The first figure of a comparison holds each case's difference in jobs a shift as the answer has it."""
    answer = compare(small_scenario(), {"two more": {"buffer.lane.capacity": 5}}, replications=3)
    first = pieces(answer)[0]
    assert isinstance(first, Figure)
    change = answer.table("differences").row("two more", Measure("jobs_per_shift"))["difference"]
    ((label, drawn, *_),) = first.table.rows
    assert label.text == "two more"
    assert isinstance(change, Change) and drawn.value == pytest.approx(change.mean)
    assert "jobs a shift" in first.title


def test_figures_that_only_a_study_knows_are_shown() -> None:
    """A measure of the whole line is named so; a known share is shown in percent."""
    own = shown({"measure": "own_stop", "where": "segment", "cause": "", "unit": "min/shift"})
    assert (own.label, own.scale) == ("own stops of the line, min/shift", 1.0)
    share = shown({"measure": "plan_met", "where": "segment", "cause": "", "unit": "share"})
    assert share.scale == 100.0


def test_rows_without_a_figure_are_no_gaps() -> None:
    """Rows whose figure is unknown are not drawn; unknown bounds stay unknown."""
    rows = [{"case": "a", "gain": None}, {"case": "b", "gain": 2, "low": None, "high": 3.0, "verdict": "x"}]
    (gap,) = gaps(rows, lambda row: str(row["case"]), "gain", scale=10)
    assert (gap.label, gap.mean, gap.low, gap.high) == ("b", 20, None, 30.0)
    assert number_of({"x": "text"}, "x") is None


def test_plain_tables_keep_what_is_known() -> None:
    """Empty columns go, numbers are numbers, and an empty table is none."""
    table = AnswerTable.of(
        "some_rows", ("a", "empty", "n", "sd"), [("x", None, 1.5, 0.1), ("y", "", None, 0.2)]
    )
    found = plain_table(table)
    assert found is not None
    assert [(c.name, c.is_number) for c in found.columns] == [("a", False), ("n", True), ("sd", True)]
    assert plain_table(AnswerTable.of("none", ("a",), [])) is None
    short = named(answer_with("x", table), "some_rows")
    assert short is not None
    assert [c.name for c in short.columns] == ["a", "n"]
    assert rows_of(answer_with("x"), "none") == []


def test_a_curve_marks_the_present_places() -> None:
    """A buffer's curve keeps its points in order, endless last, and says which is the line as it is."""
    points = (CurvePoint("0", 90, 88, 92), CurvePoint("2", 95, 94, 96), CurvePoint("endless", 97, 96.5, 97.5))
    found = curves("jobs a shift", [Curve("lane", "2", points), Curve("alone", "", points[:1])])
    assert found is not None
    assert [row[1].text for row in found.table.rows] == ["0", "2", "endless"]
    assert [row[-1].text for row in found.table.rows] == ["", "as it is", ""]


@pytest.mark.parametrize("study", sorted(DRAWN))
def test_an_answer_without_rows_still_has_a_page(study: str) -> None:
    """A study that found nothing to show gives no figure and no fault."""
    assert pieces(answer_with(study)) == ()
