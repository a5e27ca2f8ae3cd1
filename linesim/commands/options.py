"""How every command presents itself: purpose, worked examples, options with limits, exit status."""

from __future__ import annotations

import argparse
import re
import shlex
import textwrap
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

DONE = 0
FAILED = 1  #: the run or a check failed
WRONG_INPUT = 2  #: the scenario, a file or the command line was wrong
INTERRUPTED = 130


WIDTH = 80  #: Columns of every help page.
PURPOSE = "Simulates one segment of a paced assembly line and says how sure it is."

if TYPE_CHECKING:
    Commands = argparse._SubParsersAction[argparse.ArgumentParser]


class Parser(argparse.ArgumentParser):
    """A parser that keeps the lines of its texts as they are written and accepts no shortened options."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("formatter_class", _Layout)
        super().__init__(allow_abbrev=False, **options)


class _Layout(argparse.RawDescriptionHelpFormatter):
    def __init__(self, prog: str, **options: Any) -> None:
        super().__init__(prog, **{"max_help_position": 26, "width": WIDTH, **options})

    def add_argument(self, action: argparse.Action) -> None:
        """Make room for the longest command beside its purpose; argparse forgets their indent."""
        super().add_argument(action)
        if isinstance(action, argparse._SubParsersAction):
            self._action_max_length += self._indent_increment


def add_command(
    commands: Commands, name: str, purpose: str, *, examples: Sequence[tuple[str, str]], more: str = ""
) -> argparse.ArgumentParser:
    """Add a command to the program.

    Args:
        commands: The program's commands.
        name: What the user types.
        purpose: One line, without a full stop.
        examples: Command lines that work as they stand, each with what it does.
        more: What else one should know.

    Returns:
        The command's parser, for its arguments.
    """
    lines = textwrap.wrap(f"{purpose}.", WIDTH)
    lines += ["", *textwrap.wrap(more, WIDTH), "", "examples:"] if more else ["", "examples:"]
    for command, says in examples:
        lines += _command_lines(command)
        lines += textwrap.wrap(says, WIDTH, initial_indent="      ", subsequent_indent="      ")
    return commands.add_parser(name, help=purpose, description="\n".join(lines))


def _command_lines(command: str) -> list[str]:
    """Return a command line as a shell reads it, broken before options where it is too long."""
    lines: list[str] = []
    for part in re.split(r" (?=--)", command):
        if lines and len(lines[-1]) + 1 + len(part) <= WIDTH - 2:
            lines[-1] += f" {part}"
        else:
            lines.append(f"      {part}" if lines else f"  {part}")
    return [f"{line} \\" for line in lines[:-1]] + lines[-1:]


def command_again(
    name: str, files: Sequence[str], args: argparse.Namespace, options: Mapping[str, object]
) -> str:
    """Return the command that makes a page again, from the folder of the files that it names.

    Args:
        name: The command.
        files: What it is given.
        args: What it was called with, of which the changes to the line and ``--out`` are taken.
        options: The others; None is left out.
    """
    words = ["linesim", name, *files]
    for flag, lines in (("--add", args.add), ("--set", args.sets), ("--try", getattr(args, "tries", ()))):
        words += [word for line in lines for word in (flag, line)]
    for option, value in options.items():
        if value is not None:
            words += [f"--{option.replace('_', '-')}", str(value)]
    return shlex.join([*words, "-o", Path(args.out).name])


def add_scenario(
    parser: argparse.ArgumentParser, about: str = "scenario, a TOML file", *, is_needed: bool = True
) -> None:
    """Add the scenario file and the lines that are laid over it."""
    parser.add_argument("file", metavar="FILE", nargs=None if is_needed else "?", help=about)
    add_changes(parser)


def add_changes(parser: argparse.ArgumentParser) -> None:
    """Add the lines that are laid over the scenario, in every case of a study."""
    parser.add_argument(
        "--set",
        dest="sets",
        metavar="LINE",
        action="append",
        default=[],
        help="a line of TOML that changes the line itself, in every case of a study, such as "
        "'buffer.lane.capacity = 5'; may be repeated",
    )
    parser.add_argument(
        "--add",
        metavar="LINE",
        action="append",
        default=[],
        help="a line of TOML that makes a new thing, such as 'tool.gun.count = 2'; may be repeated",
    )


def add_run_options(parser: argparse.ArgumentParser, *, intervals: bool = True) -> None:
    """Add how often and with which luck to simulate, with how many processes, and how sure intervals are."""
    parser.add_argument(
        "--replications",
        metavar="N",
        type=count,
        help="independent repetitions (default: what the file says)",
    )
    parser.add_argument(
        "--seed",
        metavar="N",
        type=seed,
        help="number that all luck follows from (default: what the file says)",
    )
    if intervals:
        add_confidence(parser)
    add_workers(parser)


def add_workers(parser: argparse.ArgumentParser) -> None:
    """Add how many replications run at a time, and by which drive."""
    parser.add_argument(
        "--workers",
        metavar="N",
        type=count,
        help="replications that run at a time; changes no figure (default: one a processor)",
    )
    add_drive(parser)


def add_drive(
    parser: argparse.ArgumentParser, *, by_default: str = "compiled where numba is installed"
) -> None:
    """Add by which drive lines are run."""
    parser.add_argument(
        "--drive",
        choices=("simpy", "compiled"),
        help=f"simpy, or compiled: the same rules as machine code; changes no figure (default: {by_default})",
    )


def add_confidence(parser: argparse.ArgumentParser) -> None:
    """Add how sure the intervals are."""
    parser.add_argument(
        "--confidence",
        metavar="P",
        type=confidence,
        default=0.95,
        help="confidence of the intervals: 0.95, 95 and 95%% are the same (default: 95)",
    )


def add_output_options(parser: argparse.ArgumentParser) -> None:
    """Add where the answer goes."""
    parser.add_argument("--json", action="store_true", help="print one JSON object instead of a page")
    parser.add_argument(
        "--out",
        metavar="DIR",
        help="write tables and the JSON object into this folder; a name that ends in .xlsx is one Excel "
        "workbook instead",
    )
    parser.add_argument(
        "--parquet",
        action="store_true",
        help="write the tables of --out as Parquet too (needs the package pyarrow)",
    )
    parser.add_argument(
        "--force", action="store_true", help="replace files that --out or --events finds there"
    )
    parser.add_argument("--quiet", action="store_true", help="no progress and no notes on stderr")


def count(text: str) -> int:
    """Read a number of things: whole, >= 1."""
    number = _whole(text)
    if not 1 <= number <= 1_000_000:
        raise argparse.ArgumentTypeError(f"found {text}; write a whole number from 1 to 1000000")
    return number


def seed(text: str) -> int:
    """Read a seed: whole, from 0 to 2**64 - 1."""
    number = _whole(text)
    if not 0 <= number < 2**64:
        raise argparse.ArgumentTypeError(f"found {text}; write a whole number from 0 to 2**64 - 1")
    return number


def confidence(text: str) -> float:
    """Read a confidence, as a share or in percent, and return the share."""
    try:
        number = float(text.removesuffix("%"))
    except ValueError:
        number = float("nan")
    share = number / 100 if text.endswith("%") or number > 1 else number
    if not 0.5 <= share < 1:
        raise argparse.ArgumentTypeError(f"found {text}; write a confidence such as 0.95 or 95%")
    return share


def _whole(text: str) -> int:
    try:
        return int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"found {text!r}; write a whole number") from None
