"""`linesim desk`: the line in a browser, on this machine."""

from __future__ import annotations

import argparse
from contextlib import closing, suppress
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from linesim.commands.options import DONE, add_command, add_workers

if TYPE_CHECKING:
    from linesim.commands.options import Commands

_NEEDED = ("starlette", "uvicorn", "tomlkit")


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "desk",
        "See, change and ask the line in a browser, on this machine",
        examples=(
            ("linesim desk scenarios/tractor/line.toml", "open the line in the browser; Ctrl-C ends it"),
            ("linesim desk line.toml --no-browser --port 8123", "print the address instead"),
            (
                "linesim desk line.toml --out results/spring",
                "keep what is simulated in another folder",
            ),
        ),
        more="The file stays as it is until somebody saves. Everything that the desk does is a command that "
        "it shows. It listens on this machine alone, and the address opens it for whoever has it; the "
        "browser is opened with a file that only you can read and that leads there. Needs the extra `desk`.",
    )
    parser.add_argument("file", metavar="FILE", help="scenario, a TOML file")
    parser.add_argument(
        "--port", metavar="N", type=_port, default=0, help="port to listen on (default: one that is free)"
    )
    parser.add_argument("--no-browser", action="store_true", help="print the address and open no browser")
    parser.add_argument(
        "--out", metavar="DIR",
        help="folder that keeps replications, answers and alternatives (default: FILE with .desk instead of "
        ".toml)",
    )  # fmt: skip
    add_workers(parser)


def _port(text: str) -> int:
    if not text.isdecimal() or not 0 < int(text) < 65536:
        raise argparse.ArgumentTypeError(f"found {text}; write a whole number from 1 to 65535")
    return int(text)


def _in_browser(address: str) -> None:
    import webbrowser

    if not webbrowser.open(address):
        print("No browser was found: open the address in yours.", flush=True)


def main(args: argparse.Namespace) -> int:
    """Run the command until somebody ends it.

    Raises:
        WrongQuestionError: If what the desk is made of is not installed.
    """
    from linesim.errors import WrongQuestionError

    if missing := [name for name in _NEEDED if find_spec(name) is None]:
        raise WrongQuestionError(
            f"the desk needs {' and '.join(missing)}, which is not installed; install linesim with its "
            "extra: pip install 'linesim[desk]'."
        )
    from linesim.desk.open_desk import OpenDesk
    from linesim.desk.serve import Service, bound
    from linesim.runs.workers import usable_cores

    path = Path(args.file)
    how = {"workers": args.workers or usable_cores(), "drive": args.drive}
    with closing(bound(args.port)) as listening:
        desk = OpenDesk(path, Path(args.out) if args.out else path.with_suffix(".desk"), how)
        service = Service(desk, listening)
        print(f"The desk of {path.name} stands at {service.address}", flush=True)
        print(f"What it simulates is kept in {desk.folder}. Ctrl-C ends it.", flush=True)
        with suppress(KeyboardInterrupt):  # this is how it ends
            service.answer(None if args.no_browser else _in_browser)
    print("\nThe desk is closed; what was kept stays.")
    return DONE
