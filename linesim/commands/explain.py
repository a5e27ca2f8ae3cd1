"""`linesim explain`: the line read back in plain sentences, guesses first."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from linesim.commands.options import add_scenario
from linesim.commands.parser import add_command
from linesim.commands.status import DONE

if TYPE_CHECKING:
    from linesim.commands.parser import Commands


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "explain",
        "Read a scenario back as a walk along the line, guesses first",
        examples=(
            ("linesim explain scenarios/tractor/line.toml", "what is assumed, place by place"),
            ("linesim explain line.toml | less", "page by page, for a walk with the people of the line"),
            (
                "linesim explain line.toml --set 'crew.cab.people = 3'",
                "as it would be with one thing changed",
            ),
        ),
    )
    add_scenario(parser)


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.commands.page import Page
    from linesim.commands.studying import warn
    from linesim.questions.explain import walk
    from linesim.scenario import read

    reading = read(args.file, args.sets, add=args.add)
    warn(reading, args)
    scenario = reading.scenario
    page = Page()
    page.title(scenario.title or args.file)
    for chapter in walk(scenario):
        page.heading(chapter.title)
        for sentence in chapter.sentences:
            page.say(sentence.text, indent=2 + 2 * sentence.depth, hang=2)
    return DONE
