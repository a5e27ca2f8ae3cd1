"""README and the page of answers show what README's commands print; minutes of simulation, so slow."""

import os
import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.documents.pages import ANSWERS, README, ROOT, blocks, generated_part, write_part

#: What is shown of each answer after its sentences: the beginnings of headings.
SHOWN = {
    "buffers": ("bank-trim: jobs", "Before anything", "How this"),
    "crew": ("One more", "Before anything", "How this"),
    "mix": ("Output, stops", "Overload by", "How this"),
    "staff": ("Staffings: the answer", "Before anything", "How this"),
    "rebalance": ("The best moves", "What moves", "Before anything", "How this"),
    "sequence": ("Every order", "Spacing rules", "Before anything", "How this"),
}
PICTURES = "linesim report scenarios/tractor/line.toml "
_HEADING = re.compile(r"^\S.* ─{2,}$")


def command(begins: str) -> list[str]:
    """Return the words of the one command of README that begins so, on one line or on several."""
    lines = [line for block in blocks(README, "sh") for line in block.replace("\\\n", " ").splitlines()]
    (found,) = [line for line in lines if line.startswith(begins)]
    return shlex.split(found)


def printed(words: list[str], *more: str) -> str:
    """Return what a command prints in 80 columns, run from the top of the checkout on all processors."""
    assert words[0] == "linesim"
    done = subprocess.run(
        [sys.executable, "-m", *words, "--quiet", "--workers", str(os.cpu_count() or 1), *more],
        cwd=ROOT, capture_output=True, text=True, timeout=3600, check=True,
        env={**os.environ, "COLUMNS": "80"},
    )  # fmt: skip
    return done.stdout


def parts(text: str) -> Iterator[str]:
    """Yield an answer cut before its headings."""
    part: list[str] = []
    for line in text.strip("\n").splitlines():
        if _HEADING.match(line):
            yield "\n".join(part).strip("\n")
            part = []
        part.append(line)
    yield "\n".join(part).strip("\n")


def shortened(text: str, shown: tuple[str, ...]) -> str:
    """Return an answer with its sentences and the parts under some headings; ``…`` stands for the others."""
    said, *others = parts(text)
    kept = [said]
    for part in others:
        if part.startswith(shown):
            kept.append(part)
        elif kept[-1] != "…":
            kept.append("…")
    for heading in shown:
        assert any(part.startswith(heading) for part in kept), f"no part {heading}"
    return "\n```text\n" + "\n\n".join(kept) + "\n```\n\n"


def test_answers_are_shortened_between_headings() -> None:
    """What is shown begins with the sentences, keeps whole parts, and marks what is left out."""
    text = "Title\n\n  It is so.\n\nOne ───\n  1\n\nTwo ───\n  2\n\nThree ───\n  3\n\nFour ───\n  4\n"
    assert (
        shortened(text, ("Three",)) == "\n```text\nTitle\n\n  It is so.\n\n…\n\nThree ───\n  3\n\n…\n```\n\n"
    )
    assert "…" not in shortened(text, ("One", "Two", "Three", "Four"))
    with pytest.raises(AssertionError, match="no part Five"):
        shortened(text, ("Five",))


@pytest.mark.parametrize("question", SHOWN)
def test_answers_look_as_printed(question: str) -> None:
    """Each question has its command, an interval, its main table and how it was found."""
    assert command(f"linesim {question} scenarios/tractor/line.toml")
    shown = generated_part(ANSWERS, question)
    assert re.search(r"\([-+\d.,]+ to [-+\d.,]+\)", " ".join(shown.split()))
    for heading in SHOWN[question]:
        assert f"\n{heading}" in shown


@pytest.mark.slow
@pytest.mark.parametrize("question", SHOWN)
def test_answers_are_current(question: str, update_golden: bool) -> None:
    """The page of answers shows what the command of each question prints."""
    block = shortened(printed(command(f"linesim {question} ")), SHOWN[question])
    if update_golden:
        write_part(ANSWERS, question, block)
    assert generated_part(ANSWERS, question) == block


def beginning(text: str) -> str:
    """Return the first six lines of an answer below its title, where it says what it found."""
    lines = text.strip("\n").removeprefix("```text\n").splitlines()[2:8]
    return "```text\n" + "\n".join(lines).rstrip() + "\n  …\n```\n"


@pytest.mark.parametrize("question", ["answer", *SHOWN])
def test_readme_shows_the_beginning(question: str, update_golden: bool) -> None:
    """README has the first six lines of each answer, and they are those of the page of answers."""
    block = beginning(generated_part(ANSWERS, question))
    if update_golden:
        write_part(README, question, block)
    assert generated_part(README, question) == block
    assert re.search(r"[.:]", block) and len(block.splitlines()) <= 11


@pytest.fixture(scope="module")
def tractor(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Path]:
    """Return what `linesim run` prints of the tractor line, and the folder that keeps its replications."""
    kept = tmp_path_factory.mktemp("readme") / "tractor"
    return printed(["linesim", "run", "scenarios/tractor/line.toml"], "--out", str(kept)), kept


@pytest.mark.slow
def test_answer_is_current(tractor: tuple[str, Path], update_golden: bool) -> None:
    """The page of answers shows the beginning of what command one prints."""
    answer, rest = tractor[0].split("Where does it wait?", 1)
    assert rest
    block = "\n```text\n" + answer.strip("\n") + "\n```\n\n"
    if update_golden:
        write_part(ANSWERS, "answer", block)
    assert generated_part(ANSWERS, "answer") == block


@pytest.mark.slow
def test_pictures_are_current(tractor: tuple[str, Path], tmp_path: Path, update_golden: bool) -> None:
    """The pictures that README shows are, byte for byte, those that its command draws.

    The page is made from the replications of `run`, which are those that the command would simulate: tests of
    the report hold the two pages equal.
    """
    words = command(PICTURES)
    shown = ROOT / words[words.index("--pictures") + 1]
    words[words.index("scenarios/tractor/line.toml")] = str(tractor[1])
    words[words.index("-o") + 1] = str(tmp_path / "page.html")
    words[words.index("--pictures") + 1] = str(tmp_path / "pictures")
    printed(words)
    drawn = {path.name: path.read_text(encoding="utf-8") for path in (tmp_path / "pictures").iterdir()}
    if update_golden:
        shown.mkdir(exist_ok=True)
        for name, text in drawn.items():
            (shown / name).write_text(text, encoding="utf-8")
    assert {path.name: path.read_text(encoding="utf-8") for path in shown.iterdir()} == drawn
