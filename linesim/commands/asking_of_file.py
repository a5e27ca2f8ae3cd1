"""A declared question of a file of figures as a command: its run, its answer on a terminal or in files."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from linesim.commands.status import DONE
from linesim.questions.declare import fields_of

if TYPE_CHECKING:
    from linesim.answers.document import Document
    from linesim.questions.file_question import FileQuestion


def main(args: argparse.Namespace, question: type[FileQuestion]) -> int:
    """Ask the question as the options want it, and give its answer; the file ``-`` is what comes in.

    Returns:
        The exit status.
    """
    from linesim.commands.files import require_folder, require_free, write_file, write_folder
    from linesim.commands.progress import told
    from linesim.commands.show import show
    from linesim.commands.table_files import require_tables, wants_workbook, write_parquet, write_workbook
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
    from linesim.report.pictures import picture
    from linesim.report.png import drawn_png
    from linesim.report.style import WIDE

    figures = [piece for piece in document_pieces(answer) if isinstance(piece, Figure)]
    if not figures:
        raise OutputRefusedError("--drawing: no shape was fitted, so there is nothing to draw")
    for one in figures:
        file = path if len(figures) == 1 else path.with_stem(f"{path.stem}-{one.name}")
        is_png = path.suffix.lower() == ".png"
        data = drawn_png(one.name, one.draw, WIDE, one.title, one.says) if is_png else picture(one).encode()
        write_bytes("--drawing", file, data)
