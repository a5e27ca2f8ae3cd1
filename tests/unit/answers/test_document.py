"""Documents: typed tables found by name and key, written and read back, the same bytes, nothing unescaped."""

import json

import pytest

from linesim.answers.card import CaseCard, Convergence, Goal, Look, StudyCard
from linesim.answers.document import ROWS_SHOWN, Chart, Document, Grid, Heading, View, Words
from linesim.answers.grid import crossed
from linesim.answers.table import Column, Table
from linesim.answers.values import Change, Estimate

CARD = StudyCard(
    "A <line>", "line.toml", 7, 0.9, (CaseCard("base", "ab", (), 5),), (("base", 3),), (("a", "1"),)
)
COLUMNS = (
    Column("case"),
    Column("unit"),
    Column("places", "count"),
    Column("mean", "estimate"),
    Column("gain", "change", flat="before=base_mean mean=gain low=gain_low high=gain_high verdict"),
)
RISE = Change(1.5, 1.0, 2.0, unit="jobs", before=4.0)
GAINS = Table.of(
    "gains",
    COLUMNS,
    [
        {"case": "<b>more</b>", "unit": "jobs", "places": 3, "gain": RISE,
         "mean": Estimate(5.5, 5, 6, 0.5, 0.4, 5, "Student t", "jobs")},
        {"case": "none", "unit": "jobs", "places": None, "mean": None, "gain": None},
    ],
    "What is gained",
)  # fmt: skip
VIEW = View("gains", "Gains", (COLUMNS[0], Column("gain", "change", faces=("before=now", "mean", "verdict"))))
PARTS = (
    Heading("So"),
    Words(("As said.",)),
    Chart("forest", "gains", "Look.", VIEW, "gain", "{case}", "more jobs"),
    View("gains", "All", COLUMNS, rows=(1, 0), most=1, note="Both."),
    Grid("gains", "Where", COLUMNS[0], "places", Column("gain", "change", faces=("doubted",)), note="So."),
)
ANSWER = Document("crew", ("More <is> more.",), (GAINS,), PARTS, ("Look & see.",), CARD, {"only": ["trim"]})


def test_rows_are_found_by_what_they_are_called() -> None:
    """Tables, columns and rows come by name; an unknown one is told with those that there are."""
    assert ANSWER.table("gains").row("<b>more</b>")["gain"] is RISE
    assert GAINS.column("places") == (3, None)
    for wrong, told in (
        (lambda: ANSWER.table("losses"), "no table 'losses'; there are gains"),
        (lambda: GAINS.column("loss"), "it has case, unit, places"),
        (lambda: GAINS.row("other"), "it has <b>more</b>; none"),
    ):
        with pytest.raises(KeyError, match=told):
            wrong()


def test_a_grid_has_one_thing_down_and_another_across() -> None:
    """Cells stand where both meet; columns without any figure go, and of many the largest stay, in order."""
    cells = {
        ("a", "x"): Change(1.0, 0.5, 1.5), ("a", "y"): Change(-3.0, -7.0, 1.0),
        ("b", "z"): Change(2.0, 1.0, 3.0), ("b", "w"): Change(0.0, 0.0, 0.0),
    }  # fmt: skip
    columns = (Column("of"), Column("at"), Column("gain", "change", faces=("doubted",)))
    table = Table.of(
        "t",
        columns,
        [{"of": of, "at": at, "gain": gain} for (of, at), gain in cells.items()],
        keys=("of", "at"),
    )
    grid = Grid("t", "Where", columns[0], "at", columns[2])
    whole = crossed(grid, list(table))
    assert whole.heads == ("of", "x", "y", "z")
    assert whole.texts == (("a", "+1.0", "(-3)", "·"), ("b", "·", "·", "+2"))
    assert whole.numbers[1] == (None, None, None, 2.0)
    assert crossed(grid, list(table), 2).heads == ("of", "y", "z")


def test_columns_are_picked_by_name() -> None:
    """A view takes columns in the order in which it names them; an unknown one is a fault."""
    assert [column.name for column in GAINS.pick("gain", "case")] == ["gain", "case"]
    with pytest.raises(KeyError, match="loss"):
        GAINS.pick("loss")


def test_files_have_estimates_taken_apart() -> None:
    """Each field of an estimate has a column in files, under the name that its column gives."""
    assert GAINS.to_csv() == (
        "case,unit,places,mean,low,high,half_width,sd,replications,method,base_mean,gain,gain_low,gain_high,"
        "verdict\n"
        "<b>more</b>,jobs,3,5.5,5,6,0.5,0.4,5,Student t,4.0,1.5,1.0,2.0,higher\n"
        "none,jobs,,,,,,,,,,,,,\n"
    )
    assert ANSWER.frame("gains")["gain_high"].tolist()[0] == 2.0
    assert list(ANSWER.files()) == ["gains.csv", "crew.json"]


