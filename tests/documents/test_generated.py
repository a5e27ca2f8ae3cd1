"""Parts of README that are written from the program say what the program says now."""

from collections.abc import Callable
from pathlib import Path

import pytest

from linesim.commands.main import parser
from tests.commands.calls import call
from tests.documents.pages import ANSWERS, README, ROOT, generated_part, write_part

PLAN = ROOT / "scenarios" / "features" / "work-plan.csv"


def measures_page() -> str:
    """Return the page of measures with their definitions, and the words told apart."""
    from linesim.measures.definitions import DEFINITIONS, GLOSSARY

    lines = [
        "# What each measure means", "",
        "`linesim explain NAME` prints what is written here. This page is written by `pytest tests/documents "
        "--update-golden`.", "",
        "| measure | where | unit | what it means |", "|---|---|---|---|",
    ]  # fmt: skip
    lines += [f"| `{name}` | {d.where} | {d.unit} | {d.says} |" for name, d in DEFINITIONS.items()]
    lines += ["", "Words that are easily taken for one another:", ""]
    lines += [f"- **{word}**: {says}." for word, says in GLOSSARY.items()]
    return "\n".join(lines) + "\n"


def codes_page() -> str:
    """Return the page about all codes, one paragraph a code, in alphabetical order."""
    from linesim.scenario.problems import codes

    head = (
        "# What a message's code means\n\n"
        "All problems of a file are reported at once, each with its place, what was found, what would be "
        "right, and a code in\nbrackets; `linesim explain CODE` prints what is written here. This page is "
        "written by `pytest tests/documents\n--update-golden`.\n"
    )
    return "\n".join([head, *(f"**`{name}`** {says}\n" for name, says in sorted(codes().items()))])


def commands_page() -> str:
    """Return the page of all commands: what each is for, what one should know, worked examples."""
    (commands,) = (action for action in parser()._actions if action.dest == "command")
    lines = [
        "# The commands", "",
        "What `linesim COMMAND --help` says before the options. The examples work in the folder "
        "`scenarios/tractor`. This\npage is written by `pytest tests/documents --update-golden`.",
    ]  # fmt: skip
    assert isinstance(commands.choices, dict)
    for name, command in commands.choices.items():
        lines += ["", f"## linesim {name}", "", "```text", command.description.strip(), "```"]
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize(
    ("name", "page"),
    [("COMMANDS.md", commands_page), ("MEASURES.md", measures_page), ("MESSAGES.md", codes_page)],
)
def test_pages_of_commands_measures_and_codes_are_current(
    name: str, page: Callable[[], str], update_golden: bool
) -> None:
    """A page shows every command, one the measures that a table can hold, one the codes of all messages."""
    path = ROOT / "scenarios" / name
    if update_golden:
        path.write_text(page(), encoding="utf-8")
    assert path.read_text(encoding="utf-8") == page()
    assert f"scenarios/{name}" in README.read_text(encoding="utf-8")


def test_what_import_shows_is_current(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    update_golden: bool,
) -> None:
    """The example of an import is what the command prints of the shipped work plan."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    said = call(capsys, "import", PLAN, "--yes")
    assert said.status == 0 and "no errors" in said.err
    shown = f"\n```text\n{said.out.strip()}\n```\n\n"
    if update_golden:
        write_part(ANSWERS, "import", shown)
    assert generated_part(ANSWERS, "import") == shown


def test_the_page_of_the_map_is_current(update_golden: bool) -> None:
    """The page beside the scenarios names every column that import reads and the words that mean it."""
    from linesim.intake.map_file import reference

    page = ROOT / "scenarios" / "IMPORT.md"
    if update_golden:
        page.write_text(reference(), encoding="utf-8")
    assert page.read_text(encoding="utf-8") == reference()
