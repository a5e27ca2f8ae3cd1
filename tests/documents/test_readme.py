"""README's commands and blocks do what the page says."""

import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

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
    import linesim

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


def test_commands_of_the_table_exist() -> None:
    """Every command named in README is one that the program offers."""
    named = set(re.findall(r"`linesim ([a-z]+)", README.read_text(encoding="utf-8")))
    assert {"check", "run"} <= named
    for command in sorted(named):
        done = subprocess.run(
            [sys.executable, "-m", "linesim", command, "--help"],
            cwd=ROOT, capture_output=True, text=True, timeout=60, check=False,
        )  # fmt: skip
        assert done.returncode == 0, f"linesim {command}: {done.stderr}"


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
