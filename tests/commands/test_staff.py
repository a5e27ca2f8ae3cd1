"""`linesim staff`."""

import csv
import json
import re
from pathlib import Path

import pytest

from linesim.questions.staff import Staff
from tests.commands.calls import call

FEW = ("--replications", "2", "--no-floater", "--workers", "1", "--quiet")


def test_the_page_says_the_staffing_and_what_is_near_it(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Sentences first, then staffings, crews and steps, then cautions; tables are written with --out."""
    out = tmp_path / "out"
    said = call(capsys, "staff", line, "--target", "50", "--in-shifts", "60%", "--out", out, *FEW)
    assert said.status == 0
    lines, text = said.out.splitlines(), " ".join(said.out.split())
    assert lines[0] == "Two stations and a lane"
    order = ("50 jobs a shift in 6 of 10 shifts", "Staffings: the answer", "The crews, on paper", "How this")
    heads = [text.index(head) for head in order]
    assert heads == sorted(heads)
    assert max(map(len, lines)) <= 80
    assert all((out / name).exists() for name in (*(f"{table}.csv" for table in Staff.tables), "staff.json"))
    rows = list(csv.DictReader((out / "staffings.csv").read_text(encoding="utf-8").splitlines()))
    assert sum(row["is_best"] == "True" for row in rows) == 1
    assert [row["staffing"] for row in rows if row["is_now"] == "True"] == ["as it is"]


def test_so_many_people(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--people asks for the most that so many make, and JSON says what was asked."""
    said = call(capsys, "staff", line, "--people", "3", "--keep", "two", "--json", *FEW)
    found = json.loads(said.out)
    assert found["asked"]["people"] == 3
    best = next(row for row in found["tables"]["staffings"] if row["is_best"])
    assert (best["staffing"], best["people"]) == ("as it is", 3)


def test_a_page_draws_cost_and_output(line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`report` draws the staffings by cost and output, and what one step does."""
    out, page = tmp_path / "out", tmp_path / "page.html"
    call(capsys, "staff", line, "--target", "45", "--out", out, *FEW)
    said = call(capsys, "report", out, "-o", page)
    assert said.status == 0, said.err
    text = page.read_text(encoding="utf-8")
    assert "What people cost and make: jobs a shift" in text
    assert "now and best" in text or ">now<" in text


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--target", "70"), "out of reach"),
        (("--most", "two"), "two= is no limit; write a crew and a whole number"),
        (("--in-shifts", "0"), "write a share such as 80%"),
        (("--people", "1"), "the crews need 2 at least"),
    ],
)
def test_wrong_questions_are_status_2(
    words: tuple[str, ...], told: str, line: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What cannot be is told with what would be right, and nothing is simulated."""
    from linesim.commands.main import main

    assert main(["staff", str(line), *words, *FEW]) == 2
    assert told in capsys.readouterr().err


def test_a_dry_run_says_what_it_takes_at_most(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--dry-run gives the fewest and the most replications over all steps."""
    said = call(capsys, "staff", line, "--dry-run", "--most-staffings", "20", "--workers", "1", "--quiet")
    assert re.search(r"To run: \d+ to \d+ replications, as the figures decide\.", said.out)
