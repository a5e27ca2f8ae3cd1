"""`linesim crew`."""

import csv
import json
from pathlib import Path

import pytest

from linesim.questions.crew import CrewQuestion
from tests.commands.calls import call

FEW = ("--replications", "4", "--workers", "1", "--quiet")
PRICES = (
    "--set", "cost = { operator_per_shift = 310, margin_per_job = 240, stop_minute = 45, currency = 'EUR' }",
)  # fmt: skip


def test_the_page_ranks_the_crews_in_jobs_and_money(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Sentences first, then one more, a floater and one fewer, then cautions; the page fits 80 columns."""
    said = call(capsys, "crew", line, *PRICES, *FEW)
    assert (said.status, said.err) == (0, "")
    lines, text = said.out.splitlines(), " ".join(said.out.split())
    assert lines[0] == "Two stations and a lane"
    heads = [text.index(f"{kind}: jobs a shift") for kind in ("One more", "One fewer")]
    assert heads == sorted(heads)
    assert "net money" in text
    assert "'1 for': one replication with common draws" in text
    assert "ISO 45001" in text
    assert "No figure here says that it is safe" in text
    assert max(map(len, lines)) <= 80


def test_without_prices_there_is_no_money(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A scenario without [cost] is answered in jobs alone."""
    said = call(capsys, "crew", line, *FEW, "--json")
    found = json.loads(said.out)
    assert found["tables"]["money"] == []
    assert "EUR" not in said.out
    assert {row["change"] for row in found["tables"]["gains"]} >= {"one +1", "two +1", "two -1"}


def test_another_margin_is_laid_over_the_file(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--set changes the prices and no job: net money moves by jobs times the difference of the margins."""
    rows = []
    for margin in ("240", "340"):
        more = ("--set", f"cost.margin_per_job = {margin}")
        found = json.loads(call(capsys, "crew", line, *PRICES, *more, "--no-floater", *FEW, "--json").out)
        rows.append({row["change"]: row for row in found["tables"]["money"]})
        gains = {row["change"]: row["gain"] for row in found["tables"]["gains"]}
    for change, gain in gains.items():
        moved = rows[1][change]["net_per_shift"] - rows[0][change]["net_per_shift"]
        assert moved == pytest.approx(100 * gain)


def test_only_what_is_asked_is_run(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--only, --no-fewer and --no-floater leave one case besides the line as it is."""
    said = call(capsys, "crew", line, "--only", "two", "--no-fewer", "--no-floater", *FEW, "--json")
    assert [case["case"] for case in json.loads(said.out)["cases"]] == ["present", "two +1"]


def test_the_tables_are_written(line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--out holds all tables and the object; the same folder answers again without running anything."""
    out = tmp_path / "out"
    words = ("crew", line, *PRICES, "--out", out, *FEW)
    assert call(capsys, *words).status == 0
    assert all(
        (out / name).exists() for name in (*(f"{table}.csv" for table in CrewQuestion.tables), "crew.json")
    )
    rows = list(csv.DictReader((out / "gains.csv").read_text(encoding="utf-8").splitlines()))
    assert all(float(row["low"]) <= float(row["gain"]) <= float(row["high"]) for row in rows)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--only", "three"), "'three' is not a crew of this scenario; it has one, two"),
        (("--response", "30"), "unit"),
        (("--min-effect", "0"), "such as 0.5"),
    ],
)
def test_wrong_questions_are_status_2(
    words: tuple[str, ...], told: str, line: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What cannot be asked is told with what would be right."""
    said = call(capsys, "crew", line, *words, *FEW)
    assert said.status == 2
    assert said.out == ""
    assert told in " ".join(said.err.split())


def test_the_cost_is_told_without_running(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--dry-run says what all steps take, from the fewest replications to the most."""
    said = call(capsys, "crew", line, "--dry-run", *FEW)
    assert said.status == 0
    assert "To run:" in said.out
    assert "replications, as the figures decide." in said.out
