"""`linesim completion`: lets a shell complete commands, options and file names."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from linesim.commands.options import DONE, add_command

if TYPE_CHECKING:
    from linesim.commands.options import Commands

SHELLS = ("bash", "zsh", "tcsh")


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "completion",
        "Print what lets a shell complete commands and options",
        examples=(
            ("linesim completion bash > linesim-completion.bash", "then: source linesim-completion.bash"),
            ("linesim completion zsh > _linesim", "into a folder of zsh's fpath"),
            ("linesim completion tcsh > linesim-completion.csh", "then: source linesim-completion.csh"),
        ),
    )
    parser.add_argument("shell", metavar="SHELL", choices=SHELLS, help=f"one of {', '.join(SHELLS)}")


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    import shtab

    from linesim.commands.main import parser

    sys.stdout.write(shtab.complete(parser(), shell=args.shell))
    return DONE
