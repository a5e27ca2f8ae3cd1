"""`linesim validate`: does the line look like the plant's own records?"""

from __future__ import annotations

import argparse
from functools import partial
from typing import TYPE_CHECKING

from linesim.commands.options import add_scenario, share
from linesim.commands.parser import add_command
from linesim.commands.studying import add_study_options, ask

if TYPE_CHECKING:
    from linesim.commands.page import Page
    from linesim.commands.parser import Commands
    from linesim.questions.validate import Validation
    from linesim.questions.validate.judged import Judged

FILES = ("figures.csv", "shifts.csv", "validate.json")  #: What ``--out`` writes


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "validate",
        "Hold the plant's own shift records against the simulated line",
        examples=(
            (
                "linesim validate scenarios/tractor/line.toml scenarios/tractor/actuals.csv",
                "jobs, stop minutes and rework of thirty (invented) shifts against the simulated ones",
            ),
            (
                "linesim validate line.toml march.xlsx --within 3%",
                "a workbook; a difference of less than 3 % of the jobs does not matter",
            ),
            (
                "linesim validate line.toml actuals.csv --assert --json",
                "exit status 1 unless the line is plausible, for programs",
            ),
        ),
        more=(
            "One row a shift: jobs (finished in it), stop_min (minutes in which the conveyor stood\n"
            "though it should have run; stop_min_SECTION where there are several), reworked (jobs\n"
            "that a bay put right), shift (what it is called). Any of them may be missing. Other\n"
            "columns are left alone, but a heading that looks like a slip of one of these, such as\n"
            "Rework, is refused. The answer is plausible, too good or too bad, and by how much;\n"
            "never that the line is valid."
        ),
    )
    add_scenario(parser)
    parser.add_argument("actuals", metavar="ACTUALS", help="shift records, a CSV file or workbook")
    parser.add_argument(
        "--within",
        metavar="P",
        type=partial(share, says="a share of the jobs such as 2%"),
        default=0.02,
        help="share of the jobs from which on a difference matters; five times that for stop minutes and "
        "rework (default: 2%%)",
    )
    parser.add_argument(
        "--assert", dest="must_hold", action="store_true", help="exit status 1 unless the line is plausible"
    )
    add_study_options(parser, measure=True)


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.questions.validate import validate
    from linesim.scenario import read

    reading = read(args.file, args.sets, add=args.add)
    return ask(
        args,
        reading,
        FILES,
        lambda how: validate(
            reading.scenario,
            args.actuals,
            within=args.within,
            confidence=args.confidence,
            **how,
        ),
        _show,
        failed=(lambda answer: answer.verdict != "plausible") if args.must_hold else None,
    )


def _show(page: Page, answer: Validation) -> None:
    page.heading("A shift, on average")
    page.table(
        ("", "plant", "line", "difference", "interval", ""), [_mean(judged) for judged in answer.figures]
    )
    page.heading("Single shifts")
    page.table(
        ("", "8 simulated in 10", "plant's inside", "should be", "scatter"),
        [_single(judged) for judged in answer.figures],
    )
    page.say("The differences hold together. 'should be': as often as simulated shifts are inside.", indent=2)


def _mean(judged: Judged) -> tuple[str, ...]:
    from linesim.answers.wording import decimals, number

    half = None if judged.low is None or judged.high is None else (judged.high - judged.low) / 2
    places = decimals(judged.plant, half)

    def signed(value: float) -> str:
        text = number(value, places)
        return f"+{text}" if float(text) > 0 else text

    bounds = ""
    if judged.low is not None and judged.high is not None:
        bounds = f"{signed(judged.low)} to {signed(judged.high)}"
    plant, line = number(judged.plant, places), number(judged.line, places)
    return judged.column.name, plant, line, signed(judged.difference), bounds, judged.verdict


def _single(judged: Judged) -> tuple[str, ...]:
    from linesim.questions.validate.sentences import short

    return (
        judged.column.name,
        f"{short(judged.p10)} to {short(judged.p90)}",
        f"{judged.inside} of {judged.shifts}",
        f"{judged.expected * judged.shifts:.0f}",
        judged.scatter or "–",
    )
