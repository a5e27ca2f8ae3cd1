"""`linesim doubt`."""

import json
from pathlib import Path

import pytest

from tests.commands.calls import call

FEW = ("--replications", "2", "--workers", "1", "--quiet", "--set", "run.length = '4 h'")


def test_page_ranks_the_guesses(scenarios: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each input has one row with both its ends, the usual ranges are told, and the page fits 80 columns."""
    said = call(capsys, "doubt", scenarios / "features" / "guesses.toml", *FEW)
    assert (said.status, said.err) == (0, "")
    text = " ".join(said.out.split())
    assert "0.7 to 1.3 times" in text and "0.85 to 1.15 times" in text
    (row,) = [row for row in said.out.splitlines() if row.startswith("  station.K1.task.fit.time ")]
    assert "0.9 to 1.15" in row and row.count("(") == 2
    assert max(map(len, said.out.splitlines())) <= 80


def test_json_says_whether_an_alternative_turns(
    scenarios: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With --try every end says what becomes of the decision; the folder holds the same tables."""
    words = ("--try", "buffer.lane.capacity = 4", "--only", "robot", "--json", "--out", tmp_path / "out")
    said = call(capsys, "doubt", scenarios / "features" / "guesses.toml", *words, *FEW)
    found = json.loads(said.out)
    rows = found["tables"]["inputs"]
    assert {row["input"] for row in rows} == {"robot.R1.failure.jam.every", "robot.R1.failure.jam.lasts"}
    known = ("stays", "flips", "can't tell", "can't tell any more", "can tell now")
    assert all(row[f"{end}_decision"] in known for row in rows for end in ("low", "high"))
    assert {"inputs.csv", "together.csv", "doubt.json"} <= {p.name for p in (tmp_path / "out").iterdir()}


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--only", "station.Z"), "begins with 'station.Z'"),
        (("--each", "--by-station"), "exclude each other"),
        (("--try", "takt ="), "--try"),
    ],
)
def test_wrong_questions_are_status_2(
    scenarios: Path, words: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """An input that is not there, options that exclude each other, and no line of TOML are told on stderr."""
    said = call(capsys, "doubt", scenarios / "features" / "guesses.toml", *words, *FEW)
    assert (said.status, said.out) == (2, "")
    assert told in said.err


def test_a_line_without_marks_is_doubted_as_a_whole(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where nothing is marked every time and chance is an estimate, and a caution says how to mark it."""
    said = call(capsys, "doubt", line, "--only", "station.A", *FEW)
    assert said.status == 0
    text = " ".join(said.out.split())
    assert 'write `confidence = "measured"` beside what was measured' in text
    assert "  station.A." in said.out


def test_help_says_what_the_field_calls_it(capsys: pytest.CaptureFixture[str]) -> None:
    """Sensitivity is the first word of the help page, and stands in the list of commands."""
    assert " ".join(call(capsys, "doubt", "--help").out.split()).count("Sensitivity: say whether inputs") == 1
    assert "Sensitivity" in call(capsys, "--help").out
