"""Parts of README that are written from the program say what the program says now."""

from pathlib import Path

import pytest

from tests.commands.calls import call
from tests.documents.pages import ANSWERS, README, ROOT, generated_part, write_part

PLAN = ROOT / "scenarios" / "features" / "work-plan.csv"


def measures_table() -> str:
    """Return the table of measures with their definitions, and the words told apart."""
    from linesim.measures.definitions import DEFINITIONS, GLOSSARY

    lines = ["", "| measure | where | unit | what it means |", "|---|---|---|---|"]
    lines += [f"| `{name}` | {d.where} | {d.unit} | {d.says} |" for name, d in DEFINITIONS.items()]
    lines += ["", "Words that are easily taken for one another:", ""]
    lines += [f"- **{word}**: {says}." for word, says in GLOSSARY.items()]
    return "\n".join(lines) + "\n\n"


def codes_list() -> str:
    """Return one paragraph a code."""
    from linesim.scenario.codes import CODES

    return "\n" + "".join(f"**`{name}`** {says}\n\n" for name, says in sorted(CODES.items()))


def test_measures_are_current(update_golden: bool) -> None:
    """README defines exactly the measures that a table can hold."""
    if update_golden:
        write_part(README, "measures", measures_table())
    assert generated_part(README, "measures") == measures_table()


def test_codes_are_current(update_golden: bool) -> None:
    """README explains exactly the problem codes that the program can report."""
    if update_golden:
        write_part(README, "codes", codes_list())
    assert generated_part(README, "codes") == codes_list()


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
