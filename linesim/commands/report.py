"""`linesim report`: one page that opens anywhere, about a line or about a study."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from linesim.commands.asking import add_card, add_option
from linesim.commands.options import DONE, FAILED, add_command, add_run_options, add_scenario, command_again
from linesim.commands.running import warn
from linesim.questions.declare import MeasuredQuestion, fields_of

if TYPE_CHECKING:
    from linesim.commands.options import Commands
    from linesim.report.page import Contents
    from linesim.report.page_input import Told
    from linesim.runs.result import Result
    from linesim.scenario import Scenario

OUT = "report.html"  #: Where the page goes unless somebody says otherwise.


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "report",
        "Write a page that people read in a browser: what the line does, why, and how sure that is",
        examples=(
            (
                "linesim report scenarios/tractor/line.toml -o tractor.html",
                "simulate the line and write the page",
            ),
            (
                "linesim report line.toml --pictures slides --only losses",
                "report.html, and one of its drawings as an SVG file in the folder slides",
            ),
            (
                "linesim report results/sweep -o choices.html",
                "the page of a study that --out has kept, with its answers to choose from",
            ),
        ),
        more=(
            "The page is one file: it loads nothing, opens without a network, and prints.\n"
            "A STUDY is a folder that --out of another command has made, or the JSON file of\n"
            "an answer in it; nothing is simulated then."
        ),
    )
    add_scenario(parser)
    add_run_options(parser)
    for one in fields_of(MeasuredQuestion):
        if one.name in ("measure", "precision", "max_replications"):
            add_option(parser, one)
    parser.add_argument("-o", "--out", metavar="PAGE", default=OUT, help=f"the page (default: {OUT})")
    add_card(parser)
    parser.add_argument("--pictures", metavar="DIR", help="write the page's drawings as SVG files into DIR")
    parser.add_argument(
        "--only",
        metavar="DRAWING",
        action="append",
        default=[],
        help="a drawing that --pictures writes, such as strip; may be repeated (default: all)",
    )
    parser.add_argument("--force", action="store_true", help="replace files that are already there")
    parser.add_argument("--quiet", action="store_true", help="no progress and no notes on stderr")


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.commands.files import require_free, write_file, write_folder
    from linesim.report.page import html, one_side

    page = Path(args.out)
    card = {"--card": Path(args.card)} if args.card else {}
    require_free({"--out": page, **card}, force=args.force)
    _require_room(args)
    path = Path(args.file)
    is_study = path.is_dir() or path.suffix == ".json"
    contents, lost = _of_study(args, path) if is_study else _of_line(args, path)
    pictures = _pictures(args, contents)
    texts = {page: html(contents)}
    write_file("--out", page, texts[page])
    if args.card:
        texts[Path(args.card)] = html(one_side(contents))
        write_file("--card", Path(args.card), texts[Path(args.card)])
    if pictures:
        write_folder("--pictures", Path(args.pictures), pictures)
        texts |= {Path(args.pictures) / name: text for name, text in pictures.items()}
    for written, text in texts.items():
        print(f"{written}, {len(text.encode()) / 1000:,.0f} kB")
    return FAILED if lost else DONE


def _require_room(args: argparse.Namespace) -> None:
    """Refuse pictures that would replace others, before anything is simulated."""
    from linesim.commands.files import OutputRefusedError, require_folder

    if args.pictures is None:
        if args.only:
            raise OutputRefusedError("--only: it says which drawings --pictures writes; add --pictures DIR")
        return
    folder = Path(args.pictures)
    names = [f"{name}.svg" for name in args.only] or sorted(path.name for path in folder.glob("*.svg"))
    require_folder("--pictures", folder, tuple(names), force=args.force)


def _pictures(args: argparse.Namespace, contents: Contents) -> dict[str, str]:
    """Return the drawings that are asked for, as texts by the names of their files."""
    from linesim.commands.files import OutputRefusedError
    from linesim.report.pictures import figures_of, picture

    if args.pictures is None:
        return {}
    figures = figures_of(contents)
    if unknown := [name for name in args.only if name not in figures]:
        raise OutputRefusedError(
            f"--only: the page has no drawing {', '.join(unknown)}; it has {', '.join(figures)}"
        )
    return {f"{name}.svg": picture(figures[name]) for name in args.only or figures}


def _of_line(args: argparse.Namespace, path: Path) -> tuple[Contents, bool]:
    from linesim.commands.progress import told as progress
    from linesim.report.page import run_contents
    from linesim.runs.simulation import simulate
    from linesim.runs.workers import usable_cores
    from linesim.scenario import read

    reading = read(args.file, args.sets, add=args.add)
    warn(reading, args)
    goal = MeasuredQuestion(
        measure=args.measure, precision=args.precision, max_replications=args.max_replications,
        replications=args.replications, confidence=args.confidence,
    ).goal  # fmt: skip
    with progress("replications", quiet=args.quiet) as (tell, notice):
        result = simulate(
            reading.scenario,
            replications=args.replications,
            seed=args.seed,
            confidence=args.confidence,
            file=path.name,
            changes=[*args.add, *args.sets],
            workers=args.workers or usable_cores(),
            drive=args.drive,
            progress=tell,
            notice=notice,
            goal=goal,
        )
    told = told_of(reading.scenario, result, _command(args, path))
    return run_contents(told), _is_short(result)


def _of_study(args: argparse.Namespace, path: Path) -> tuple[Contents, bool]:
    from linesim.questions.kept import NoStudyError, reopen
    from linesim.report.page import run_contents, study_contents

    if (
        args.add
        or args.sets
        or args.replications is not None
        or args.seed is not None
        or args.precision is not None
    ):
        raise NoStudyError(
            f"{path} is a study that has been run: --set, --add, --replications, --seed and --precision "
            "belong to the command that runs it."
        )
    found = reopen(path)
    told = None
    if found.scenario is not None and found.result is not None:
        told = told_of(found.scenario, found.result, _command(args, path))
    if found.answer is None:
        if told is None:
            raise NoStudyError(
                f"{path} holds no replications that this version of the program has made; run the study "
                "again."
            )
        return run_contents(told), _is_short(told.result)
    if told is None and not args.quiet:
        kept = "only the answer is kept"
        if found.scenario is not None:
            kept = "no figures of the line are kept that this version of the program has made"
        print(f"{path}: {kept}, so the page says nothing of the line itself", file=sys.stderr)
    card = found.answer.card
    is_short = bool(card.lost) or any(one.enough is None for one in card.convergences)
    return study_contents(found.answer, told, _command(args, path)), is_short


def _is_short(result: Result) -> bool:
    """Return whether replications were lost, or a figure is not as sharp as it was to be."""
    return bool(result.run.lost) or (result.convergence is not None and result.convergence.enough is None)


def told_of(scenario: Scenario, result: Result, command: str) -> Told:
    """Return everything that a page about a line tells of."""
    from linesim.plan.build import build
    from linesim.questions.decision import decision_of
    from linesim.questions.explain.study import walk
    from linesim.questions.explain.work import assumptions
    from linesim.questions.run.answer import document_of
    from linesim.report.page_input import Told

    study = scenario.study
    asked = (
        ("Question", study.question),
        ("Decision", study.decision),
        ("Asked by", study.owner),
        ("When", study.date),
    )
    return Told(
        answer=document_of(build(scenario), result, decision_of(result, scenario)),
        asked=tuple((head, text) for head, text in asked if text),
        note=scenario.note or "",
        assumptions=assumptions(scenario),
        walk=walk(scenario),
        command=command,
    )


def _command(args: argparse.Namespace, path: Path) -> str:
    """Return the command that makes the page again."""
    names = ("replications", "seed", "measure", "precision", "max_replications", "confidence")
    asked = {name: getattr(args, name) for name in names}
    if args.confidence == 0.95:
        del asked["confidence"]
    return command_again("report", [path.name or "."], args, asked)
