"""README's commands and blocks do what the page says."""

import os
import re
import shlex
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import linesim
from linesim.commands.main import COMMANDS as COMMANDS_OF_PROGRAM
from linesim.commands.main import parser
from tests.documents.pages import README, ROOT, blocks

COMMANDS = blocks(README, "sh")[:2]


def test_two_commands_of_one_line_each() -> None:
    """The first two blocks are one line each, and each works alone: it makes the environment itself."""
    run, test = COMMANDS
    for command in (run, test):
        assert command.count("\n") == 1
        assert command.startswith("python3 -m venv .venv && .venv/bin/pip install -q -c .ci/constraints.txt ")
    assert run.endswith("&& .venv/bin/linesim run scenarios/tractor/line.toml\n")
    assert "-m pytest" in test


def test_checks_run_exactly_the_test_command() -> None:
    """What .ci/run picks out of README and runs is the whole second command, unchanged."""
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    found = re.search(r"^command=\$\(grep -m1 '([^']+)' README\.md\)$", script, flags=re.MULTILINE)
    assert found, ".ci/run should take the command from README.md"
    picked = [line for line in README.read_text(encoding="utf-8").splitlines() if re.search(found[1], line)]
    assert picked[0] + "\n" == COMMANDS[1]
    assert 'bash -euo pipefail -c "$command"' in script
    assert os.access(ROOT / ".ci" / "run", os.X_OK)


@pytest.mark.parametrize("number", range(len(blocks(README, "toml"))))
def test_scenario_blocks_are_whole_scenarios(number: int, tmp_path: Path) -> None:
    """Every TOML block of README is a scenario that loads without an error."""
    text = blocks(README, "toml")[number]
    path = tmp_path / "line.toml"
    path.write_text(text, encoding="utf-8")
    scenario = linesim.load(path)
    assert scenario.title == tomllib.loads(text)["title"]


@pytest.mark.parametrize("number", range(len(blocks(README, "python"))))
def test_python_blocks_run(number: int) -> None:
    """Every Python block of README runs from the top of the checkout and prints something."""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", blocks(README, "python")[number]],
        cwd=ROOT, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip()


def examples() -> list[list[str]]:
    """Return the words of every call of linesim that README shows, in blocks and in its text."""
    text = README.read_text(encoding="utf-8")
    shown = [
        line.rsplit("&& .venv/bin/", 1)[-1]
        for block in blocks(README, "sh")
        for line in block.replace("\\\n", " ").splitlines()
        if "linesim " in line
    ]
    outside = re.sub(r"^```.*?^```$", "", text, flags=re.MULTILINE | re.DOTALL)
    shown += [" ".join(call.split()) for call in re.findall(r"`(linesim [^`]*\.(?:toml|csv)[^`]*)`", outside)]
    return [shlex.split(line) for line in shown if not re.search(r" (?:line\.toml|study\.xlsx)", line)]


def test_every_command_has_its_place() -> None:
    """The table of commands has each command of the program in one row, by what one wants to do."""
    table = README.read_text(encoding="utf-8").split("| to | commands |")[1].split("\n\n")[0]
    named = re.findall(r"`(\w+)`", table)
    assert sorted(named) == sorted(COMMANDS_OF_PROGRAM)


@pytest.mark.parametrize("words", examples(), ids=" ".join)
def test_examples_are_understood(words: list[str]) -> None:
    """The program takes every example of README as it stands, and the files that it reads exist."""
    args = parser().parse_args(words[1:])
    read = [args.file] if hasattr(args, "file") and words[1] != "new" else []
    read += [args.actuals] if hasattr(args, "actuals") else []
    for name in read:
        assert any((ROOT / folder / name).exists() for folder in (".", "scenarios/tractor")), name
    for lines in getattr(args, "sets", ()):
        linesim.load(
            ROOT / "scenarios" / "tractor" / "line.toml", [lines] if isinstance(lines, str) else lines
        )


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md", "tests/README.md"])
def test_links_and_paths_lead_somewhere(page: str) -> None:
    """Every relative link, and every path of the checkout that stands in code type, exists."""
    path = ROOT / page
    text = re.sub(r"^```.*?^```$", "", path.read_text(encoding="utf-8"), flags=re.MULTILINE | re.DOTALL)
    links = [link for link in re.findall(r"\]\(([^)#]+)\)", text) if "://" not in link]
    named = re.findall(r"`((?:scenarios|tests|linesim|notebooks|\.ci)/[\w./\-]*)`", text)
    missing = [link for link in links if not (path.parent / link).exists()]
    missing += [name for name in named if not (ROOT / name).exists()]
    assert not missing


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_links_within_a_page_lead_to_a_heading(page: str) -> None:
    """Every link to a place on the same page names one of its headings, small and joined by hyphens."""
    text = (ROOT / page).read_text(encoding="utf-8")
    headings = re.findall(
        r"^#+ (.*)$", re.sub(r"^```.*?^```$", "", text, flags=re.MULTILINE | re.DOTALL), re.M
    )
    places = {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}
    assert not set(re.findall(r"\]\(#([^)]*)\)", text)) - places
