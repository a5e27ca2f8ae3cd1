"""A declared question as a command: its options, its run, its answer on a terminal or in files."""

from __future__ import annotations

import argparse
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from linesim.commands.options import DONE, FAILED, add_command, add_output_options, add_scenario
from linesim.questions.declare import Declared, FileQuestion, Question, fields_of, purpose
from linesim.questions.parameter import Field

if TYPE_CHECKING:
    from linesim.answers.document import Document
    from linesim.commands.options import Commands
    from linesim.scenario import Reading


def add(commands: Commands, question: type[Declared]) -> None:
    """Add the command of a question to the program."""
    first, more = purpose(question)
    parser = add_command(commands, question.name, first, examples=question.examples, more=more)
    if not issubclass(question, FileQuestion):
        add_scenario(parser, question.about, is_needed=question.needs_line)
    for one in fields_of(question):
        if one.option.flag != "-":
            add_option(parser, one)
    if issubclass(question, Question):
        says = "say how many replications it takes and how long, and stop"
        parser.add_argument("--dry-run", action="store_true", help=says)
        if question.decides:
            add_card(parser)
    elif issubclass(question, FileQuestion):
        says = "draw the answer into this file, .svg or .png"
        parser.add_argument("--drawing", metavar="FILE", type=picture_name, help=says)
    add_output_options(parser)


def add_card(parser: argparse.ArgumentParser) -> None:
    """Add where the answer on one printed side goes."""
    says = "write the decision on one page: now and best, plan, money, how sure; prints on one side"
    parser.add_argument("--card", metavar="FILE", help=says)


def add_option(parser: argparse.ArgumentParser, one: Field) -> None:
    """Add the option of a field of a question."""
    says = one.help.replace("%", "%%")
    if one.form == "yes":
        parser.add_argument(one.flag, dest=one.name, action="store_true", help=says)
        return
    how: dict[str, Any] = {"help": says, "metavar": one.option.metavar or None, "type": partial(_read, one)}
    if one.choices:
        how["choices"] = one.choices
    if not one.flag.startswith("-"):
        parser.add_argument(one.name, nargs="*" if one.is_list else None, **how)
    elif one.is_list:
        parser.add_argument(one.flag, dest=one.name, action="append", default=[], **how)
    else:
        default = None if one.name == "workers" else one.default
        parser.add_argument(one.flag, dest=one.name, default=default, **how)


