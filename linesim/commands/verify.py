"""`linesim verify`: does the program give what is known, and does a line keep to its own laws?"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING

from linesim.commands.options import add_changes, count, seed
from linesim.commands.parser import add_command
from linesim.commands.status import DONE, FAILED

if TYPE_CHECKING:
    from linesim.commands.parser import Commands
    from linesim.commands.progress import Tell
    from linesim.verification.row import CheckRow


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "verify",
        "Hold the installed program, or a line, against what must be true of it",
        examples=(
            ("linesim verify", "published and recomputed answers against this program, in half a minute"),
            (
                "linesim verify --full --json",
                "everything, twice as sharp, as one JSON object; takes minutes",
            ),
            (
                "linesim verify scenarios/tractor/line.toml --set 'run.length = \"8 h\"'",
                "what this line must keep to, and which laws do not apply to it",
            ),
        ),
        more="Each row says what was expected, from which source, what was found, in which interval, "
        "and the verdict: agrees, differs, or too blind to tell. The exit status is 1 if any check fails.",
    )
    parser.add_argument(
        "file", metavar="FILE", nargs="?", help="scenario, a TOML file; without it the program itself"
    )
    add_changes(parser)
    parser.add_argument(
        "--full", action="store_true", help="every check of the program, with four times the replications"
    )
    parser.add_argument(
        "--replications",
        metavar="N",
        type=count,
        help="with FILE: independent repetitions of each run, at least 2 (default: as many "
        "as each check takes, 10 or more)",
    )
    parser.add_argument(
        "--seed", metavar="N", type=seed, help="number that all luck follows from (default: 1, or the file's)"
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object instead of a page")
    parser.add_argument("--quiet", action="store_true", help="no progress on stderr")


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    title, rows = _own(args) if args.file is not None else _program(args)
    failed = any(row.is_failed for row in rows)
    if args.json:
        print(json.dumps(_object(args, rows, failed=failed), indent=2, ensure_ascii=False))
    else:
        _page(title, rows)
    return FAILED if failed else DONE


def _program(args: argparse.Namespace) -> tuple[str, list[CheckRow]]:
    """Return what was checked, and the outcome of the checks of the installed program."""
    from linesim.commands.progress import progress
    from linesim.errors import WrongQuestionError
    from linesim.verification.bench import CheckBench
    from linesim.verification.known import FULL_TIMES
    from linesim.verification.program import known, rows

    if args.sets or args.add or args.replications is not None:
        raise WrongQuestionError("--set, --add and --replications belong to a scenario; name its file.")
    with progress("checks", quiet=args.quiet) as tell:
        done = _Done(len(known(full=args.full)) + 1, tell)
        seed = 1 if args.seed is None else args.seed
        bench = CheckBench(times=FULL_TIMES if args.full else 1, seed=seed, told=done.tell)
        return "linesim, as it is installed here", done.counted(rows(bench, full=args.full))


def _own(args: argparse.Namespace) -> tuple[str, list[CheckRow]]:
    """Return the title of a line, and the outcome of its checks."""
    from linesim.commands.progress import progress
    from linesim.commands.studying import warn
    from linesim.errors import WrongQuestionError
    from linesim.scenario import read
    from linesim.verification.bench import CheckBench
    from linesim.verification.own import N_CHECKS, own_rows

    if args.full:
        raise WrongQuestionError(
            "--full belongs to the program; leave the file out, or write --replications."
        )
    if args.replications == 1:
        raise WrongQuestionError("--replications 1 has no interval; write 2 or more.")
    reading = read(args.file, args.sets, add=args.add)
    warn(reading, args)
    scenario = reading.scenario
    with progress("checks", quiet=args.quiet) as tell:
        done = _Done(N_CHECKS, tell)
        bench = CheckBench(seed=scenario.run.seed if args.seed is None else args.seed, told=done.tell)
        rows = done.counted(own_rows(scenario, bench, args.replications))
    return scenario.title or args.file, rows


class _Done:
    """How many checks are done; told after each run, since one check may take minutes of runs."""

    def __init__(self, total: int, tell: Tell | None) -> None:
        self._done, self._total, self._tell = 0, total, tell

    def tell(self) -> None:
        if self._tell is not None:
            self._tell(self._done, self._total)

    def counted(self, rows: Iterator[CheckRow]) -> list[CheckRow]:
        found = []
        for row in rows:
            found.append(row)
            self._done = min(len(found), self._total)
            self.tell()
        return found


def _object(args: argparse.Namespace, rows: list[CheckRow], *, failed: bool) -> dict[str, object]:
    from linesim.runs.provenance import versions
    from linesim.verification.row import FALSE_ALARM

    return {
        "verify": {
            "file": args.file,
            "full": args.full,
            "false_alarm": FALSE_ALARM,
            "failed": failed,
            "versions": versions(),
        },
        "checks": [row.as_dict() for row in rows],
    }


def _page(title: str, rows: list[CheckRow]) -> None:
    from linesim.commands.page import Page
    from linesim.commands.verify_page import sentence, show

    page = Page()
    page.title(title)
    page.say(sentence(rows), indent=2)
    show(page, rows)
    sys.stdout.flush()
