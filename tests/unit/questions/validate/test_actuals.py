"""Shift records: what a table may hold, and every fault in it told with its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from linesim.errors import ScenarioError, WrongQuestionError
from linesim.questions.validate.judged import columns_of, given_actuals, read_actuals
from linesim.scenario import load, load_text
from tests.commands.calls import LINE
from tests.documents.pages import ROOT

SMALL = load_text(LINE)  # one free and one moving section
TWO = load_text(LINE.replace('pacing   = "free"', 'pacing   = "moving"'))


def written(folder: Path, text: str) -> Path:
    """Write a table and return its path."""
    path = folder / "actuals.csv"
    path.write_text(text, encoding="utf-8")
    return path


def codes(folder: Path, text: str) -> list[tuple[str, str]]:
    """Return place and code of everything that is wrong with a table."""
    with pytest.raises(ScenarioError) as error:
        read_actuals(written(folder, text), SMALL)
    return [(problem.place, problem.code) for problem in error.value.problems]


def test_columns_are_read_blanks_left_out_and_others_left_alone(tmp_path: Path) -> None:
    """A blank cell is no record of that figure; a column that says nothing here is only named."""
    text = "shift,jobs,stop_min,plan\nMon early,51,4.5,55\nMon late,,6,55\nTue early,53,,55\n"
    found = read_actuals(written(tmp_path, text), SMALL)
    assert [(c.name, c.section, c.values, c.shifts) for c in found.columns] == [
        ("jobs", "", (51, 53), ("Mon early", "Tue early")),
        ("stop_min", "back", (4.5, 6), ("Mon early", "Mon late")),
    ]
    assert found.ignored == ("plan",) and found.file == "actuals.csv"


def test_shifts_without_names_are_counted(tmp_path: Path) -> None:
    """Without a column `shift` they are numbered; any of the columns is enough, semicolons do as well."""
    found = read_actuals(written(tmp_path, "reworked;note\n2;a\n3;b\n"), SMALL)
    assert found.columns[0].shifts == ("shift 1", "shift 2")


def test_a_line_of_several_conveyors_names_them() -> None:
    """`stop_min` alone is for a single conveyor; with two each has its own column, and free ones none."""
    assert list(columns_of(SMALL)) == ["jobs", "stop_min", "stop_min_back", "reworked"]
    assert list(columns_of(TWO)) == ["jobs", "stop_min_front", "stop_min_back", "reworked"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("jobs\n51\nmany\n-3\n", [("row 3, jobs", "bad-number"), ("row 4, jobs", "out-of-range")]),
        ("jobs,jobs\n51,52\n", [("row 1, jobs", "name-twice")]),
        ("jobs,stop_min_bakc\n51,3\n", [("row 1, stop_min_bakc", "unknown-column")]),
        ("job,plan\n51,55\n", [("row 1, job", "unknown-column")]),
        ("date,plan\n1,55\n", [("headings", "missing-column")]),
        ("jobs,stop_min\n51,\n52,\n", [("row 1, stop_min", "empty-table")]),
        ("jobs\n", [("", "empty-table")]),
        ("", [("", "empty-table")]),
    ],
)
def test_wrong_tables_are_told(tmp_path: Path, text: str, expected: list[tuple[str, str]]) -> None:
    """Words, negative counts, doubled, misspelt and empty columns each are named with their place."""
    assert codes(tmp_path, text) == expected


def test_stop_minutes_of_no_section_are_told(tmp_path: Path) -> None:
    """With two conveyors `stop_min` does not say of which; the message names the columns that would."""
    with pytest.raises(ScenarioError, match="write stop_min_front or stop_min_back"):
        read_actuals(written(tmp_path, "jobs,stop_min\n51,3\n"), TWO)


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    """A missing file is a wrong input, told by its name."""
    with pytest.raises(ScenarioError, match="no-file"):
        read_actuals(tmp_path / "nothing.csv", SMALL)


def test_records_may_be_given_as_they_are() -> None:
    """Lists by heading do as well; unknown headings and impossible figures are refused."""
    assert given_actuals({"jobs": [50, 51]}, SMALL).columns[0].values == (50, 51)
    with pytest.raises(WrongQuestionError, match="'job' is no column"):
        given_actuals({"job": [50]}, SMALL)
    with pytest.raises(WrongQuestionError, match="finite figures"):
        given_actuals({"jobs": [50, float("nan")]}, SMALL)
    with pytest.raises(WrongQuestionError, match="nothing to compare"):
        given_actuals({}, SMALL)


def test_the_shipped_records_fit_the_shipped_line() -> None:
    """The tractor's records have thirty shifts and a column for each of its three conveyors."""
    folder = ROOT / "scenarios" / "tractor"
    found = read_actuals(folder / "actuals.csv", load(folder / "line.toml"))
    assert [column.name for column in found.columns] == [
        "jobs", "stop_min_frame", "stop_min_trim", "stop_min_final", "reworked",
    ]  # fmt: skip
    assert all(len(column.values) == 30 for column in found.columns)
    assert found.ignored == ("plan",)
