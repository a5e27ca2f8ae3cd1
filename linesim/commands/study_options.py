"""Options of every command that runs replications: how sharp, on which machines, at which cost."""

from __future__ import annotations

import argparse
import sys
from functools import partial
from typing import TYPE_CHECKING

from linesim.commands.options import add_figure, count, share

if TYPE_CHECKING:
    from linesim.answers.card import Goal
    from linesim.runs.cost import RunCost


def add_machine_options(parser: argparse.ArgumentParser) -> None:
    """Add where the work is done, and whether only its cost is asked for."""
    parser.add_argument(
        "--cluster",
        metavar="ADDRESS",
        help="share the work among the workers of this dask scheduler, such as tcp://10.0.0.5:8786",
    )
    parser.add_argument(
        "--dry-run", action="store_true", help="say how many replications it takes and how long, and stop"
    )


def add_precision_options(parser: argparse.ArgumentParser, *, on: bool) -> None:
    """Add how sharp a figure has to be.

    Args:
        parser: The command.
        on: Add ``--on`` too, for commands that have no figure of their own to decide by.
    """
    parser.add_argument(
        "--precision",
        metavar="P",
        type=partial(share, says="a share of the mean such as 1%"),
        help="as many replications as --on needs: 1%% means known to 1 %% of its mean, in every case",
    )
    parser.add_argument(
        "--most",
        metavar="N",
        type=count,
        help="most replications of a case with --precision (default: 200)",
    )
    if on:
        add_figure(parser, says="of --precision")


def goal_of(args: argparse.Namespace) -> Goal | None:
    """Return how sharp the options want which figure; None if they do not.

    Raises:
        WrongQuestionError: If the options do not fit together, or name no measure.
    """
    from linesim.answers.card import AT_LEAST, CAP, Goal
    from linesim.errors import WrongQuestionError
    from linesim.runs.main_measure import Measure, asked

    if not (hasattr(args, "precision") and hasattr(args, "most")):  # a declared question has its own goal
        return None
    most = args.most
    if args.precision is None:
        if most is not None:
            raise WrongQuestionError("--most caps --precision: say how sharp, such as --precision 1%.")
        return None
    if args.replications is not None or getattr(args, "only_replication", None) is not None:
        raise WrongQuestionError(
            "--precision finds the number of replications; leave --replications out, or cap it with --most."
        )
    cap = most or CAP
    if cap < AT_LEAST:
        raise WrongQuestionError(f"--most {cap} is too few; write {AT_LEAST} or more.")
    figure = Measure("") if args.on is None else asked(args.on)
    return Goal(args.precision, *figure, cap=cap, confidence=args.confidence)


def say_cost(cost: RunCost | None, *, in_steps: bool, as_json: bool) -> None:
    """Print what a study will cost.

    Args:
        cost: The cost; None if nothing need be run.
        in_steps: Whether more may follow, depending on the figures.
        as_json: Print one JSON object instead.
    """
    if as_json:
        import json

        known = {"replications": 0, "seconds": 0.0} if cost is None else cost.as_dict()
        print(json.dumps({"cost": {**known, "goes_on_in_steps": in_steps}}, indent=2))
        return
    lines = ["To run: nothing; every replication is stored."] if cost is None else list(cost.sentences)
    if in_steps and cost is not None:
        lines.append("That is the first step; what follows depends on the figures.")
    sys.stdout.write("\n".join(lines) + "\n")
