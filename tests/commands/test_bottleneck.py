"""`linesim bottleneck`."""

import json
from pathlib import Path

import pytest

from tests.commands.calls import call

FEW = ("--replications", "3", "--workers", "1", "--quiet")


def test_page_says_who_and_how_sure(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The page begins with whether the methods agree, tables every station, and fits 80 columns."""
    said = call(capsys, "bottleneck", line, *FEW)
    assert (said.status, said.err) == (0, "")
    rows = said.out.splitlines()
    assert rows[2].strip().startswith(("All ", "The methods ", "Of crews, tools and carriers, "))
    assert "Method by method" in said.out and "Station by station" in said.out
    assert {row.split()[0] for row in rows if row[:3] in ("  A", "  B", "  C")} >= {"A", "B"}
    assert "Before anything is changed" in said.out and "No figure here says" in " ".join(said.out.split())
    assert max(map(len, rows)) <= 80


def test_json_and_folder_hold_the_same_tables(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`--json` prints one object whose tables are the files of the folder, as many rows each."""
    said = call(capsys, "bottleneck", line, "--only", "A", "--json", "--out", tmp_path / "out", *FEW)
    found = json.loads(said.out)
    assert found["study"] == "bottleneck"
    assert {row["method"] for row in found["tables"]["methods"]} >= {"gain", "shifting", "arrows"}
    for name, rows in found["tables"].items():
        text = (tmp_path / "out" / f"{name}.csv").read_text(encoding="utf-8")
        assert len(text.splitlines()) == len(rows) + 1
    gains = [row["station"] for row in found["tables"]["stations"] if row["gain"] is not None]
    assert gains == ["A"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--only", "Z"), "'Z' is not a station"),
        (("--faster", "0"), "write a share such as 5% or 0.05"),
        (("--faster", "500"), "write a share such as 5% or 0.05"),
        (("--measure", "lead_time"), "more is better"),
    ],
)
def test_wrong_questions_are_status_2(
    line: Path, words: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A station that is not there, no speed, and a figure of which less is better are told on stderr."""
    said = call(capsys, "bottleneck", line, *words, *FEW)
    assert (said.status, said.out) == (2, "")
    assert told in said.err
