"""`linesim sequence`."""

import csv
import json
import re
from pathlib import Path

import pytest

from linesim.questions.sequence import Sequence
from tests.commands.calls import call

LIST = "model,options,number\n" + "".join(
    f"{model},{options},{i}\n"
    for i, (model, options) in enumerate([("rich", "rack"), ("plain", "rack"), ("plain", "")] * 2)
)
FEW = ("--replications", "2", "--max-replications", "4", "--workers", "1", "--quiet")


@pytest.fixture
def orders(line: Path) -> Path:
    """Return a list of six orders beside the line."""
    path = line.parent / "today.csv"
    path.write_text(LIST, encoding="utf-8")
    return path


def test_the_page_says_the_order_and_what_it_brings(
    line: Path, orders: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Sentences first, then orders and the list, then cautions; --out and --save write what was found."""
    out, better = tmp_path / "out", tmp_path / "better.csv"
    said = call(capsys, "sequence", line, "--orders", orders, "--save", better, "--out", out, *FEW)
    assert said.status == 0, said.err
    text = " ".join(said.out.split())
    heads = [
        text.index(head) for head in ("The order", "Every order that was", "The list in this", "How this")
    ]
    assert heads == sorted(heads)
    assert max(map(len, said.out.splitlines())) <= 80
    names = (*(f"{table}.csv" for table in Sequence.tables), "sequence.json")
    assert all((out / name).exists() for name in names)
    rows = list(csv.DictReader(better.read_text(encoding="utf-8").splitlines()))
    places = list(csv.DictReader((out / "sequence.csv").read_text(encoding="utf-8").splitlines()))
    assert [int(row["number"]) for row in rows] == [int(row["came"]) - 1 for row in places]
    page = tmp_path / "page.html"
    assert call(capsys, "report", out, "-o", page).status == 0
    assert "The list in this order" in page.read_text(encoding="utf-8")


def test_programs_get_one_object(line: Path, orders: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--json says what was asked and gives every table."""
    said = call(capsys, "sequence", line, "--orders", orders, "--within", "2", "--json", *FEW)
    found = json.loads(said.out)
    assert found["asked"]["within"] == 2
    assert tuple(found["tables"]) == Sequence.tables
    assert len(found["tables"]["sequence"]) == 6


def test_a_dry_run_says_what_it_takes(line: Path, orders: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--dry-run gives the fewest and the most replications over all steps."""
    said = call(capsys, "sequence", line, "--orders", orders, "--dry-run", "--workers", "1", "--quiet")
    assert re.search(r"To run: \d+ to \d+ replications, as the figures decide\.", said.out)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "name a table of them with --orders"),
        (("--orders", "today.csv", "--within", "-1"), "write a whole number from 0"),
        (("--orders", "nothing.csv"), "nothing.csv"),
        (
            ("--orders", "today.csv", "--add", 'orders.spacing.r = { of = "rack", at_most = 1, in_any = 2 }'),
            "r: 4 of 6 orders count for it, and it has room for 3",
        ),
    ],
)  # fmt: skip
def test_wrong_questions_are_status_2(
    words: tuple[str, ...],
    told: str,
    line: Path,
    orders: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What cannot be is told with what would be right, and nothing is simulated."""
    from linesim.commands.main import main

    monkeypatch.chdir(line.parent)
    assert main(["sequence", str(line), *words, *FEW]) == 2
    assert told in " ".join(capsys.readouterr().err.split())
