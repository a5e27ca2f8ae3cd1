"""`linesim compare`."""

import csv
import json
from pathlib import Path

import pytest

from tests.commands.calls import call

FEW = ("--replications", "4", "--workers", "1", "--quiet")


def test_each_set_is_a_what_if_of_its_own(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two --try make two cases; lines in one --try make one case."""
    words = ("--try", "takt = '66 s'", "--try", "buffer.lane.capacity = 3; crew.two.people = 3")
    said = call(capsys, "compare", line, *words, *FEW, "--json")
    found = json.loads(said.out)
    assert (said.status, said.err) == (0, "")
    assert [case["case"] for case in found["cases"]] == [
        "line.toml",
        "takt = 66 s",
        "buffer.lane.capacity = 3, crew.two.people = 3",
    ]
    assert [row["input"] for row in found["tables"]["changes"]] == [
        "takt",
        "buffer.lane.capacity",
        "crew.two.people",
    ]


def test_the_page_gives_verdict_pairing_and_what_differs(
    line: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The verdict stands first, then what common draws were worth; the page fits 80 columns."""
    said = call(capsys, "compare", line, "--try", "takt = '66 s'", *FEW)
    text = " ".join(said.out.split())
    assert said.out.splitlines()[0] == "Two stations and a lane"
    assert "takt = 66 s against line.toml:" in text and "fewer jobs a shift" in text
    assert "Common draws: correlation" in text
    assert "takt: 60 s → 66 s" in text
    assert "ISO 11228-3" in text and "No figure here says that it is safe" in text
    assert max(map(len, said.out.splitlines())) <= 80


def test_files_are_compared_and_lines_laid_over_all(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Another file is a case under its name; --set changes every case and so differs in none."""
    other = line.with_name("other.toml")
    other.write_text('extends = "line.toml"\ntakt = "66 s"\n', encoding="utf-8")
    everywhere = ("--set", "run.length = '2 h'")
    said = call(capsys, "compare", line, other, *everywhere, "--measure", "line_stop:back", *FEW, "--json")
    found = json.loads(said.out)
    assert [case["case"] for case in found["cases"]] == ["line.toml", "other.toml"]
    assert [row["input"] for row in found["tables"]["changes"]] == ["takt"]
    first = found["tables"]["differences"][0]
    assert (first["measure"], first["where"], first["comparisons"]) == ("line_stop", "back", 1)


def test_tables_are_written(line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--out holds the tables as CSV; the same folder is not overwritten unasked."""
    words = ("compare", line, "--try", "takt = '66 s'", "--out", tmp_path / "out", *FEW)
    assert call(capsys, *words).status == 0
    text = (tmp_path / "out" / "differences.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    assert rows[0]["measure"] == "jobs_per_shift" and rows[0]["verdict"] == "lower"
    assert float(rows[0]["low"]) <= float(rows[0]["difference"]) <= float(rows[0]["high"])


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "nothing to compare"),
        (("--try", "takt"), "no TOML"),
        (("--try", "tkt = '66 s'"), "did you mean"),
        (("--try", "takt = '66 s'", "--measure", "jobs"), "names no measure"),
        (("--try", "takt = '66 s'", "--try", "takt = '66 s'"), "name of its own"),
        (("missing.toml",), "missing.toml"),
    ],
)
def test_wrong_questions_are_status_2(
    line: Path, words: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """What cannot be compared is told on stderr, with nothing on stdout."""
    said = call(capsys, "compare", line, *words, *FEW)
    assert (said.status, said.out) == (2, "")
    assert told in said.err
