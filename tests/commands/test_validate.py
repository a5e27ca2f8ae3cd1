"""`linesim validate`."""

import json
from pathlib import Path

import pytest

from tests.commands.calls import call

FEW = ("--replications", "4", "--workers", "1", "--quiet")


@pytest.fixture
def actuals(tmp_path: Path) -> Path:
    """Return records of a plant that makes far less than the line."""
    path = tmp_path / "actuals.csv"
    rows = [f"day {i},{40 + i % 3},{5 + i % 4}" for i in range(12)]
    path.write_text("shift,jobs,stop_min\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return path


def test_page_says_too_good_and_by_what(
    line: Path, actuals: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The first sentence is the verdict, tables hold means and single shifts, all in 80 columns."""
    said = call(capsys, "validate", line, actuals, *FEW)
    assert (said.status, said.err) == (0, "")
    text = " ".join(said.out.split())
    assert "Against 12 shifts of the plant the line is not plausible: jobs a shift too good" in text
    _, _, table = said.out.partition("A shift, on average")
    row = next(row.split() for row in table.splitlines() if row.split()[:1] == ["jobs"])
    assert row[-2:] == ["too", "good"]
    assert "Single shifts" in said.out
    assert max(map(len, said.out.splitlines())) <= 80


def test_assert_turns_the_verdict_into_a_status(
    line: Path, actuals: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With --assert a line that is not plausible is exit status 1, a plausible one 0."""
    assert call(capsys, "validate", line, actuals, "--assert", *FEW).status == 1
    found = json.loads(call(capsys, "validate", line, actuals, "--json", *FEW).out)
    mean = next(row["line_mean"] for row in found["tables"]["figures"] if row["figure"] == "jobs")
    actuals.write_text(
        "jobs\n" + "\n".join(f"{mean + i % 3 - 1}" for i in range(30)) + "\n", encoding="utf-8"
    )
    out = tmp_path / "out"
    said = call(capsys, "validate", line, actuals, "--assert", "--within", "10%", "--out", out, *FEW)
    assert said.status == 0
    assert {"figures.csv", "shifts.csv", "validate.json"} <= {path.name for path in out.iterdir()}


def test_wrong_records_are_status_2(line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A word for a number is told with file, line and column; so is a file that is not there."""
    path = tmp_path / "a.csv"
    path.write_text("jobs\n51\nmany\n", encoding="utf-8")
    said = call(capsys, "validate", line, path, *FEW)
    assert (said.status, said.out) == (2, "")
    assert "a.csv:3: row 3, jobs" in said.err and "[bad-number]" in said.err
    assert call(capsys, "validate", line, tmp_path / "none.csv", *FEW).status == 2