@pytest.mark.parametrize(
    ("columns", "row", "told"),
    [
        ((Column("a"), Column("b")), ("x",), "must have 2 cells"),
        ((Column("a"), Column("a")), ("x", "y"), "must differ"),
        ((Column("a"), Column("low"), Column("mean", "estimate")), ("x", "y", None), "must differ"),
        ((Column("a", "count"),), (1.5,), "a is 1.5"),
        ((Column("a", "change"),), (Estimate(1.0),), "a is Estimate"),
        ((Column("a"),), (1.0,), "a is 1.0"),
    ],
)
def test_a_table_refuses_cells_of_another_kind(
    columns: tuple[Column, ...], row: tuple[object, ...], told: str
) -> None:
    """Cells are of the kind that their column declares, and no two columns of a file have one name."""
    with pytest.raises((TypeError, ValueError), match=told):
        Table("t", columns, (row,))  # type: ignore[arg-type]


def test_a_document_comes_back_from_its_text() -> None:
    """What was written reads back to the same document: values, views, charts, what was asked."""
    text = ANSWER.to_json()
    raw = json.loads(text)
    found = Document.from_dict(raw, StudyCard.from_dict(raw))
    assert found.to_json() == text
    assert found.parts == ANSWER.parts and found.card == ANSWER.card
    row = found.table("gains").row("<b>more</b>")
    assert isinstance(row["gain"], Change) and isinstance(row["mean"], Estimate)
    assert (row["gain"].low, row["gain"].before, row["gain"].unit) == (1.0, 4.0, "jobs")
    assert row["mean"] == GAINS.row("<b>more</b>")["mean"]


@pytest.mark.parametrize(
    "spoiled",
    [
        {"is": "Heading"},
        {"is": "Heading", "text": 5},
        {"is": "os", "text": ""},
        {"is": "View", "table": "nowhere", "title": "", "columns": [{"is": "Column", "name": "a"}]},
        {"is": "View", "table": "gains", "title": "", "columns": [], "rows": [7]},
        {"is": "View", "table": "gains", "title": "", "columns": "case"},
    ],
)
def test_what_was_not_written_by_us_is_refused(spoiled: dict[str, object]) -> None:
    """Parts of a kind, name or place that a document cannot have are refused when it is read."""
    raw = json.loads(ANSWER.to_json())
    raw["layout"]["parts"] = [spoiled]
    with pytest.raises((LookupError, TypeError, ValueError)):
        Document.from_dict(raw, CARD)


def test_nothing_reaches_a_notebook_unescaped() -> None:
    """Names, sentences, cautions and captions are escaped; a long table is cut and says so."""
    shown = ANSWER._repr_html_()
    assert "<b>more" not in shown and "&lt;b&gt;more" in shown
    assert "More &lt;is&gt; more." in shown and "Look &amp; see." in shown
    long = Table.of("t", (Column("n", "count"),), [{"n": n} for n in range(ROWS_SHOWN + 3)])
    assert "3 more rows" in Document("x", (), (long,), (), (), CARD)._repr_html_()


def test_the_text_of_a_document_fits_a_screen() -> None:
    """A document says what it is in a line or two, however many rows it has."""
    assert repr(ANSWER) == "<answer of crew: More <is> more. Tables: gains (2).>"
    assert repr(GAINS).startswith("<table gains: 2 rows of case, unit")
    assert str(ANSWER) == "More <is> more.\nLook & see."


def test_numbers_that_are_none_become_null() -> None:
    """JSON knows no infinity: such a cell is null there."""
    odd = Table("odd", (Column("x", "number"),), ((float("inf"),), (float("nan"),), (0.1,)))
    raw = json.loads(Document("sweep", ("s",), (odd,), (), (), CARD).to_json())
    assert raw["tables"]["odd"] == [{"x": None}, {"x": None}, {"x": 0.1}]
    assert raw["run"]["lost"] == [{"case": "base", "replication": 3}]
    assert "convergence" not in raw


def test_the_card_tells_how_a_figure_became_sharp() -> None:
    """With a goal the object holds the convergence of each case."""
    looks = (Look(1, 5.0, None, None, None),)
    one = Convergence("base", Goal(0.01, "throughput"), None, looks)
    card = StudyCard("A line", "", 7, 0.9, (), (), (), (one,))
    assert card.as_dict()["convergence"][0]["looks"][0]["mean"] == 5.0
    assert StudyCard.from_dict(card.as_dict()) == card
