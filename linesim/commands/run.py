"""`linesim run`: what the line makes, what stops it, where it waits, how sure we are."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from linesim.commands.options import add_output_options, add_run_options, add_scenario, count
from linesim.commands.parser import add_command
from linesim.commands.running import dry_run, running
from linesim.commands.status import DONE, FAILED
from linesim.commands.study_options import add_machine_options, add_precision_options
from linesim.commands.studying import warn

if TYPE_CHECKING:
    from linesim.commands.parser import Commands
    from linesim.commands.running import Asked
    from linesim.plan.plan import Plan
    from linesim.runs import Result

NAMES = ("measures.csv", "replications.csv", "shifts.csv", "result.json")  #: What ``--out`` writes


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "run",
        "Simulate a line: what it makes, what stops it, how sure that is",
        examples=(
            (
                "linesim run scenarios/tractor/line.toml",
                "the page for people: output, stops, waits, intervals",
            ),
            (
                "linesim run line.toml --set 'buffer.lane.capacity = 5' --replications 50",
                "one thing changed, and more replications for narrower intervals",
            ),
            (
                "linesim run line.toml --out results/may.xlsx",
                "an Excel workbook; a name without .xlsx makes a folder of CSV files, and keeps the run",
            ),
        ),
        more="The same file and seed give the same figures, whatever the number of workers.",
    )
    add_scenario(parser)
    add_run_options(parser)
    add_precision_options(parser, on=True)
    parser.add_argument(
        "--only-replication",
        metavar="K",
        type=count,
        help="run replication K alone: the same as the K-th of many",
    )
    parser.add_argument(
        "--events",
        metavar="FILE",
        help="write everything that happens in the first replication that is run, one line an event (CSV)",
    )
    add_machine_options(parser)
    add_output_options(parser)


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.commands.files import require_free, write_file
    from linesim.plan.build import build
    from linesim.runs import simulate
    from linesim.scenario import read

    if args.events:
        require_free({"--events": Path(args.events)}, force=args.force)
    reading = read(args.file, args.sets, add=args.add)
    warn(reading, args)
    plan = build(reading.scenario)

    def simulated(how: Asked) -> Result:
        return simulate(
            reading.scenario,
            numbers=None if args.only_replication is None else [args.only_replication],
            confidence=args.confidence,
            changes=[*args.add, *args.sets],
            **how,
        )

    if args.dry_run:
        return dry_run(args, simulated)
    with running(args, NAMES) as (how, write):
        result = simulated(how)
        write(_texts(result), lambda: _workbook(plan, result))
    if args.events:
        write_file("--events", Path(args.events), _events(plan, result))
    if args.json:
        sys.stdout.write(result.to_json())
    else:
        from linesim.commands.page import Page
        from linesim.commands.summary.whole import show

        show(Page(), plan, result)
    is_blunt = result.convergence is not None and result.convergence.enough is None
    return FAILED if result.run.lost or is_blunt else DONE


def _texts(result: Result) -> dict[str, str]:
    from linesim.questions.csv_tables import measures_csv, replications_csv, shifts_csv

    texts = (measures_csv(result), replications_csv(result), shifts_csv(result), result.to_json())
    return dict(zip(NAMES, texts, strict=True))


def _workbook(plan: Plan, result: Result) -> bytes:
    from linesim.report.workbook import run_workbook

    return run_workbook(plan, result)


def _events(plan: Plan, result: Result) -> str:
    """Return the log of the first replication, run once more with its eyes open."""
    from linesim.questions.events import events_csv

    return events_csv(plan, result.run.seed, result.run.numbers[0])
