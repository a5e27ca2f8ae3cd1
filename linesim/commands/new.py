"""`linesim new`: a commented scenario to start from."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from linesim.commands.options import DONE, add_command

if TYPE_CHECKING:
    from linesim.commands.options import Commands


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "new",
        "Write a commented scenario that runs, to start from",
        examples=(
            ("linesim new line.toml", "then change it, and see what changed with check and run"),
            ("linesim new line.toml && linesim run line.toml", "written and simulated"),
            ("linesim new -", "on the screen instead of in a file"),
        ),
    )
    parser.add_argument("file", metavar="FILE", help="file to write, or - for the screen")
    parser.add_argument("--force", action="store_true", help="replace a file that is already there")


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.commands.files import require_free, write_file
    from linesim.scenario.loader import starter

    text = starter()
    if args.file == "-":
        sys.stdout.write(text)
        return DONE
    require_free({"FILE": Path(args.file)}, force=args.force)
    write_file("FILE", Path(args.file), text)
    print(f"wrote {args.file}; next: linesim check {args.file}", file=sys.stderr)
    return DONE
