"""`linesim compile`: makes the machine code of the rules before it is needed."""

from __future__ import annotations

import argparse
import sys
import time
from typing import TYPE_CHECKING

from linesim.commands.options import DONE, add_command

if TYPE_CHECKING:
    from linesim.commands.options import Commands


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "compile",
        "Compile the rules of the line for this machine, before a run needs them",
        examples=(
            ("linesim compile", "once after installing; later runs load what it made"),
            ("linesim compile --again", "even if it was made before"),
            ("linesim compile --quiet", "without a word but the place"),
        ),
        more="The first run does it by itself, where numba is installed. The code lies in the user's cache "
        "folder, belongs to one version of the program and one machine, and may be removed at any time.",
    )
    parser.add_argument("--again", action="store_true", help="make it anew even if it is there")
    parser.add_argument("--quiet", action="store_true", help="no notes on stderr")


def main(args: argparse.Namespace) -> int:
    """Run the command.

    Raises:
        NoMachineCodeError: If that cannot be done on this machine.
    """
    from linesim.engine.compiled import compiled_loop, prepare

    def say(text: str) -> None:
        if not args.quiet:
            print(text, file=sys.stderr, flush=True)

    began = time.process_time()
    made: list[str] = []

    def notice(text: str) -> None:
        made.append(text)
        say(text)

    folder = prepare(notice, again=args.again)
    compiled_loop()  # what cannot be loaded is told now
    if made:
        say(f"done, in {time.process_time() - began:.0f} s of processor time")
    print(folder)
    return DONE
