"""`linesim screen`: which of many inputs matter?"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from linesim.commands.options import add_figure, add_scenario
from linesim.commands.parser import add_command
from linesim.commands.studying import add_study_options, ask

if TYPE_CHECKING:
    from collections.abc import Sequence

    from linesim.commands.page import Page
    from linesim.commands.parser import Commands
    from linesim.studies.sweeps import Screening
    from linesim.studies.sweeps.effects import Effect

FILES = ("effects.csv", "interactions.csv", "cases.csv", "screen.json")  #: What ``--out`` writes
MOST_PAIRS = 6  #: Pairs that get a line on the page.


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "screen",
        "Find out which of many inputs matter, in few runs, with an interval on each effect",
        examples=(
            (
                "linesim screen scenarios/tractor/line.toml --vary 'crew.trim.people = [6, 7]' "
                "--vary 'buffer.bank-trim.capacity = [4, 8]' --vary 'tool.cab-gun.count = [1, 2]'",
                "three inputs at a low and a high value",
            ),
            (
                "linesim screen line.toml --vary 'crew.a.people = [2, 3]' --vary 'crew.b.people = [2, 3]' "
                "--on line_stop:cab",
                "what moves the stop minutes of one section",
            ),
            (
                'linesim screen line.toml --vary \'takt = ["90 s", "95 s"]\' --replications 5 '
                "--out results/screen",
                "few replications are enough where all runs see the same luck; tables out",
            ),
        ),
        more=(
            "A two-level fraction and its mirror image (fold-over): with 15 inputs 32 runs.\n"
            "No input's own effect is mixed with what two do together."
        ),
    )
    add_scenario(parser)
    parser.add_argument(
        "--vary",
        metavar="LINE",
        action="append",
        default=[],
        help="a key with its low and high value, such as 'crew.cab.people = [4, 6]'; up to 20 of them",
    )
    add_figure(parser)
    add_study_options(parser)


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.scenario import read
    from linesim.studies.sweeps import screen
    from linesim.studies.varying import factor_of

    reading = read(args.file, args.sets, add=args.add)
    return ask(
        args,
        reading,
        FILES,
        lambda how: screen(
            reading.scenario,
            [factor_of(line) for line in args.vary],
            on=args.on,
            confidence=args.confidence,
            **how,
        ),
        _show,
    )


def _show(page: Page, answer: Screening) -> None:
    page.heading(f"What matters for {answer.figure.label}, from low to high")
    _effects(page, answer, answer.effects)
    if answer.interactions:
        page.heading("What two do together, beyond the sum")
        shown = answer.interactions[:MOST_PAIRS]
        _effects(page, answer, shown)
        if any(" or " in effect.factor for effect in shown):
            page.say("(+1): mixed with one other pair, which --json names.", indent=2)
        if (more := len(answer.interactions) - MOST_PAIRS) > 0:
            page.say(f"and {more} smaller ones (--json has all).", indent=2)


def _effects(page: Page, answer: Screening, effects: Sequence[Effect]) -> None:
    from linesim.studies.verdicts import signed, signed_span

    scale = answer.figure.scale
    page.table(
        ("", "low", "high", "effect", "interval", ""),
        [
            (
                _named(effect.factor),
                *(("", "") if " × " in effect.factor else (effect.before, effect.after)),
                signed(effect.as_row(answer.figure), scale=scale),
                signed_span(effect.as_row(answer.figure), scale=scale),
                effect.verdict,
            )
            for effect in effects
        ],
    )


def _named(factor: str) -> str:
    """Return a pair by the ends of its keys, which leave room for its figures; a single key as it is."""
    if " × " not in factor:
        return factor
    pairs = [
        " × ".join(".".join(key.split(".")[-2:]) for key in pair.split(" × "))
        for pair in factor.split(" or ")
    ]
    return pairs[0] + (f" (+{len(pairs) - 1})" if len(pairs) > 1 else "")
