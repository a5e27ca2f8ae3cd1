"""`linesim doubt`."""

import json
from pathlib import Path

import pytest

from tests.commands.calls import call

FEW = ("--replications", "2", "--workers", "1", "--quiet", "--set", "run.length = '4 h'")


def test_page_ranks_the_guesses(scenarios: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each input has a line for either end, the usual ranges are told, and the page fits 80 columns."""
    said = call(capsys, "doubt", scenarios / "features" / "guesses.toml", *FEW)
    assert (said.status, said.err) == (0, "")
    text = " ".join(said.out.split())
    assert "0.7 to 1.3 times" in text and "0.85 to 1.15 times" in text
    rows = [row.split() for row in said.out.splitlines()]
    assert [row for row in rows if row[:2] == ["1.15", "times"]]
    assert [row for row in rows if row[:1] == ["station.K1.task.fit.time"]]
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
    assert all(row["decision"] in ("stays", "flips", "can't tell", "can't tell any more", "can tell now")
               for row in rows)  # fmt: skip
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


def test_a_line_without_guesses_has_nothing_to_doubt(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A scenario in which nothing is marked is told how to mark what nobody measured."""
    said = call(capsys, "doubt", line, "--quiet")
    assert said.status == 2 and 'confidence = "guess"' in said.err
