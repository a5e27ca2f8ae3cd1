"""`linesim sweep`: many cases at once."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from linesim.commands.options import add_figure, add_scenario, count
from linesim.commands.parser import add_command
from linesim.commands.studying import add_study_options, ask

if TYPE_CHECKING:
    from linesim.commands.page import Page
    from linesim.commands.parser import Commands
    from linesim.studies.sweeps import Sweep
    from linesim.studies.sweeps.sweep import Design

FILES = ("cases.csv", "against_base.csv", "effects.csv", "sweep.json")  #: What ``--out`` writes
MOST_LINES = 40  #: Cases that get a line on the page.


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "sweep",
        "Simulate many cases of a line: a grid, a list from a table, or points spread over ranges",
        examples=(
            (
                "linesim sweep scenarios/tractor/line.toml --vary 'buffer.bank-trim.capacity = [2, 4, 8]'",
                "one input at three values, and what each step brings",
            ),
            (
                "linesim sweep line.toml --vary 'crew.cab.people = [4, 6]' "
                '--vary \'takt = ["90 s", "99 s"]\' --latin 20',
                "twenty points spread over two ranges",
            ),
            (
                "linesim sweep line.toml --list cases.csv --out results/cases",
                "a table with a column for each input and a row for each case; tables out",
            ),
        ),
        more=(
            "Several --vary make every combination. Headings of a list are keys such as\n"
            "buffer.lane.capacity, and case for a name; an empty cell leaves the input as it is."
        ),
    )
    add_scenario(parser)
    parser.add_argument(
        "--vary",
        metavar="LINE",
        action="append",
        default=[],
        help="a key and a list of values, such as 'buffer.lane.capacity = [0, 2, 4, 8]'; may be repeated",
    )
    how = parser.add_mutually_exclusive_group()
    how.add_argument("--list", metavar="TABLE", help="take the cases from a CSV file or workbook")
    how.add_argument(
        "--latin", metavar="N", type=count, help="N points spread over the ranges (each --vary has two ends)"
    )
    how.add_argument(
        "--one-at-a-time",
        action="store_true",
        help="each value alone with all else as it is; sees no interactions",
    )
    add_figure(parser)
    parser.add_argument("--all", action="store_true", help="put every measure into the table of cases")
    add_study_options(parser)


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.scenario import read
    from linesim.studies.sweeps import sweep
    from linesim.studies.varying import factor_of, read_points

    reading = read(args.file, args.sets, add=args.add)
    listed = read_points(args.list) if args.list else ()
    return ask(
        args,
        reading,
        FILES,
        lambda how: sweep(
            reading.scenario,
            [factor_of(line) for line in args.vary],
            design=_design(args),
            points=args.latin or 20,
            listed=listed,
            on=args.on,
            everything=args.all,
            confidence=args.confidence,
            **how,
        ),
        _show,
    )


def _design(args: argparse.Namespace) -> Design:
    if args.list:
        return "list"
    if args.latin:
        return "latin hypercube"
    return "one at a time" if args.one_at_a_time else "grid"


def _show(page: Page, answer: Sweep) -> None:
    from linesim.studies.figures import decimals, number
    from linesim.studies.sweeps.tables import paths_of
    from linesim.studies.verdicts import signed, signed_span

    paths = paths_of(answer.points)
    by_case = {row.case: row for row in answer.differences}
    heading = {
        "grid": "Case by case",
        "one at a time": "One factor at a time: no interactions seen",
        "latin hypercube": "Points spread over the ranges",
        "list": "The listed cases",
    }[answer.design]
    page.heading(f"{heading}: {answer.figure.label}")
    lines = []
    for point in answer.points[:MOST_LINES]:
        row = by_case.get(point.name)
        named = [point.name] if answer.design == "list" else []
        levels = [point.level(path) or "·" for path in paths]
        if row is None:
            lines.append((*named, *levels, "–", "", ""))
            continue
        scale = row.figure.scale
        half = None if row.half_width is None else row.half_width * scale
        mean = number(row.case_mean * scale, decimals(row.case_mean * scale, half) if half else 1)
        lines.append(
            (*named, *levels, mean, signed(row.as_row, scale=scale), signed_span(row.as_row, scale=scale))
        )
    named = ["case"] if answer.design == "list" else []
    columns = (*named, *(_short(path) for path in paths), "mean", "against as it is", "interval")
    page.table(columns, lines, left=len(named))
    if len(answer.points) > MOST_LINES:
        page.say(f"and {len(answer.points) - MOST_LINES} more cases (--json and --out have all).", indent=2)
    row = next(iter(answer.differences), None)
    if row is not None:
        scale = answer.figure.scale
        page.say(f"As it is: {number(row.base_mean * scale, 1)} {answer.figure.label}.", indent=2)


def _short(path: tuple[str, ...]) -> str:
    """Return the end of a key, which tells the columns of a page apart in most studies."""
    return ".".join(path[-2:])
