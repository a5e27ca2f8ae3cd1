"""The options of what-ifs: `--try 'NAME: LINE; LINE'`, one alternative to the line as it is."""

from __future__ import annotations

import argparse

from linesim.questions.alternatives import Alternative, alternative_of


def add_tries(parser: argparse.ArgumentParser, says: str) -> None:
    """Add the alternatives; `says` is what comes of one."""
    parser.add_argument(
        "--try",
        dest="tries",
        metavar="WHAT",
        action="append",
        default=[],
        help=f"{says}: lines of TOML, as 'LINE; LINE' or 'NAME: LINE; LINE'; 'add LINE' makes a new thing",
    )


def the_alternative(args: argparse.Namespace) -> Alternative | None:
    """Return the one alternative that a command takes; None if there is none.

    Raises:
        WrongQuestionError: If there are several, or it is wrong.
    """
    from linesim.errors import WrongQuestionError

    if len(args.tries) > 1:
        raise WrongQuestionError(
            "--try may stand once here; lines that belong together stand in one, with a semicolon between."
        )
    return alternative_of(args.tries[0]) if args.tries else None
