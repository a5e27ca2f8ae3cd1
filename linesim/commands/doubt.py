"""`linesim doubt`: could what nobody measured turn the answer?"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from linesim.commands.alternatives import add_tries, the_alternative
from linesim.commands.options import add_measure, add_scenario
from linesim.commands.parser import add_command
from linesim.commands.studying import add_study_options, ask

if TYPE_CHECKING:
    from linesim.commands.page import Page
    from linesim.commands.parser import Commands
    from linesim.questions.doubt import Doubt
    from linesim.questions.doubt.moves import RangeEnd

FILES = ("inputs.csv", "together.csv", "doubt.json")  #: What ``--out`` writes
MOST_SHOWN = 20  #: Inputs that get their lines of the page.


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "doubt",
        "Say whether inputs that nobody measured could turn the answer",
        examples=(
            (
                "linesim doubt scenarios/features/guesses.toml",
                "each guess and estimate at its low and high end, ranked by what it changes",
            ),
            (
                "linesim doubt line.toml --try 'crew.trim.people = 7'",
                "does one more operator stay the better choice, whatever the guesses are?",
            ),
            (
                "linesim doubt line.toml --only station.T6 --only robot --each",
                "the inputs of one station and of the robots, one by one",
            ),
        ),
        more=(
            'Inputs say `confidence = "guess"` or "estimated", and `range = [0.8, 1.3]` where\n'
            "somebody knows how far off they may be; else a guess is taken from 0.7 to 1.3 times\n"
            "what it is, an estimate from 0.85 to 1.15. With many inputs the estimated times of a\n"
            "station move together. The decision is whether the line makes its [target], or\n"
            "whether what --try says is better."
        ),
    )
    add_scenario(parser)
    add_tries(parser, "decide whether the line is better so")
    parser.add_argument(
        "--only",
        metavar="INPUT",
        action="append",
        default=[],
        help="beginning of a name, such as station.T6; may be repeated (default: all inputs)",
    )
    parser.add_argument("--guesses", action="store_true", help="leave the estimates as they are")
    parser.add_argument("--each", action="store_true", help="move every input alone, however many there are")
    parser.add_argument(
        "--by-station", action="store_true", help="move estimated times of a station together"
    )
    add_measure(parser)
    add_study_options(parser)


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.errors import WrongQuestionError
    from linesim.questions.doubt import doubt
    from linesim.scenario import read

    if args.each and args.by_station:
        raise WrongQuestionError("--each and --by-station exclude each other; give one of them.")
    reading = read(args.file, args.sets, add=args.add)
    tried = the_alternative(args)
    return ask(
        args,
        reading,
        FILES,
        lambda how: doubt(
            reading.scenario,
            alternative=tried.changes if tried else {},
            add=tried.add if tried else {},
            only=args.only,
            guesses_only=args.guesses,
            group="none" if args.each else "station" if args.by_station else "auto",
            on=args.measure,
            confidence=args.confidence,
            **how,
        ),
        _show,
        in_steps=True,
    )


def _show(page: Page, answer: Doubt) -> None:
    what = "" if answer.decision is None else "decision"
    page.heading(f"Input by input, against the line as it is: {answer.figure.label}")
    rows: list[tuple[str, ...]] = []
    for move in answer.moves[:MOST_SHOWN]:
        rows.append((move.input.name, "", "", "", ""))
        rows += [_end(answer, end) for end in move.ends]
    page.table(("input", "changes", "interval", "", what), rows)
    if len(answer.moves) > MOST_SHOWN:
        page.say(f"and {len(answer.moves) - MOST_SHOWN} more (--json has all).", indent=2)
    if answer.together:
        page.gap()
        page.table(
            ("all at once", "changes", "interval", "", what), [_end(answer, end) for end in answer.together]
        )


def _end(answer: Doubt, end: RangeEnd) -> tuple[str, ...]:
    from linesim.questions.verdicts import signed, signed_span, verdict

    scale = answer.figure.scale
    where = f"  {end.factor:g} times" if end.factor is not None else end.case.removeprefix("everything ")
    change = end.change
    return where, signed(change, scale=scale), signed_span(change, scale=scale), verdict(change), end.fate
