"""The program: finds the command, runs it, and turns what went wrong into a message and an exit status."""

from __future__ import annotations

import argparse
import gc
import importlib
import os
import sys
from collections.abc import Sequence
from functools import partial
from types import ModuleType, SimpleNamespace

from linesim import __version__, questions
from linesim.commands import asking
from linesim.commands.options import DONE, FAILED, INTERRUPTED, PURPOSE, WRONG_INPUT, Parser
from linesim.errors import hidden_sign
from linesim.questions.declare import question_named

#: The commands, in the order of the help page: questions, files of this folder, or parts of one (`_SMALL`).
COMMANDS = (
    "run", "compare", "sweep", "screen", "mix", "buffers", "warmup", "crew", "staff", "rebalance",
    "sequence",
    "bottleneck", "doubt", "validate", "fit", "verify", "report", "replay", "check", "explain", "merge",
    "new", "import", "schema", "desk", "compile", "completion",
)  # fmt: skip

_SMALL = ("new", "schema", "completion", "compile", "merge")  #: Commands that share a file.
_RARELY = 200_000  #: New objects until rubbish is looked for: of what is loaded next to nothing is.


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command.

    Args:
        argv: Words after the program's name; None takes them from the command line.

    Returns:
        Exit status: 0 done, 1 the run or a check failed, 2 the input was wrong, 130 interrupted.
    """
    if argv is None:  # the program, in a process of its own
        gc.set_threshold(_RARELY)
        os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # threads that nobody needs, and that wait busily
        # Looking for pydantic's plugins reads about everything that is installed, and there are none for us.
        os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    words = sys.argv[1:] if argv is None else argv
    if sign := next(filter(None, map(hidden_sign, words)), ""):
        _say(f"the command line holds the sign {sign}, which hides what stands around it; leave it out")
        return WRONG_INPUT
    try:
        args = parser(words[0] if words else "").parse_args(words)
        status = _run(args)
        sys.stdout.flush()
    except SystemExit as end:  # argparse has said what is to be said
        return end.code if isinstance(end.code, int) else WRONG_INPUT
    except KeyboardInterrupt as interrupt:
        _say(str(interrupt) or "interrupted; nothing half-written is left behind")
        return INTERRUPTED
    except BrokenPipeError:
        # Whoever read our output wanted no more of it. Python would complain when it flushes at the end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    return status


def parser(asked: str = "") -> argparse.ArgumentParser:
    """Return the parser of the whole program, or of one command: the others need not be loaded for it."""
    whole = Parser(
        prog="linesim",
        description=PURPOSE,
        epilog="Each command explains itself with examples: linesim run --help",
    )
    whole.add_argument(
        "--version", action=_Version, help="versions of the program and of what can move a digit"
    )
    commands = whole.add_subparsers(
        title="commands", metavar="COMMAND", required=True, parser_class=Parser, dest="command"
    )
    for name in (asked,) if asked in COMMANDS else COMMANDS:
        module(name).add(commands)
    return whole


def module(name: str) -> ModuleType | SimpleNamespace:
    """Return what adds and runs a command: its file, its part of a file, or what its question declares."""
    if name in questions.NAMES:
        asked = question_named(name)
        return SimpleNamespace(
            add=partial(asking.add, question=asked), main=partial(asking.main, question=asked)
        )
    if name in _SMALL:
        from linesim.commands.housekeeping import SMALL

        add, run = SMALL[name]
        return SimpleNamespace(add=add, main=run)
    return importlib.import_module(f"linesim.commands.{'import_file' if name == 'import' else name}")


def _run(args: argparse.Namespace) -> int:
    from linesim.errors import LinesimError, ScenarioError

    try:
        status = module(args.command).main(args)
        assert isinstance(status, int)
    except ScenarioError as error:
        _say(error.rendered())
        return WRONG_INPUT
    except LinesimError as error:
        _say("\n".join([str(error), *getattr(error, "__notes__", ())]))
        return getattr(error, "status", FAILED)
    return status


def _say(text: str) -> None:
    print(text, file=sys.stderr)


class _Version(argparse.Action):
    """Prints the versions; looks them up only when asked."""

    def __init__(self, option_strings: Sequence[str], dest: str, help: str | None = None) -> None:
        super().__init__(option_strings, dest, nargs=0, help=help)

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        from linesim.runs.provenance import versions

        found = versions()
        others = ", ".join(f"{name} {version}" for name, version in found.items() if name != "linesim")
        print(f"linesim {__version__} ({others})")
        parser.exit()
