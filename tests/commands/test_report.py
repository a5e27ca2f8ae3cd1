"""`linesim report` and tables for other programs, as a user meets them: a page, a refusal, a workbook."""

import re
from pathlib import Path
from typing import Any

import openpyxl
import pandas as pd
import pytest

from linesim.answers.readable import in_words
from tests.commands.calls import call

FEW = ("--replications", "3", "--workers", "1", "--quiet")


def test_a_line_becomes_a_page(line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A scenario is simulated and its page written; standard output says where, and how large it is."""
    page = tmp_path / "page.html"
    said = call(capsys, "report", line, *FEW, "-o", page)
    assert said.status == 0
    assert said.err == ""
    text = page.read_text(encoding="utf-8")
    assert re.fullmatch(rf"{re.escape(str(page))}, \d+ kB\n", said.out)
    assert "<h1>Two stations and a lane</h1>" in text
    assert "What does it make?" in text
    assert "linesim report line.toml --replications 3 -o page.html" in text


def test_the_page_tells_what_run_tells(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The answer on the page is the sentence that run prints for the same replications."""
    page = tmp_path / "page.html"
    call(capsys, "report", line, *FEW, "-o", page)
    printed = " ".join(call(capsys, "run", line, *FEW).out.split())
    lead = re.search('<p class="lead">(.*?)</p>', page.read_text(encoding="utf-8"))
    assert lead
    assert lead.group(1) in printed


def test_workers_change_no_byte(line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The page is the same with one process and with two."""
    texts = []
    for workers in ("1", "2"):
        folder = tmp_path / workers
        folder.mkdir()
        page = folder / "page.html"
        call(capsys, "report", line, "--replications", "3", "--workers", workers, "--quiet", "-o", page)
        texts.append(page.read_bytes())
    assert texts[0] == texts[1]


def test_what_is_laid_over_is_told(line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Lines laid over the scenario stand on the page and in the command that makes it again."""
    page = tmp_path / "page.html"
    change = "buffer.lane.capacity = 7"
    assert call(capsys, "report", line, *FEW, "--set", change, "-o", page).status == 0
    text = page.read_text(encoding="utf-8")
    assert f"<dd>{change}</dd>" in text
    assert "--set &#39;buffer.lane.capacity = 7&#39;" in text


def test_a_page_is_not_replaced_by_accident(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A page that is there already is left alone without --force, before anything is simulated."""
    page = tmp_path / "page.html"
    page.write_text("mine", encoding="utf-8")
    said = call(capsys, "report", line, *FEW, "-o", page)
    assert said.status == 2
    assert "--force" in said.err
    assert page.read_text(encoding="utf-8") == "mine"
    assert call(capsys, "report", line, *FEW, "-o", page, "--force").status == 0
    assert page.read_text(encoding="utf-8") != "mine"


def test_drawings_become_files(line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--pictures writes the drawings of the page, --only some of them; each is named where the page is."""
    page, every, few = tmp_path / "page.html", tmp_path / "every", tmp_path / "few"
    said = call(capsys, "report", line, *FEW, "-o", page, "--pictures", every)
    assert said.status == 0
    names = [path.name for path in every.iterdir()]
    assert {"strip.svg", "waits.svg"} <= set(names)
    assert sorted(told.split(", ")[0] for told in said.out.splitlines()[1:]) == sorted(
        str(every / name) for name in names
    )
    ids = re.findall('id="figure-([a-z-]+)"', page.read_text(encoding="utf-8"))
    assert sorted(names) == sorted(f"{name}.svg" for name in ids)
    said = call(capsys, "report", line, *FEW, "-o", page, "--force", "--pictures", few, "--only", "waits")
    assert said.status == 0
    assert [path.name for path in few.iterdir()] == ["waits.svg"]
    assert (few / "waits.svg").read_bytes() == (every / "waits.svg").read_bytes()


def test_drawings_are_refused(line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """No drawing is replaced by accident, and one that is not there is named with those that are."""
    page, folder = tmp_path / "page.html", tmp_path / "pictures"
    folder.mkdir()
    mine = folder / "waits.svg"
    mine.write_text("mine", encoding="utf-8")
    for more in ((), ("--only", "waits")):
        said = call(capsys, "report", line, *FEW, "-o", page, "--pictures", folder, *more)
        assert (said.status, mine.read_text(encoding="utf-8")) == (2, "mine")
        assert "--force" in said.err
    said = call(capsys, "report", line, *FEW, "-o", page, "--pictures", folder, "--only", "weights")
    assert said.status == 2
    assert "no drawing weights; it has strip, " in said.err
    said = call(capsys, "report", line, *FEW, "-o", page, "--only", "waits")
    assert said.status == 2
    assert "--pictures" in said.err
    assert not page.exists()


def test_a_kept_study_becomes_a_page(line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The folder of a comparison gives a page with its sentences and with the line itself."""
    study, page = tmp_path / "study", tmp_path / "page.html"
    compared = call(capsys, "compare", line, "--try", "buffer.lane.capacity = 5", *FEW, "--out", study)
    said = call(capsys, "report", study, "-o", page)
    assert said.status == 0
    text = page.read_text(encoding="utf-8")
    assert "Compare report" in text
    lead = re.search('<p class="lead">(.*?)</p>', text)
    assert lead
    assert lead.group(1).replace("&#39;", "'") in in_words(" ".join(compared.out.split()))
    assert "buffer.lane.capacity" not in text[: text.index('id="repeat"')]
    assert 'id="figure-losses"' in text
    assert 'id="line"' in text


def test_a_card_is_written_beside_an_answer(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every question that decides writes its card; one that is in the way is not replaced by accident."""
    study, page, card, again = (tmp_path / name for name in ("study", "page.html", "card.html", "again.html"))
    tries = ("--try", "buffer.lane.capacity = 5", *FEW)
    assert call(capsys, "compare", line, *tries, "--out", study, "--card", card).status == 0
    text = card.read_text(encoding="utf-8")
    assert "Compare, one side" in text and "lane: 5 places" in text
    said = call(capsys, "compare", line, *tries, "--card", card)
    assert said.status == 2 and "--card" in said.err
    assert call(capsys, "report", study, "-o", page, "--card", again).status == 0
    assert 'class="card"' in again.read_text(encoding="utf-8")
    assert call(capsys, "run", line, *FEW, "--card", again, "--force").status == 0
    assert "Run, one side" in again.read_text(encoding="utf-8")


def test_a_kept_run_becomes_the_page_of_the_run(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The folder of a run gives the page that the scenario gives, without simulating anew."""
    kept, fresh = tmp_path / "kept.html", tmp_path / "fresh.html"
    call(capsys, "run", line, *FEW, "--out", tmp_path / "run")
    assert call(capsys, "report", tmp_path / "run", "-o", kept).status == 0
    call(capsys, "report", line, *FEW, "-o", fresh)
    texts = [re.sub("linesim report .*", "", page.read_text(encoding="utf-8")) for page in (kept, fresh)]
    assert texts[0] == texts[1]


def test_the_page_says_how_to_make_it_again(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command on the page has every option that decided how often the line was simulated."""
    words = ("--measure", "throughput", "--precision", "5%", "--max-replications", "4", "--seed", "3")
    call(capsys, "report", line, *words, "--workers", "1", "--quiet", "-o", tmp_path / "page.html")
    text = (tmp_path / "page.html").read_text(encoding="utf-8")
    asked = "--seed 3 --measure throughput --precision 0.05 --max-replications 4 -o page.html"
    assert f"linesim report line.toml {asked}" in text


def test_a_kept_study_says_that_it_is_not_sharp_enough(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where --precision was not reached the page of the study says so of the line, and exit status is 1."""
    study, page = tmp_path / "study", tmp_path / "page.html"
    words = ("--precision", "0.1%", "--max-replications", "3", "--workers", "1", "--quiet")
    compared = call(capsys, "compare", line, "--try", "buffer.lane.capacity = 5", *words, "--out", study)
    assert compared.status == 1
    said = "of its mean as asked in 2 of 2 cases"
    assert said in " ".join(compared.out.split())
    assert call(capsys, "report", study, "-o", page).status == 1
    text = page.read_text(encoding="utf-8")
    assert said in text and "not to ±0.1 % as asked: the cap of 3 replications was reached" in text


def test_the_page_of_a_study_without_figures_says_why(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A warm-up keeps series and no figures: its page is the answer alone, and stderr says so."""
    call(capsys, "warmup", line, *FEW, "--out", tmp_path / "start")
    said = call(capsys, "report", tmp_path / "start", "-o", tmp_path / "page.html")
    assert said.status == 0 and "no figures of the line are kept" in said.err


@pytest.mark.parametrize("words", [("--replications", "9"), ("--set", "takt = '70 s'"), ("--seed", "4")])
def test_a_kept_study_is_not_run_anew(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, str]
) -> None:
    """Options that would change a study are refused: they belong to the command that runs it."""
    call(capsys, "run", line, *FEW, "--out", tmp_path / "run")
    said = call(capsys, "report", tmp_path / "run", *words, "-o", tmp_path / "page.html")
    assert said.status == 2
    assert "has been run" in said.err
    assert not (tmp_path / "page.html").exists()


def test_what_is_no_study_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A folder without an answer is a wrong input, and no page is written."""
    said = call(capsys, "report", tmp_path, "-o", tmp_path / "page.html")
    assert said.status == 2
    assert "holds no answer" in said.err
    assert not (tmp_path / "page.html").exists()


@pytest.mark.parametrize(
    ("words", "sheet"),
    [(("run",), "measures"), (("compare", "--try", "buffer.lane.capacity = 5"), "differences")],
)
def test_a_name_that_ends_in_xlsx_is_a_workbook(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], sheet: str
) -> None:
    """With --out NAME.xlsx a run or a study writes one workbook, and does not replace it by accident."""
    book = tmp_path / "results.xlsx"
    command = (words[0], line, *words[1:], *FEW, "--out", book)
    assert call(capsys, *command).status == 0
    assert sheet in openpyxl.load_workbook(book).sheetnames
    before = book.read_bytes()
    assert call(capsys, *command).status == 2
    assert book.read_bytes() == before
    assert call(capsys, *command, "--force").status == 0
    assert book.read_bytes() == before


def test_parquet_holds_the_tables_of_the_folder(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """With --parquet each CSV table of the folder is written as Parquet too, with its rows and columns."""
    monkeypatch.setattr("linesim.commands.files.find_spec", lambda name: object())
    frames: list[pd.DataFrame] = []

    def to_parquet(frame: pd.DataFrame, path: Any, **options: Any) -> None:
        assert options == {"engine": "pyarrow", "index": False}
        frames.append(frame)
        path.write(b"PAR1")

    monkeypatch.setattr(pd.DataFrame, "to_parquet", to_parquet)
    folder = tmp_path / "run"
    assert call(capsys, "run", line, *FEW, "--out", folder, "--parquet").status == 0
    names = ("measures", "replications", "shifts")
    for name, frame in zip(names, frames, strict=True):
        assert (folder / f"{name}.parquet").read_bytes() == b"PAR1"
        known = pd.read_csv(folder / f"{name}.csv")
        assert list(frame.columns) == list(known.columns)
        assert len(frame) == len(known)
    assert frames[0]["mean"].dtype == float


def test_parquet_says_what_it_needs(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without a folder, or without pyarrow, --parquet is refused before anything is simulated."""
    said = call(capsys, "run", line, *FEW, "--parquet")
    assert (said.status, "--out DIR" in said.err) == (2, True)
    monkeypatch.setattr("linesim.commands.files.find_spec", lambda name: None)
    said = call(capsys, "run", line, *FEW, "--out", tmp_path / "run", "--parquet")
    assert (said.status, "pyarrow" in said.err) == (2, True)
    assert not (tmp_path / "run").exists()
