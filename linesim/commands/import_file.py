"""`linesim import`: a plant's own workbook or CSV file becomes the tables of a scenario."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from linesim.commands.options import DONE, WRONG_INPUT, add_command

if TYPE_CHECKING:
    from linesim.commands.options import Commands
    from linesim.commands.show import Page
    from linesim.intake.intake import Intake, TableRead

MOST_SAID = 15  #: Changes that are listed without --all.
KINDS = ("tasks", "times", "stations", "orders", "shifts")  #: What --kind takes.


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "import",
        "Read a plant's workbook into the tables of a scenario, and say what was read how",
        examples=(
            (
                "linesim import times-of-may.xlsx",
                "tasks, stations, orders, shifts: what it holds becomes tables, and a scenario around them",
            ),
            (
                "linesim import times-of-june.xlsx --scenario line.toml --force",
                "next month: what was confirmed in May is known, the tables are replaced",
            ),
            (
                "linesim import shifts.csv --column 'Tractors off=jobs' --column 'Team=' --yes",
                "two headings said (one is not read), and all else taken as it is shown",
            ),
        ),
        more="Headings are matched to columns and shown, and the map is kept beside the scenario "
        "(line.import.toml). Formulas are read as the values that were computed last, never run. "
        "Without a terminal to ask at, what is not sure needs --yes.",
    )
    parser.add_argument("file", metavar="FILE", help="workbook (.xlsx) or CSV file of a plant")
    parser.add_argument(
        "--scenario",
        metavar="FILE",
        default="line.toml",
        help="scenario beside which tables and map are kept; made if it is not there (default: line.toml)",
    )
    parser.add_argument(
        "--column",
        dest="columns",
        metavar="HEADING=COLUMN",
        action="append",
        type=_column,
        default=[],
        help="what a heading means, such as 'Std. min=mean_min'; 'HEADING=' is not read; may be repeated",
    )
    parser.add_argument("--kind", choices=KINDS, help="what the file holds, where that is not found")
    parser.add_argument(
        "--sheet", dest="sheets", metavar="NAME", action="append", default=[],
        help="a sheet to read; may be repeated (default: all that hold a table)",
    )  # fmt: skip
    parser.add_argument("--hidden", action="store_true", help="read hidden sheets, rows and columns too")
    parser.add_argument("--takt", metavar="TIME", help="planned time between two jobs, such as '95 s'")
    parser.add_argument("--yes", action="store_true", help="take everything as it is shown, without asking")
    parser.add_argument("--all", action="store_true", help="list every change, not only the first ones")
    parser.add_argument("--dry-run", action="store_true", help="show what would be read, and write nothing")
    parser.add_argument("--force", action="store_true", help="replace tables that are already there")


def _column(text: str) -> tuple[str, str]:
    heading, sign, column = text.rpartition("=")
    if not sign or not heading.strip():
        raise argparse.ArgumentTypeError(f"found {text!r}; write 'HEADING=COLUMN'")
    return heading.strip(), column.strip()


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.commands.files import OutputRefusedError, require_free, write_file
    from linesim.intake.intake import MAP, import_file

    scenario = Path(args.scenario)
    is_new = not scenario.exists()
    kept = scenario.with_name(f"{scenario.stem}.{MAP}")
    found = import_file(
        args.file,
        kept=_kept(kept),
        columns=dict(args.columns),
        kind=args.kind,
        sheets=args.sheets,
        hidden=args.hidden,
        takt=args.takt,
        scenario=scenario.name if is_new else None,
    )
    _show(found, everything=args.all)
    if args.dry_run:
        return DONE
    paths = {name: scenario.with_name(name) for name in found.files}
    if any(path.exists() and path.samefile(args.file) for path in paths.values()):
        raise OutputRefusedError(f"{args.file} would be written over; put it elsewhere or rename it")
    require_free({f"to write {name}": path for name, path in paths.items()}, force=args.force)
    if not (found.is_sure or args.yes or _confirmed()):
        print(
            "nothing is written: confirm what was read with --yes, or say it with --column "
            f"'HEADING=COLUMN'; it is kept in {kept}",
            file=sys.stderr,
        )
        return WRONG_INPUT
    for name, path in paths.items():
        write_file("import", path, found.files[name])
    write_file("import", kept, found.map)
    print(f"wrote {', '.join(str(path) for path in (*paths.values(), kept))}", file=sys.stderr)
    return _next(found, scenario, is_new=is_new)


def _kept(path: Path) -> str:
    """Return the text of the map beside the scenario; empty if there is none."""
    from linesim.errors import WrongQuestionError
    from linesim.scenario.files import TEXT_LIMIT, read_ordinary
    from linesim.scenario.problems import UnreadableError

    if not path.exists():
        return ""
    try:
        return read_ordinary(path, str(path), limit=TEXT_LIMIT).decode("utf-8")
    except UnreadableError as error:
        raise WrongQuestionError(error.message) from None
    except UnicodeDecodeError:
        raise WrongQuestionError(f"{path}: the map is no UTF-8 text.") from None


def _confirmed() -> bool:
    """Ask whether all that was shown is right, where somebody sits at a terminal."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return False
    print("\nRead it so? [y/N] ", end="", flush=True)
    return sys.stdin.readline().strip().lower() in ("y", "yes")


