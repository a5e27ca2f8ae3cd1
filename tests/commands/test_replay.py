"""The command that writes a replication as a page."""

import re
from pathlib import Path

import pytest

from tests.commands.calls import ROOT, call


@pytest.fixture
def known(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Work in a folder of its own."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_page_is_written(line: Path, known: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The command writes one page, says its name and size, and the page says how to make it again."""
    said = call(capsys, "replay", line, "--replication", "2", "--for", "1 h", "--quiet")
    assert said.status == 0
    assert re.fullmatch(r"replay\.html, [\d,]+ kB\n", said.out)
    assert said.err == ""
    page = (known / "replay.html").read_text(encoding="utf-8")
    assert "Replication 2 of seed 5, 1 h from shift 1, 0:00:00 on" in page
    command = "linesim replay line.toml --replication 2 --seed 5 --for &#39;1 h&#39; -o replay.html"
    assert command in page
    assert str(known) not in page


def test_a_second_line_stands_beside_it(line: Path, known: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With --try the page shows both lines from the start of the run on, says when they part, and repeats."""
    words = ("--try", "lean: crew.two.people = 1", "--for", "30 min", "--replications", "3", "--quiet")
    assert call(capsys, "replay", line, *words).status == 0
    page = (known / "replay.html").read_text(encoding="utf-8")
    made = r"With the same jobs and the same luck: \d+ jobs? made and [\d.]+ min lost to stops \(as it is\), "
    assert re.search(made + r"\d+ jobs? made and [\d.]+ min lost to stops \(lean\)\.", page)
    assert "They are alike up to run 0:" in page and "30 min from run 0:00:00 on" in page
    assert "--try &#39;lean: crew.two.people = 1&#39;" in page and "from 3." in page


def test_a_change_is_called_by_words(line: Path, known: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A change without a name of its own is called on the page as a reader says it, not by its key."""
    words = ("--try", "crew.two.people = 1", "--for", "10 min", "--replications", "1", "--quiet")
    assert call(capsys, "replay", line, *words).status == 0
    page = (known / "replay.html").read_text(encoding="utf-8")
    assert "<h3>two crew: 1 person</h3>" in page


def test_two_files_stand_beside_each_other(
    line: Path, known: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A second file is shown beside the first, each under its name; with itself it never parts."""
    (known / "next.toml").write_text(line.read_text(encoding="utf-8"), encoding="utf-8")
    said = call(capsys, "replay", line, "next.toml", "--for", "20 min", "--replications", "1", "--quiet")
    assert said.status == 0, said.err
    page = (known / "replay.html").read_text(encoding="utf-8")
    assert "lost to stops (line.toml), " in page and "lost to stops (next.toml)." in page
    assert "Nothing that happens on one of them happens otherwise on the other." in page
    assert "linesim replay line.toml next.toml --replication 1" in page


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--try", "takt = '50 s'", "--try", "takt = '40 s'"], "--try may stand once here"),
        (["--try", "run.length = '10 min'", "--for", "1 h"], "ends before this page does"),
        (["--try", "crew.tow.people = 1"], "crew.tow"),
        (["no.toml"], "no.toml"),
        (["other.toml", "--try", "takt = '50 s'"], "OTHER and --try each name a second line"),
        (["--replications", "0"], "write a whole number from 1"),
    ],
)
def test_wrong_second_lines_are_refused(
    line: Path, known: Path, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    """Two second lines, one of another length, one with a mistyped name and no replications are refused."""
    found = call(capsys, "replay", line, *words, "--quiet")
    assert (found.status, found.out) == (2, "") and said in found.err
    assert not (known / "replay.html").exists()


def test_the_same_words_give_the_same_page(
    line: Path, known: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Called twice the command writes the same bytes; another replication, seed or change writes others."""
    pages = []
    for words in ([], [], ["--replication", "2"], ["--seed", "6"], ["--set", "crew.two.people = 1"]):
        said = call(capsys, "replay", line, "--for", "30 min", "--force", "--quiet", *words)
        assert said.status == 0
        pages.append((known / "replay.html").read_bytes())
    assert pages[0] == pages[1]
    assert len({*pages}) == 4


def test_a_page_is_not_written_over(line: Path, known: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A page that is already there stays as it is unless --force is said."""
    (known / "there.html").write_text("mine", encoding="utf-8")
    said = call(capsys, "replay", line, "-o", "there.html")
    assert (said.status, said.out) == (2, "")
    assert "there.html is already there" in said.err
    assert (known / "there.html").read_text(encoding="utf-8") == "mine"
    assert call(capsys, "replay", line, "-o", "there.html", "--force", "--for", "10 min").status == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--from", "9 h"], "--from: 9 h after the warm-up lies beyond the run, which is 3 h long"),
        (["--for", "4 h"], "--for: 4 h from there ends 1 h after the run"),
        (["--for", "20"], '--for: "20" is no time'),
        (["--from", "soon"], '--from: "soon" is no time'),
        (["--replication", "0"], "write a whole number from 1"),
    ],
)
def test_wrong_times_are_refused(
    line: Path, known: Path, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    """A part of the run that is not there, or no time at all, is refused with what would be right."""
    found = call(capsys, "replay", line, *words)
    assert (found.status, found.out) == (2, "")
    assert said in found.err
    assert not (known / "replay.html").exists()


def test_a_shift_of_the_tractor_is_small(known: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The page of a shift of the tractor line takes less than half a megabyte."""
    said = call(capsys, "replay", ROOT / "scenarios/tractor/line.toml", "--quiet")
    assert said.status == 0
    assert 100_000 < (known / "replay.html").stat().st_size < 500_000
