"""`linesim buffers`."""

import csv
import json
from pathlib import Path

import pytest

from linesim.questions.buffers import BuffersQuestion
from tests.commands.calls import call

FEW = ("--replications", "4", "--workers", "1", "--quiet")


def test_the_page_shows_the_curve_and_where_a_place_pays(
    line: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Sentences first, then each buffer from none to endless places, then where a place would pay."""
    said = call(capsys, "buffers", line, *FEW)
    assert (said.status, said.err) == (0, "")
    lines = said.out.splitlines()
    assert lines[0] == "Two stations and a lane"
    text = " ".join(said.out.split())
    places = [
        text.index(head) for head in ("The line makes", "lane: jobs a shift by places", "Where would a")
    ]
    assert places == sorted(places)
    first = [row.split()[0] for row in lines if row.startswith("  ") and row.split()[:1]]
    assert [word for word in first if word in {"0", "2", "endless"}] == ["0", "2", "endless"]
    assert "A place more holds a job more" in text
    assert max(map(len, lines)) <= 80


def test_places_are_split_and_the_promise_is_told(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With one buffer there is one split, and the page says so instead of promising anything."""
    said = call(capsys, "buffers", line, "--places", "3", *FEW)
    text = " ".join(said.out.split())
    assert "Best split of 3 places: 3 at lane." in text
    assert "There is no other split of so many places." in text


def test_a_share_of_the_ceiling_is_asked_for_in_percent(
    line: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """90% and 0.9 are the same question."""
    percent = call(capsys, "buffers", line, "--share", "90%", *FEW, "--json")
    share = call(capsys, "buffers", line, "--share", "0.9", *FEW, "--json")
    assert percent.out == share.out
    assert json.loads(share.out)["tables"]["fewest"][0]["what"] == "fewest"


@pytest.mark.parametrize(
    "asked", [(), ("--places", "3"), ("--share", "0.9"), ("--places", "3", "--share", "0.9")]
)
def test_the_tables_are_written(
    asked: tuple[str, ...], line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """--out holds every table of the question that was asked."""
    out = tmp_path / "out"
    assert call(capsys, "buffers", line, *asked, "--out", out, *FEW).status == 0
    found = json.loads((out / "buffers.json").read_text(encoding="utf-8"))
    for name, rows in found["tables"].items():
        text = (out / f"{name}.csv").read_text(encoding="utf-8")
        assert len(list(csv.DictReader(text.splitlines()))) == len(rows)
        assert rows or name == "money", "nothing has a price here"


def test_files_are_known_before_anything_is_run() -> None:
    """Which tables there will be follows from the options alone."""
    assert BuffersQuestion(places=9).tables_asked == ("where", "splits", "best", "money")
    assert BuffersQuestion(share=0.9).tables_asked == ("where", "fewest", "money")
    assert BuffersQuestion().tables_asked == ("where", "curve", "steps", "money")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--only", "bank"), "'bank' is not a buffer of this scenario; it has lane"),
        (("--measure", "lead_time"), "more is better"),
        (("--share", "198"), "98%"),
        (("--places", "-1"), "whole number"),
        (("--min-effect", "much"), "such as 0.5"),
    ],
)
def test_wrong_questions_are_status_2(
    words: tuple[str, ...], told: str, line: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What cannot be asked is told with what would be right."""
    said = call(capsys, "buffers", line, *words, *FEW)
    assert said.status == 2
    assert said.out == ""
    assert told in " ".join(said.err.split())


def test_the_cost_is_told_without_running(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--dry-run says what all steps take, from the fewest replications to the most."""
    said = call(capsys, "buffers", line, "--dry-run", *FEW)
    assert said.status == 0
    assert "replications, as the figures decide." in said.out
