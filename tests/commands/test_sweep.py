"""`linesim sweep` and `linesim screen`."""

import csv
import json
from pathlib import Path

import pytest

from tests.commands.calls import call

FEW = ("--replications", "3", "--workers", "1", "--quiet")
LANE = "buffer.lane.capacity = [0, 2, 4]"
TAKT = "takt = ['58 s', '64 s']"


def test_a_grid_is_a_tidy_table(line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Three times two values: six cases, a column for each factor, one row a case and measure."""
    out = tmp_path / "out"
    said = call(capsys, "sweep", line, "--vary", LANE, "--vary", TAKT, "--out", out, *FEW)
    assert said.status == 0
    rows = list(csv.DictReader((out / "cases.csv").read_text(encoding="utf-8").splitlines()))
    assert {(row["buffer.lane.capacity"], row["takt"]) for row in rows} == {
        (lane, takt) for lane in ("0", "2", "4") for takt in ("58 s", "64 s")
    }
    assert len(rows) == 6 * len({(row["measure"], row["where"], row["cause"]) for row in rows})
    assert max(map(len, said.out.splitlines())) <= 80
    assert "buffer.lane.capacity, step by step, average over the others: 0 → 2" in " ".join(said.out.split())


def test_all_measures_on_request(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--all puts every measure into the table of cases."""
    few, every = (
        json.loads(call(capsys, "sweep", line, "--vary", LANE, *FEW, "--json", *more).out)["tables"]["cases"]
        for more in ((), ("--all",))
    )
    assert len(every) > 5 * len(few)
    assert {row["measure"] for row in every} > {row["measure"] for row in few}


def test_one_at_a_time_is_labelled(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The answer and the table both say that no interactions are seen."""
    said = call(capsys, "sweep", line, "--vary", LANE, "--vary", TAKT, "--one-at-a-time", *FEW)
    assert said.out.count("no interactions seen") == 2


def test_latin_hypercube_and_list(line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Points spread over ranges repeat with the seed; a table of cases is run row by row."""
    words = ("sweep", line, "--vary", "buffer.lane.capacity = [0, 9]", "--vary", TAKT, "--latin", "5")
    one, two = (call(capsys, *words, *FEW, "--json").out for _ in range(2))
    assert one == two and len(json.loads(one)["cases"]) == 6
    table = tmp_path / "cases.csv"
    table.write_text("case,takt\nslow,66 s\nquick,57 s\n", encoding="utf-8")
    said = call(capsys, "sweep", line, "--list", table, *FEW)
    assert said.status == 0 and "slow" in said.out and "quick" in said.out


def test_screening_ranks_what_matters(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The lane matters most for jobs a shift; the effects come ranked, with interactions and the design."""
    words = ("--vary", "buffer.lane.capacity = [0, 3]", "--vary", "crew.two.people = [1, 2]")
    said = call(capsys, "screen", line, *words, *FEW)
    text = " ".join(said.out.split())
    assert said.status == 0
    assert "1. buffer.lane.capacity from low to high, 0 → 3:" in text
    assert "4 runs of 2 factors, all combinations" in text
    assert "buffer.lane.capacity × crew.two.people" in text
    assert max(map(len, said.out.splitlines())) <= 80


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("sweep",), "nothing is varied"),
        (("sweep", "--vary", "takt = '60 s'"), "varies nothing"),
        (("sweep", "--vary", "buffer.lane.capacity = [-1]"), "buffer.lane.capacity"),
        (("sweep", "--vary", LANE, "--latin", "4"), "two ends"),
        (("sweep", "--list", "nowhere.csv"), "nowhere.csv"),
        (("sweep", "--vary", LANE, "--latin", "4", "--one-at-a-time"), "not allowed with each other"),
        (("screen", "--vary", LANE), "two values"),
    ],
)
def test_wrong_questions_are_status_2(
    line: Path, words: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """What makes no design is told on stderr before anything is simulated."""
    command, *rest = words
    said = call(capsys, command, line, *rest, *FEW)
    assert (said.status, said.out) == (2, "")
    assert told in said.err
