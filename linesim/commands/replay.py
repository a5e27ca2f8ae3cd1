"""`linesim replay`: one replication as a page to step through and play."""

from __future__ import annotations

import argparse
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from linesim.commands.options import DONE, add_command, add_drive, add_scenario, command_again, count, seed
from linesim.commands.running import warn

if TYPE_CHECKING:
    from linesim.commands.options import Commands
    from linesim.plan.plan import Plan
    from linesim.report.replay.sides import Window
    from linesim.scenario import Scenario

REPLICATIONS = 10  #: From which the band around the jobs made comes.
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
                "linesim replay line.toml --try 'crew.cab.people = 3'",
                "the line as it is and with one more person side by side: same jobs, same luck",
            ),
        ),
        more=(
            "The page is one file that loads nothing. Replication K is the one that run, \n"
            "report and --only-replication K count; a page of a whole week is large."
        ),
    )
    add_scenario(parser)
    parser.add_argument("other", metavar="OTHER", nargs="?", help="a second line beside it, a TOML file too")
    parser.add_argument(
        "--try",
        dest="tries",
        metavar="WHAT",
        action="append",
        default=[],
        help="in place of OTHER the line with changes: lines of TOML, as 'LINE; LINE' or 'NAME: LINE; LINE'; "
        "'add LINE' makes a new thing",
    )
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
        help="where the page begins after the warm-up, such as '2 h' or '1 shift' (default: right there; "
        "beside a second line at the start of the run, where both are alike)",
    )
    parser.add_argument(
        "--for",
        dest="length",
        metavar="TIME",
        help="how much it shows, such as '2 h' or '5 shifts' (default: one shift)",
    )
    parser.add_argument(
        "--replications",
        metavar="N",
        type=count,
        help="independent repetitions that the band around the jobs made comes from, with 1 there is none "
        f"(default: {REPLICATIONS} for a shift or less, 1 for more)",
    )
    add_drive(parser, by_default="simpy")
    parser.add_argument("-o", "--out", metavar="PAGE", default=OUT, help=f"the page (default: {OUT})")
    parser.add_argument("--force", action="store_true", help="replace the page if it is already there")
    parser.add_argument("--quiet", action="store_true", help="no notes on stderr")


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.commands.files import require_free, write_file
    from linesim.report.replay.day import band
    from linesim.report.replay.page import replay_page
    from linesim.report.replay.sides import WindowError, side_of, window_of
    from linesim.runs.drive import drive_for
    from linesim.runs.trace import finished, watch
    from linesim.scenario import read
    from linesim.ticks import Duration, parse_duration, seconds

    page = Path(args.out)
    require_free({"--out": page}, force=args.force)
    reading = read(args.file, args.sets, add=args.add)
    warn(reading, args)
    lines = _lines(args, reading.scenario)
    plan = lines[0][1]

    def time(option: str, text: str | None) -> Duration | None:
        try:
            return None if text is None else parse_duration(text, shift_s=seconds(plan.run.shift))
        except ValueError as error:
            raise WindowError(f"{option}: {error}") from None

    window = window_of(plan, time("--from", args.begin), time("--for", args.length), at_start=len(lines) > 1)
    number = plan.run.seed if args.seed is None else args.seed
    quick = drive_for(args.drive, partial(print, file=sys.stderr))
    drive = "simpy" if args.drive is None else quick
    if not args.quiet and (n := _replications(args, window, plan)) > 1:
        print(f"{n} replications for the band (--replications 1 leaves it out)", file=sys.stderr)
    sides = []
    for name, one in lines:
        if window.end > one.run.warm_up + one.run.length:
            raise WindowError(f"the run of {name!r} ends before this page does; it has another length")
        until = max(window.end, one.run.warm_up + 1)
        watched = watch(one, number, args.replication, until=until, drive=drive)
        numbers = range(1, _replications(args, window, one) + 1)
        made = [finished(one, number, k, until=until, drive=quick) for k in numbers]
        sides.append(side_of(watched, window, name, band(made, window) if len(made) > 1 else None))
    asked = {"replication": args.replication, "seed": number, "from": args.begin, "for": args.length}
    files = [Path(file).name for file in (args.file, args.other) if file is not None]
    command = command_again("replay", files, args, asked | {"replications": args.replications})
    text = replay_page(sides, window, file=files[0], command=command)
    write_file("--out", page, text)
    print(f"{page}, {len(text.encode()) / 1000:,.0f} kB")
    return DONE


def _lines(args: argparse.Namespace, scenario: Scenario) -> list[tuple[str, Plan]]:
    """Return the line, and the one beside it if there is one, each with its name."""
    from linesim.answers.readable import in_words
    from linesim.errors import WrongQuestionError
    from linesim.plan.build import build
    from linesim.questions.alternatives import the_alternative
    from linesim.scenario import read

    alternative = the_alternative(args.tries)
    if args.other is not None and alternative is not None:
        raise WrongQuestionError("OTHER and --try each name a second line; give one of them.")
    if alternative is not None:
        case = alternative.case(scenario)
        return [("as it is", build(scenario)), (in_words(case.name), build(case.scenario))]
    if args.other is None:
        return [("", build(scenario))]
    other = read(args.other, args.sets, add=args.add)
    warn(other, args)
    names = Path(args.file).name, Path(args.other).name
    if names[0] == names[1]:
        names = args.file, args.other
    return [(names[0], build(scenario)), (names[1], build(other.scenario))]


def _replications(args: argparse.Namespace, window: Window, plan: Plan) -> int:
    """Return how many replications the band comes from."""
    if args.replications is not None:
        return int(args.replications)
    shift = max((end - begin for begin, end in window.shifts), default=plan.run.shift)
    return REPLICATIONS if window.end - window.start <= shift else 1
