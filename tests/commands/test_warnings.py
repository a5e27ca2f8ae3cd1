"""What `check` warns of is told by every command that runs the file, on stderr, in JSON and on the page."""

import json
from pathlib import Path

import pytest

from tests.commands.calls import LINE, call

FEW = ("--replications", "2", "--workers", "1")
IDLE = "no task, bay or repair uses the crew"


@pytest.fixture
def idle(tmp_path: Path) -> Path:
    """Return a line with a crew that nothing uses."""
    path = tmp_path / "idle.toml"
    path.write_text(LINE + "[crew.idle]\npeople = 1\n", encoding="utf-8")
    return path


@pytest.mark.parametrize(
    "words",
    [
        ("run", *FEW),
        ("compare", "--try", "takt = '66 s'", *FEW),
        ("crew", "--only", "one", "--no-fewer", "--no-floater", *FEW),
        ("buffers", "--places", "2", *FEW),
        ("mix", "--no-options", *FEW),
        ("sweep", "--vary", "buffer.lane.capacity = [1]", *FEW),
        ("bottleneck", "--only", "A", *FEW),
        ("warmup", *FEW),
    ],
    ids=lambda words: words[0],
)
def test_studies_tell_what_check_warns_of(
    words: tuple[str, ...], idle: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The warning of an unused crew stands on stderr, and --quiet leaves it in the JSON object."""
    name, *options = words
    said = call(capsys, name, idle, *options)
    assert said.status == 0 and IDLE in said.err and said.err.count(IDLE) == 1
    quiet = call(capsys, name, idle, *options, "--quiet", "--json")
    assert quiet.err == ""
    assert [text for text in json.loads(quiet.out)["warnings"] if IDLE in text]


def test_other_commands_tell_it_too(idle: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What is read back, checked, watched or laid on a page comes with the warnings of its file."""
    assert IDLE in call(capsys, "explain", idle).err
    assert IDLE in call(capsys, "check", idle).err
    assert IDLE in call(capsys, "replay", idle, "-o", tmp_path / "replay.html").err
    page = tmp_path / "page.html"
    assert IDLE in call(capsys, "report", idle, *FEW, "-o", page).err
    assert IDLE in page.read_text(encoding="utf-8")


def test_cases_have_their_own_warnings(
    idle: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A comparison tells what is wrong with the other line, not only with the first."""
    base = tmp_path / "base.toml"
    base.write_text(LINE, encoding="utf-8")
    said = call(capsys, "compare", base, idle, *FEW, "--json")
    assert IDLE in said.err and IDLE in json.loads(said.out)["warnings"][0]
    tried = call(capsys, "compare", base, "--try", "add tool.gun.count = 1", *FEW)
    assert "nothing uses the tool" in tried.err


def test_a_model_that_nothing_asks_for(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One plain model is as it should be; a second one, or a slip of the other's name, is told."""
    base = tmp_path / "base.toml"
    for models, told in (("", False), ("[model.poor]\n", True)):
        base.write_text(LINE + models, encoding="utf-8")
        assert ("unused-model" in call(capsys, "check", base).err) == told
    base.write_text(LINE.replace("[model.plain]", "[model.rihc]"), encoding="utf-8")
    assert "unused-model" in call(capsys, "check", base).err