def _read(one: Field, text: str) -> Any:
    try:
        return one.read(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def main(args: argparse.Namespace, question: type[Declared]) -> int:
    """Ask the question as the options want it, and give its answer.

    Returns:
        The exit status.
    """
    if issubclass(question, FileQuestion):
        return _main_of_file(args, question)
    from linesim.commands.files import require_free, write_file
    from linesim.commands.running import dry_run, running, warn, warn_of_cases

    named = question.of_name(args.file) if args.file and not Path(args.file).is_file() else None
    reading = None if named is not None else _reading(args)
    if reading is not None:
        warn(reading, args)
    names = [one.name for one in fields_of(question)]
    given = {one.name: getattr(args, one.name) for one in fields_of(question) if one.option.flag != "-"}

    def ask(how: Any) -> Document:
        if named is not None:
            return named
        told = {name: value for name, value in how.items() if name in names}
        return question(**{**given, **told}).answer(None if reading is None else reading.scenario)

    given |= {"sets": tuple(args.sets), "add": tuple(args.add)}
    # what is wrong with it is told before any folder is made
    asked = question(**{**given, **({"workers": 1} if "workers" in names else {})})
    written = {one.flag: (one.name, Path(given[one.name])) for one in fields_of(question)
               if one.name in question.writes and given[one.name]}  # fmt: skip
    card = getattr(args, "card", None)
    free = {flag: path for flag, (_, path) in written.items()} | ({"--card": Path(card)} if card else {})
    require_free(free, force=args.force)
    if getattr(args, "dry_run", False):
        return dry_run(args, ask)
    files = (*(f"{name}.csv" for name in asked.tables_asked), f"{question.object_name or question.name}.json")
    with running(args, files, question.counts) as (how, write):
        answer = ask(how)
        if reading is not None:
            warn_of_cases(args, reading, answer.card)
        write(answer.files, partial(_workbook, answer))
    for flag, (name, path) in written.items():
        write_file(flag, path, question(**given).text_of(name, answer))
    if card:
        from linesim.report.page import card_page

        write_file("--card", Path(card), card_page(answer))
    if args.json:
        sys.stdout.write(answer.to_json())
    else:
        from linesim.commands.show import show

        show(answer, answer.card.title or args.file)
    is_blunt = any(one.enough is None for one in answer.card.convergences)
    return FAILED if answer.card.lost or answer.is_refusal or is_blunt else DONE


def _reading(args: argparse.Namespace) -> Reading | None:
    """Return the scenario that the command line names; None where it names none."""
    from linesim.errors import WrongQuestionError
    from linesim.scenario import read

    if args.file is None:
        if args.sets or args.add:
            raise WrongQuestionError("--set and --add belong to a scenario; name its file.")
        return None
    return read(args.file, args.sets, add=args.add)


def _workbook(answer: Document) -> bytes:
    from linesim.report.workbook import answer_workbook

    return answer_workbook(answer)


def _main_of_file(args: argparse.Namespace, question: type[FileQuestion]) -> int:
    """Ask the question as the options want it, and give its answer; the file ``-`` is what comes in.

    Returns:
        The exit status.
    """
    from linesim.commands.files import (
        require_folder,
        require_free,
        require_tables,
        wants_workbook,
        write_file,
        write_folder,
        write_parquet,
        write_workbook,
    )
    from linesim.commands.progress import told
    from linesim.commands.show import show
    from linesim.report.workbook import answer_workbook
    from linesim.scenario.files import TABLE_LIMIT

    first, *_ = fields_of(question)
    given = {one.name: getattr(args, one.name) for one in fields_of(question) if one.option.flag != "-"}
    files = (*(f"{name}.csv" for name in question.tables), f"{question.name}.json")
    require_tables(args, files)
    if args.out and not wants_workbook(args):
        require_folder("--out", Path(args.out), files, force=args.force)
    if args.drawing:
        require_free({"--drawing": args.drawing}, force=args.force)
    source = str(given[first.name])
    if source == "-":
        given[first.name] = sys.stdin.buffer.read(TABLE_LIMIT + 1)
    with told(question.counts, quiet=args.quiet) as (tell, _):
        asked = question(**given, progress=tell)
        answer = asked.answer(None)
    if wants_workbook(args):
        write_workbook(args, answer_workbook(answer))
    elif args.out:
        write_folder("--out", Path(args.out), answer.files())
        write_parquet(args, answer.files())
    if args.drawing:
        _draw(answer, args.drawing)
    for name in question.changes:
        if given[name]:
            write_file(f"--{name}", Path(given[name]), asked.text_of(name, answer))
    if args.json:
        sys.stdout.write(answer.to_json())
    else:
        show(answer, "standard input" if source == "-" else Path(source).name)
    return DONE


def picture_name(text: str) -> Path:
    """Return the file that ``--drawing`` names."""
    if Path(text).suffix.lower() not in (".svg", ".png"):
        raise argparse.ArgumentTypeError(f"found {text}; name a file that ends in .svg or .png")
    return Path(text)


def _draw(answer: Document, path: Path) -> None:
    """Draw an answer into a file; several drawings get names of their own after it."""
    from linesim.commands.files import OutputRefusedError, write_bytes
    from linesim.report.document import document_pieces
    from linesim.report.figure import Figure
    from linesim.report.pictures import drawn_png, picture
    from linesim.report.style import WIDE

    figures = [piece for piece in document_pieces(answer) if isinstance(piece, Figure)]
    if not figures:
        raise OutputRefusedError("--drawing: no shape was fitted, so there is nothing to draw")
    for one in figures:
        file = path if len(figures) == 1 else path.with_stem(f"{path.stem}-{one.name}")
        is_png = path.suffix.lower() == ".png"
        data = drawn_png(one.name, one.draw, WIDE, one.title, one.says) if is_png else picture(one).encode()
        write_bytes("--drawing", file, data)
