"""Options of every command that runs replications: how sharp, on which machines, at which cost."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from linesim.commands.asking import add_option
from linesim.questions.declare import MeasuredQuestion, fields_of

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


def add_precision_options(parser: argparse.ArgumentParser, *, measure: bool) -> None:
    """Add how sharp a figure has to be.

    Args:
        parser: The command.
        measure: Add ``--measure`` too, for commands that have no measure of their own to decide by.
    """
    for one in fields_of(MeasuredQuestion):
        if one.name in ("precision", "max_replications") or (measure and one.name == "measure"):
            add_option(parser, one)


def goal_of(args: argparse.Namespace) -> Goal | None:
    """Return how sharp the options want which measure; None if they do not, or a question tells it itself.

    Raises:
        WrongQuestionError: If the options do not fit together, or name no measure.
    """
    if getattr(args, "tells_goal", False) or not hasattr(args, "precision"):
        return None
    alone = getattr(args, "only_replication", None)
    return MeasuredQuestion(
        measure=args.measure,
        precision=args.precision,
        max_replications=args.max_replications,
        replications=args.replications if alone is None else 1,
        confidence=args.confidence,
    ).goal


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
