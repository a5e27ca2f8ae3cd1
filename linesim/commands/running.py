"""What the options say about running replications, handed to a study; and what it would cost."""

from __future__ import annotations

import argparse
import gc
import json
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from linesim.commands.status import DONE

if TYPE_CHECKING:
    from linesim.answers.card import StudyCard
    from linesim.runs.run_options import How
    from linesim.scenario import Reading

    class Asked(How):
        """What every command tells its study: how to run how many replications, with which luck, of what.

        Attributes:
            replications: How many; None leaves it to the study.
            seed: Seed of all draws; None leaves it to the study.
            file: Name of the scenario's file, without folders.
        """

        replications: int | None
        seed: int | None
        file: str

    Write = Callable[[Callable[[], Mapping[str, str]], Callable[[], bytes]], None]


@contextmanager
def running(
    args: argparse.Namespace, files: tuple[str, ...], counts: str = "replications"
) -> Iterator[tuple[Asked, Write]]:
    """Yield what to tell a study, and what writes the answer where ``--out`` wants it.

    What writes it takes a function that gives the texts of the files in a folder, and one for the workbook.

    Args:
        args: The command line.
        files: Names of the files that will be written.
        counts: What progress counts, in the plural.

    Raises:
        LinesimError: If the options do not fit together, or the folder cannot be used.
    """
    from linesim.commands.progress import told
    from linesim.commands.study_folder import study_folder
    from linesim.commands.table_files import require_tables, wants_workbook, write_parquet, write_workbook

    how = _how(args)
    is_workbook = wants_workbook(args)
    require_tables(args, files)
    with study_folder(args, files, kept=not is_workbook) as folder:
        if folder is not None:
            how["store"] = folder.store
        given: list[tuple[Callable[[], Mapping[str, str]], Callable[[], bytes]]] = []

        def write(texts: Callable[[], Mapping[str, str]], workbook: Callable[[], bytes]) -> None:
            given.append((texts, workbook))

        gc.freeze()  # what is loaded stays: looking through it again and again is a tenth of the work
        with told(counts, quiet=args.quiet) as (how["progress"], how["notice"]):
            yield how, write
        if not args.out:
            return
        ((texts, workbook),) = given
        if is_workbook:
            write_workbook(args, workbook())
        else:
            assert folder is not None
            folder.write(texts())
            write_parquet(args, texts())


def dry_run(args: argparse.Namespace, study: Callable[[Asked], object]) -> int:
    """Print what a study would cost; nothing is written, nothing is left behind.

    Args:
        args: The command line.
        study: The study, told how to run its replications.

    Returns:
        The exit status.
    """
    from linesim.commands.study_folder import stored_only
    from linesim.runs.cost import CostOnly

    cost = None
    with stored_only(args) as store:
        how = _how(args)
        how["only_cost"] = True
        how["store"] = store
        try:
            study(how)
        except CostOnly as found:
            cost = found.cost
    if args.json:
        known = {"replications": 0, "seconds": 0.0} if cost is None else cost.as_dict()
        print(json.dumps({"cost": known}, indent=2))
    else:
        print("\n".join(cost.sentences if cost else ["To run: nothing; every replication is stored."]))
    return DONE


def warn(reading: Reading, args: argparse.Namespace) -> None:
    """Say what is worth saying about a scenario although nothing is wrong."""
    if not getattr(args, "quiet", False):
        for warning in reading.warnings:
            print(warning.rendered(), file=sys.stderr)


def warn_of_cases(args: argparse.Namespace, reading: Reading, card: StudyCard) -> None:
    """Say what is worth saying about other cases of a study, and has not been said of the first."""
    said = [warning.message for warning in reading.warnings]
    for text in card.warnings:
        if not args.quiet and not any(text.endswith(message) for message in said):
            print(f"warning: {text}", file=sys.stderr)


def _how(args: argparse.Namespace) -> Asked:
    from linesim.runs.workers import usable_cores

    how: Asked = {
        "workers": getattr(args, "workers", None) or usable_cores(),
        "replications": getattr(args, "replications", None),
        "seed": getattr(args, "seed", None),
        "file": Path(args.file).name if args.file else "",
    }
    if getattr(args, "drive", None) is not None:
        how["drive"] = args.drive
    if getattr(args, "cluster", None):
        how["cluster"] = args.cluster
    return how