def _show(found: Intake, *, everything: bool) -> None:
    from linesim.commands.show import Page

    page = Page()
    page.title(found.file)
    for table in found.tables:
        _table(page, table)
    for heading, texts in (
        ("To confirm", found.doubts),
        ("Changed or left out", found.changes),
        ("What nobody said: guesses in the scenario", found.guesses),
    ):
        if texts:
            page.heading(heading)
        for text in texts if everything else texts[:MOST_SAID]:
            page.say(text, indent=2, hang=2)
        if len(texts) > MOST_SAID and not everything:
            page.say(f"and {len(texts) - MOST_SAID} more (--all lists them).", indent=2)


def _table(page: Page, table: TableRead) -> None:
    from linesim.answers.wording import count_of

    how = {
        "like": "by one of its words",
        "unit": "by its unit",
        "only": "of one model or option alone",
        "double": "another column means it",
        "map": "as before",
    }
    where = f"sheet {table.sheet}, " if table.sheet else ""
    what = f"{table.what[0].upper()}{table.what[1:]}"
    page.heading(f"{what}: {where}headings in row {table.row}, {count_of(table.count, 'row')} read")
    page.table(
        ("heading", "read as", "such as", ""),
        [
            (one.heading[:30], one.column or "not read", one.example[:24], how.get(one.how, ""))
            for one in table.columns
        ],
        left=4,
    )


def _next(found: Intake, scenario: Path, *, is_new: bool) -> int:
    """Check the scenario with its new tables, and say what comes next."""
    from linesim.answers.wording import count_of
    from linesim.errors import ScenarioError
    from linesim.scenario import read

    says = []
    text = "" if is_new else scenario.read_text(encoding="utf-8", errors="replace")
    lines = {"tasks.csv": 'tasks = "{}"', "orders.csv": 'file = "{}" and sequence = "listed" under [orders]'}
    for name, line in lines.items():
        here = _named(found, name)
        if here and text and here not in text:
            says.append(f"{scenario} does not read {here} yet: write {line.format(here)}")
    if text and any(table.kind == "stations" for table in found.tables):
        says.append(f"{scenario} was there already: its stations are left as they are")
    if here := _named(found, "times.csv"):
        says.append(f"next: linesim fit {scenario.with_name(here)}")
    if here := _named(found, "actuals.csv"):
        says.append(f"next: linesim validate {scenario} {scenario.with_name(here)}")
    if scenario.name in found.files and not any(table.kind == "tasks" for table in found.tables):
        says.append(f"{scenario} waits for its tasks; next: linesim import them")
    elif text or scenario.name in found.files:
        try:
            reading = read(scenario)
        except ScenarioError as error:
            print("\n".join([*says, error.rendered()]), file=sys.stderr)
            return WRONG_INPUT
        warned = f", {count_of(len(reading.warnings), 'warning')}" if reading.warnings else ""
        says.append(f"{scenario}: no errors{warned}; next: linesim check {scenario}, linesim run {scenario}")
    print("\n".join(says), file=sys.stderr)
    return DONE


def _named(found: Intake, name: str) -> str:
    """Return the name under which a table was written; empty if it was not."""
    return next((one for one in found.files if one.endswith(name)), "")
