"""One base for all answers: sentences, tables, where they come from, the same bytes, nothing unescaped."""

import json

import pytest

from linesim.answers.card import CaseCard, Convergence, Goal, Look, StudyCard
from linesim.questions.answer import Answer
from linesim.questions.answer_table import ROWS_SHOWN, AnswerTable
from linesim.runs.cases import Case, run_cases
from tests.unit.runs.shop import line

CARD = StudyCard(
    "A <line>", "line.toml", 7, 0.9, (CaseCard("base", "ab", (), 5),), (("base", 3),), (("a", "1"),)
)
TABLE = AnswerTable("gains", ("case", "gain"), (("<b>more</b>", 1.5), ("none", None)), "What is gained")
ANSWER = Answer("compare", ("More <is> more.",), (TABLE,), ("Look & see.",), CARD)


def test_tables_are_found_by_name() -> None:
    """A table comes by its name; an unknown name is told with those that there are."""
    assert ANSWER.table("gains") is TABLE and list(ANSWER.tables) == ["gains"]
    with pytest.raises(KeyError, match="no table 'losses'; there are gains"):
        ANSWER.table("losses")
    with pytest.raises(ValueError, match="two tables are called 'gains'"):
        _ = Answer("compare", (), (TABLE, TABLE), (), CARD).tables


def test_a_table_is_read_by_column_row_and_frame() -> None:
    """Columns, named rows, pandas and CSV hold the same cells."""
    assert TABLE.column("gain") == (1.5, None)
    assert next(iter(TABLE)) == {"case": "<b>more</b>", "gain": 1.5}
    assert TABLE.frame["gain"].tolist()[0] == 1.5
    assert TABLE.to_csv() == "case,gain\n<b>more</b>,1.5\nnone,\n"
    with pytest.raises(KeyError, match="it has case, gain"):
        TABLE.column("loss")


def test_a_table_refuses_cells_that_do_not_fit() -> None:
    """Rows of another length and columns of the same name are refused."""
    with pytest.raises(ValueError, match=r"rows\[1\] of 't' must have 2 cells, got 1"):
        AnswerTable("t", ("a", "b"), ((1, 2), (3,)))
    with pytest.raises(ValueError, match="columns of table 't' must differ"):
        AnswerTable("t", ("a", "a"), ())


def test_nothing_reaches_a_notebook_unescaped() -> None:
    """Names, sentences, cautions and captions are escaped; a long table is cut and says so."""
    shown = ANSWER._repr_html_()
    assert "<b>more" not in shown and "&lt;b&gt;more" in shown
    assert "More &lt;is&gt; more." in shown and "Look &amp; see." in shown
    long = AnswerTable.of("t", ("n",), [(n,) for n in range(ROWS_SHOWN + 3)])
    assert "3 more rows" in long.to_html()


def test_the_object_holds_everything() -> None:
    """The JSON object has sentences, tables, cases and versions; numbers that are none become null."""
    odd = AnswerTable("odd", ("x",), ((float("inf"),), (float("nan"),), (0.1,)))
    found = json.loads(Answer("sweep", ("s",), (odd,), (), CARD).to_json())
    assert found["tables"]["odd"] == [{"x": None}, {"x": None}, {"x": 0.1}]
    assert found["run"]["lost"] == [{"case": "base", "replication": 3}]
    assert found["cases"][0]["replications"] == 5
    assert "convergence" not in found


def test_the_card_tells_how_a_figure_became_sharp() -> None:
    """With a goal the object holds the convergence of each case."""
    looks = (Look(1, 5.0, None, None, None),)
    one = Convergence("base", Goal(0.01, "throughput"), None, looks)
    card = StudyCard("A line", "", 7, 0.9, (), (), (), (one,))
    assert card.as_dict()["convergence"][0]["looks"][0]["mean"] == 5.0


def test_files_are_the_tables_and_the_object() -> None:
    """A folder gets a CSV for each table and the object, named after the study."""
    assert list(ANSWER.files()) == ["gains.csv", "compare.json"]


def test_the_card_of_runs_names_every_case() -> None:
    """Title of the base, seed, and fingerprint and changes of each case; no clock, no host."""
    cases = [Case("base", line()), Case("more", line("buffer.lane.capacity = 3"), ("lane = 3",))]
    card = run_cases(cases, replications=1).card(0.9, file="line.toml")
    assert (card.title, card.seed) == ("Two stations <in a row>", 11)
    assert [case.changes for case in card.cases] == [(), ("lane = 3",)]
    assert card.cases[0].fingerprint == line().fingerprint() != card.cases[1].fingerprint


def test_an_answer_survives_its_text() -> None:
    """Answers are plain data: the text of one builds an equal one."""
    names = {"Answer": Answer, "AnswerTable": AnswerTable, "StudyCard": StudyCard, "CaseCard": CaseCard}
    assert eval(repr(ANSWER), names) == ANSWER
