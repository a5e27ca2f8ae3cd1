"""`linesim warmup`."""

import json
from pathlib import Path

import pytest

from tests.commands.calls import call

FEW = ("--replications", "4", "--workers", "1", "--quiet")


def test_the_page_suggests_a_line_of_the_file(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The suggestion is a line of TOML that a run takes; the moving average stands below."""
    said = call(capsys, "warmup", line, *FEW)
    text = " ".join(said.out.split())
    assert said.status == 0
    assert 'run.warm_up = "1 shift"' in text and "Welch's moving average" in text
    assert max(map(len, said.out.splitlines())) <= 80
    again = call(capsys, "warmup", line, "--set", 'run.warm_up = "1 shift"', *FEW)
    assert "The file's own warm-up, 1 h of working time," in " ".join(again.out.split()).replace(
        "the f", "The f"
    )


def test_a_refusal_is_status_1(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A lane that fills all through the run has no warm-up: no suggestion, and exit status 1."""
    filling = ("buffer.lane.capacity = 900", "station.A.task.fit.time.mean = '30 s'",
               "station.A.task.fit.time_for.rich.mean = '30 s'")  # fmt: skip
    words = [word for text in filling for word in ("--set", text)]
    said = call(capsys, "warmup", line, *words, *FEW, "--json")
    found = json.loads(said.out)
    assert said.status == 1
    assert found["sentences"][0].startswith("No suggestion: jobs inside")
    assert [row["refused"] for row in found["tables"]["cuts"]][1] == "yes"


def test_tables_hold_every_interval(line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--out holds the cuts and, for each interval, the mean and the smoothed value of each series."""
    assert call(capsys, "warmup", line, "--out", tmp_path / "out", *FEW).status == 0
    rows = (tmp_path / "out" / "moving_average.csv").read_text(encoding="utf-8").splitlines()
    assert len(rows) == 1 + 38  # 3 h 10 min in pieces of 5 min
    assert rows[0].split(",")[3:5] == ["finished", "finished_smoothed"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--window", "30"), "too wide"),
        (("--set", "run.length = '5 min'", "--set", "run.shift = '5 min'"), "20 takts"),
    ],
)
def test_wrong_questions_are_status_2(
    line: Path, words: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A window that does not fit and a run too short to show anything are refused."""
    said = call(capsys, "warmup", line, *words, *FEW)
    assert (said.status, said.out) == (2, "")
    assert told in said.err
