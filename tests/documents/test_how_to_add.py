"""The question that DEVELOPERS.md adds as an example, taken from the page: everything comes from it."""

import json
import re
from pathlib import Path

import pytest

import linesim.questions
from linesim.questions.declare import function_of, question_named
from linesim.scenario import load
from tests.commands.calls import LINE, call

PAGE = Path(__file__).parents[2] / "DEVELOPERS.md"


def example() -> str:
    """Return what the page says of adding a question."""
    text = PAGE.read_text(encoding="utf-8")
    return text.partition("**A question.**")[2].partition("**Another command**")[0]


@pytest.fixture
def takts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Add the question of the page to the program, and return a line to ask it of."""
    section = (
        PAGE.read_text(encoding="utf-8").partition("**A question.**")[2].partition("**Another command**")[0]
    )
    question, study = re.findall(r"```python\n(.*?)```", section, re.DOTALL)
    folder = tmp_path / "takts"
    folder.mkdir()
    (folder / "__init__.py").write_text(question, encoding="utf-8")
    (folder / "study.py").write_text(study, encoding="utf-8")
    monkeypatch.setattr(linesim.questions, "__path__", [*linesim.questions.__path__, str(tmp_path)])
    monkeypatch.setattr(linesim.questions, "NAMES", (*linesim.questions.NAMES, "takts"))
    monkeypatch.setattr("linesim.commands.main.COMMANDS", ("report", "takts"))
    line = tmp_path / "line.toml"
    line.write_text(LINE, encoding="utf-8")
    return line


def test_the_example_gets_everything_from_its_declaration(
    takts: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Help, terminal, JSON, CSV, workbook, page and Python function of the example work as they stand."""
    few = ("--takt", "66 s", "--replications", "4", "--workers", "1", "--quiet")
    assert "a takt to try, such as '90 s'" in " ".join(call(capsys, "takts", "--help").out.split())
    said = call(capsys, "takts", takts, *few)
    assert said.status == 0 and "66 s: " in said.out and "fewer jobs a shift" in said.out
    raw = json.loads(call(capsys, "takts", takts, *few, "--json").out)
    assert raw["asked"] == {"replications": 4, "takt": ["66 s"]}
    out = takts.with_name("out")
    assert call(capsys, "takts", takts, *few, "--out", out).status == 0
    assert (
        (out / "takts.csv").read_text(encoding="utf-8").startswith("takt,now,then,gain,low,high,n,verdict\n")
    )
    assert call(capsys, "takts", takts, *few, "--out", takts.with_name("book.xlsx")).status == 0
    page = takts.with_name("page.html")
    assert call(capsys, "report", out, "-o", page).status == 0
    assert "What does the line make at other takts?" in page.read_text(encoding="utf-8")
    answer = function_of(question_named("takts"))(load(takts), ["66 s"], replications=4)
    assert answer.table("takts").as_rows() == raw["tables"]["takts"]


def test_the_example_is_short() -> None:
    """Adding a question takes at most 120 lines of the page."""
    assert len(example().splitlines()) <= 120
