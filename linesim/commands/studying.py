"""What every command that asks a study has in common: options, the page, the files, the exit status."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from linesim.commands.options import add_output_options, add_run_options
from linesim.commands.status import DONE, FAILED

if TYPE_CHECKING:
    from linesim.commands.page import Page
    from linesim.scenario import Reading
    from linesim.studies.answer import Answer
    from linesim.studies.replicate import Progress

    Some = TypeVar("Some", bound=Answer)


def add_study_options(parser: argparse.ArgumentParser) -> None:
    """Add how often to simulate, with which luck, and where the answer goes."""
    add_run_options(parser)
    add_output_options(parser)


def ask(
    args: argparse.Namespace,
    files: tuple[str, ...],
    study: Callable[[int, Progress | None], Some],
    show: Callable[[Page, Some], None],
    *,
    title: str,
    failed: Callable[[Some], bool] | None = None,
) -> int:
    """Ask a study and give its answer as the options want it.

    Args:
        args: The command line, with the options of `add_study_options`.
        files: Names of the files that ``--out`` will write.
        study: Gives the answer; is told the number of workers and whom to tell of the progress.
        show: Writes what stands between the sentences and the cautions on the page.
        title: First line of the page.
        failed: Says whether an answer is a refusal, for the exit status.

    Returns:
        The exit status.
    """
    from linesim.commands.files import require_folder, write_folder
    from linesim.commands.progress import progress
    from linesim.studies.workers import usable_cores

    if args.out:
        require_folder("--out", Path(args.out), files, force=args.force)
    with progress("replications", quiet=args.quiet) as tell:
        answer = study(args.workers or usable_cores(), tell)
    if args.out:
        texts = answer.files()
        assert set(texts) == set(files), "the folder was checked for other files"
        write_folder("--out", Path(args.out), texts)
    if args.json:
        sys.stdout.write(answer.to_json())
    else:
        _page(answer, show, title)
    is_refused = failed is not None and failed(answer)
    return FAILED if answer.card.lost or is_refused else DONE


def warn(reading: Reading, args: argparse.Namespace) -> None:
    """Say what is worth saying about a scenario although nothing is wrong."""
    if not args.quiet:
        for warning in reading.warnings:
            print(warning.rendered(), file=sys.stderr)


def _page(answer: Some, show: Callable[[Page, Some], None], title: str) -> None:
    from linesim.commands.page import Page

    page = Page()
    page.title(title)
    page.gap()
    for sentence in answer.sentences:
        page.say(sentence, indent=2)
    show(page, answer)
    if answer.cautions:
        page.heading("Before anything is changed")
        for caution in answer.cautions:
            page.say(caution, indent=2)
    page.heading("How this was found")
    page.say(_found(answer), indent=2)


def _found(answer: Answer) -> str:
    from linesim.studies.figures import count_of

    card = answer.card
    counts = sorted({case.replications for case in card.cases})
    each = " to ".join(str(count) for count in dict.fromkeys([counts[0], counts[-1]])) if counts else "0"
    if len(card.cases) == 1:
        made = f"{count_of(counts[0], 'replication')} with seed {card.seed}."
    else:
        made = (
            f"{count_of(len(card.cases), 'case')}, {each} replications of each with seed {card.seed}: every "
            "case sees the same jobs and the same luck."
        )
    lost = f" {count_of(len(card.lost), 'replication')} lost: the worker process died." if card.lost else ""
    program = dict(card.versions)["linesim"]
    return f"{made} Intervals: {100 * card.confidence:g} %. linesim {program}.{lost}"
