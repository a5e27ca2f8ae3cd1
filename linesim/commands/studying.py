"""What every command that asks a study has in common: options, the page, the files, the exit status."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

from linesim.commands.options import add_output_options, add_run_options
from linesim.commands.running import dry_run, running
from linesim.commands.status import DONE, FAILED
from linesim.commands.study_options import add_machine_options, add_precision_options

if TYPE_CHECKING:
    from linesim.answers.card import StudyCard
    from linesim.commands.page import Page
    from linesim.commands.running import Asked
    from linesim.questions.answer import Answer
    from linesim.scenario import Reading

    Some = TypeVar("Some", bound=Answer)


def add_study_options(
    parser: argparse.ArgumentParser, *, precision: bool = True, measure: bool = False, intervals: bool = True
) -> None:
    """Add how often to simulate, with which luck, on which machines, and where the answer goes.

    Args:
        parser: The command.
        precision: Add ``--precision``, for studies that run one number of replications of every case.
        measure: Add ``--measure`` for it, for studies that do not add their own.
        intervals: Add ``--confidence``, for studies whose answer holds intervals.
    """
    add_run_options(parser, intervals=intervals)
    if precision:
        add_precision_options(parser, measure=measure)
    add_machine_options(parser)
    add_output_options(parser)


def ask(
    args: argparse.Namespace,
    reading: Reading,
    files: tuple[str, ...],
    study: Callable[[Asked], Some],
    show: Callable[[Page, Some], None],
    *,
    failed: Callable[[Some], bool] | None = None,
    in_steps: bool = False,
) -> int:
    """Ask a study and give its answer as the options want it.

    Args:
        args: The command line, with the options of `add_study_options`.
        reading: The scenario that it is about.
        files: Names of the files that ``--out`` will write.
        study: Gives the answer; is told how to run which replications.
        show: Writes what stands between the sentences and the cautions on the page.
        failed: Says whether an answer is a refusal, for the exit status.
        in_steps: Whether the study looks at figures to decide what to run next.

    Returns:
        The exit status.
    """
    warn(reading, args)
    if args.dry_run:
        return dry_run(args, study, in_steps=in_steps)
    with running(args, files) as (how, write):
        answer = study(how)
        warn_of_cases(args, reading, answer.card)
        texts = answer.files()
        assert set(texts) == set(files), "the folder was checked for other files"
        write(texts, lambda: _workbook(answer))
    if args.json:
        sys.stdout.write(answer.to_json())
    else:
        title = reading.scenario.title or args.file
        _page(answer, show, title, has_intervals=hasattr(args, "confidence"))
    is_refused = failed is not None and failed(answer)
    is_blunt = any(one.enough is None for one in answer.card.convergences)
    return FAILED if answer.card.lost or is_refused or is_blunt else DONE


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


def _workbook(answer: Answer) -> bytes:
    from linesim.report.workbook import answer_workbook

    return answer_workbook(answer)


def _page(answer: Some, show: Callable[[Page, Some], None], title: str, *, has_intervals: bool) -> None:
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
    page.say(_found(answer, has_intervals=has_intervals), indent=2)


def _found(answer: Answer, *, has_intervals: bool) -> str:
    from linesim.answers.card import convergences_in_words
    from linesim.answers.wording import count_of

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
    sharp = convergences_in_words(card.convergences)
    lost = f" {count_of(len(card.lost), 'replication')} lost: the worker process died." if card.lost else ""
    program = dict(card.versions)["linesim"]
    intervals = f" Intervals: {100 * card.confidence:g} %." if has_intervals else ""
    return f"{made}{intervals} linesim {program}.{f' {sharp}' if sharp else ''}{lost}"
