"""`linesim replay`: one replication as a page to step through and play."""

from __future__ import annotations

import argparse
import shlex
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from linesim.commands.options import add_drive, add_scenario, count, seed
from linesim.commands.parser import add_command
from linesim.commands.running import warn
from linesim.commands.status import DONE

if TYPE_CHECKING:
    from linesim.commands.parser import Commands

OUT = "replay.html"  #: Where the page goes unless somebody says otherwise.


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "replay",
        "Write one replication as a page to step through: jobs, people, stops, drift",
        examples=(
            (
                "linesim replay scenarios/tractor/line.toml -o tractor-replay.html",
                "the first shift after the warm-up of replication 1",
            ),
            (
                "linesim replay line.toml --replication 3 --from '1 shift' --for '2 h'",
                "two hours of the second shift of another replication",
            ),
            (
                "linesim replay line.toml --set 'crew.cab.people = 3' --for '5 shifts'",
                "as it would be with one thing changed, and all of it",
            ),
        ),
        more=(
            "The page is one file that loads nothing. Replication K is the one that run, \n"
            "report and --only-replication K count; a page of a whole week is large."
        ),
    )
    add_scenario(parser)
    parser.add_argument(
        "--replication", metavar="K", type=count, default=1, help="which one, counted from 1 (default: 1)"
    )
    parser.add_argument(
        "--seed",
        metavar="N",
        type=seed,
        help="number that all luck follows from (default: what the file says)",
    )
    parser.add_argument(
        "--from",
        dest="begin",
        metavar="TIME",
        help="where the page begins after the warm-up, such as '2 h' or '1 shift' (default: right there)",
    )
    parser.add_argument(
        "--for",
        dest="length",
        metavar="TIME",
        help="how much it shows, such as '2 h' or '5 shifts' (default: one shift)",
    )
    add_drive(parser, by_default="simpy")
    parser.add_argument("-o", "--out", metavar="PAGE", default=OUT, help=f"the page (default: {OUT})")
    parser.add_argument("--force", action="store_true", help="replace the page if it is already there")
    parser.add_argument("--quiet", action="store_true", help="no notes on stderr")


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.commands.files import require_free, write_file
    from linesim.plan.build import build
    from linesim.report.replay.page import replay_page
    from linesim.report.replay.window import WindowError, window_of
    from linesim.runs.drive import drive_for
    from linesim.runs.trace import watch
    from linesim.scenario import read
    from linesim.ticks import Duration, parse_duration, seconds

    page = Path(args.out)
    require_free({"--out": page}, force=args.force)
    reading = read(args.file, args.sets, add=args.add)
    warn(reading, args)
    plan = build(reading.scenario)

    def time(option: str, text: str | None) -> Duration | None:
        try:
            return None if text is None else parse_duration(text, shift_s=seconds(plan.run.shift))
        except ValueError as error:
            raise WindowError(f"{option}: {error}") from None

    window = window_of(plan, time("--from", args.begin), time("--for", args.length))
    number = plan.run.seed if args.seed is None else args.seed
    drive = "simpy" if args.drive is None else drive_for(args.drive, partial(print, file=sys.stderr))
    watched = watch(plan, number, args.replication, until=window.end, drive=drive)
    text = replay_page(watched, window, file=Path(args.file).name, command=_command(args, number))
    write_file("--out", page, text)
    print(f"{page}, {len(text.encode()) / 1000:,.0f} kB")
    return DONE


def _command(args: argparse.Namespace, number: int) -> str:
    """Return the command that makes the page again, from the folder of the scenario."""
    words = ["linesim", "replay", Path(args.file).name]
    for option, lines in (("--add", args.add), ("--set", args.sets)):
        words += [word for line in lines for word in (option, line)]
    words += ["--replication", str(args.replication), "--seed", str(number)]
    for option, text in (("--from", args.begin), ("--for", args.length)):
        if text is not None:
            words += [option, text]
    return shlex.join([*words, "-o", Path(args.out).name])
