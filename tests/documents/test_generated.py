"""Parts of README that are written from the program say what the program says now."""

from collections.abc import Callable
from pathlib import Path

import pytest

from linesim.commands.main import parser
from tests.commands.calls import call
from tests.documents.pages import ANSWERS, README, ROOT, generated_part, write_part

PLAN = ROOT / "scenarios" / "features" / "work-plan.csv"

GENERAL = """\
`--replications N`, `--seed N`, `--workers N` change a run; `--set LINE` changes the line itself, in every
case, such as `--set 'buffer.lane.capacity = 5'`, and `--add LINE` makes something new (a name that the line
does not have is refused). `compare`, `mix` and `doubt` take alternatives: `--try 'LINE; LINE'`. `--json`
prints one object for programs, `--out DIR` keeps tables and every replication (`--out NAME.xlsx` an Excel
workbook), `--events FILE` logs everything that happened. The same input and seed give the same bytes,
whatever the number of workers. Exit status: 0 done, 1 a run or check failed, 2 wrong input, 130
interrupted.

`--out DIR` makes a study: after an interruption, give the same command again, and nothing finished is run
twice. `--dry-run` says how long it takes. `--precision 1% --measure throughput` runs as many replications
as that needs. With `--cluster tcp://127.0.0.1:8786` the workers of a dask scheduler share the work (extra
`cluster`; on a network you trust).

`linesim desk` shows every station with its crews, work against takt and stops; people, places, take rates,
takt or anything else that the file says can be changed there, a task dragged to another station. The
questions are buttons, up to four alternatives stand side by side, the file stays as it is until somebody
saves, and the desk shows the command that asks the same. `linesim report` writes one file that works by
keyboard and on a phone, and prints: the answer first, then what the line makes, what stops it, who has how
much to do, what was assumed, how to repeat it, a reporting checklist. Given a folder that `--out` of a
study has made it tells of that study, with selectors over what was simulated. `--card FILE`, at every
question that decides, puts the decision alone on one printed side. `linesim replay` writes one replication
to leaf through, like a shift log; with `--try 'crew.trim.people = 7'` the changed line runs beside it on
one clock, with the same jobs and the same luck.
"""  #: What goes for several commands, and what their pages are.


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
    """Return the page of all commands: what goes for several, then each with worked examples."""
    (commands,) = (action for action in parser()._actions if action.dest == "command")
    lines = [
        "# The commands", "",
        "What `linesim COMMAND --help` says before the options. The examples work in the folder "
        "`scenarios/tractor`. This\npage is written by `pytest tests/documents --update-golden`.", "",
        GENERAL.rstrip(),
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
