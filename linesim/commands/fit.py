"""`linesim fit`: which shape do measured times have?"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from linesim.commands.options import add_confidence, add_output_options, seed
from linesim.commands.parser import add_command
from linesim.commands.status import DONE

if TYPE_CHECKING:
    from linesim.commands.page import Page
    from linesim.commands.parser import Commands
    from linesim.questions.fit import Fit
    from linesim.questions.fit.candidates import Candidate

TABLES = ("data.csv", "shapes.csv", "quantiles.csv", "fit.json")
DRAWING = "fit.svg"
FILES = (*TABLES, DRAWING)  #: What ``--out`` writes; the drawing where a shape was fitted


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "fit",
        "Propose a shape for measured times and write the line of TOML to paste",
        examples=(
            (
                "linesim fit scenarios/features/times.csv",
                "the only column of times there: which shape, and how well does it fit?",
            ),
            (
                "linesim fit times.xlsx --column seat_s --out seat",
                "one column of a workbook; tables and a drawing go into the folder seat",
            ),
            (
                "linesim fit times.csv --shape lognormal --shape gamma --drawing two.png",
                "two shapes only, and a picture for a slide; .svg works alike",
            ),
        ),
        more=(
            "Headings of times end in their unit: _s, _min or _h. Shapes are fitted by maximum\n"
            "likelihood and held against samples drawn from them. Where none fits, the measured\n"
            "times themselves are proposed."
        ),
    )
    parser.add_argument("file", metavar="TIMES", help="measured times, a CSV file or workbook")
    parser.add_argument(
        "--column", metavar="HEADING", help="column of the times (default: the only one with a unit)"
    )
    parser.add_argument(
        "--shape",
        dest="shapes",
        metavar="SHAPE",
        action="append",
        default=[],
        help="a shape to try, such as gamma; may be repeated (default: all)",
    )
    parser.add_argument(
        "--samples",
        metavar="N",
        type=_samples,
        default=199,
        help="samples drawn for the goodness of fit, 19 to 9999 (default: 199)",
    )
    parser.add_argument(
        "--seed", metavar="N", type=seed, default=1, help="number that these samples follow from (default: 1)"
    )
    add_confidence(parser)
    parser.add_argument(
        "--drawing",
        metavar="FILE",
        type=_picture,
        help="draw times and shape into this file, as its name ends: .svg or .png",
    )
    add_output_options(parser)


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.commands.files import require_folder, require_free, write_folder
    from linesim.commands.progress import told
    from linesim.questions.fit import fit

    if args.out:
        require_folder("--out", Path(args.out), FILES, force=args.force)
    if args.drawing:
        require_free({"--drawing": args.drawing}, force=args.force)
    with told("shapes", quiet=args.quiet) as (tell, _):
        answer = fit(
            args.file,
            column=args.column,
            shapes=args.shapes,
            samples=args.samples,
            seed=args.seed,
            confidence=args.confidence,
            progress=tell,
        )
    if args.out:
        write_folder("--out", Path(args.out), {**answer.files(), **_drawing(answer)})
    if args.json:
        sys.stdout.write(answer.to_json())
    else:
        _show(answer, args)
    if args.drawing:
        _draw(answer, args.drawing)
    return DONE


def _draw(answer: Fit, path: Path) -> None:
    from linesim.commands.files import OutputRefusedError, write_bytes
    from linesim.report.charts.fit import fitted_file

    drawn = fitted_file(answer, path.suffix.lower())
    if drawn is None:
        raise OutputRefusedError("--drawing: no shape was fitted, so there is nothing to draw")
    write_bytes("--drawing", path, drawn)


def _drawing(answer: Fit) -> dict[str, str]:
    from linesim.report.charts.fit import fitted, standing_alone

    drawing = fitted(answer)
    return {} if drawing is None else {DRAWING: standing_alone(drawing)}


def _show(answer: Fit, args: argparse.Namespace) -> None:
    from linesim.commands.page import Page

    page = Page()
    page.title(f"{Path(args.file).name}, {answer.column}")
    page.gap()
    for sentence in answer.sentences:
        page.say(sentence, indent=2)
    page.heading("To paste")
    page.verbatim(f"  {answer.line}")
    if answer.shapes or answer.left_out:
        _shapes(page, answer)
    page.heading("Before it is used")
    for caution in answer.cautions:
        page.say(caution, indent=2)
    page.heading("How this was found")
    page.say(
        f"Maximum likelihood; {args.samples} samples a shape with seed {args.seed}. Intervals: "
        f"{100 * args.confidence:g} %. linesim {dict(answer.card.versions)['linesim']}.",
        indent=2,
    )


def _shapes(page: Page, answer: Fit) -> None:
    page.heading("Shape by shape")
    best = min((one.aic for one in answer.shapes), default=0.0)
    page.table(
        ("shape", "mean, s", "sd, s", "95 %, s", "AIC", "as far off, %", ""),
        [_line(one, best) for one in answer.shapes],
    )
    for out in answer.left_out:
        page.say(f"{out.kind}: not tried, {out.why}.", indent=2)
    page.say(
        "'95 %': so many of the times are shorter by the shape. 'as far off': of the samples drawn from "
        "it, so many lie as far off; with 5 or less it does not fit. 'AIC': above the lowest, lower is "
        "better; of shapes with two ends it says less.",
        indent=2,
    )


def _line(one: Candidate, best: float) -> tuple[str, ...]:
    aic = "0" if one.aic == best else f"+{one.aic - best:.1f}"
    return (
        one.kind, f"{one.mean_s:.4g}", f"{one.sd_s:.3g}", f"{one.quantile(0.95):.4g}", aic,
        f"{100 * one.chance:.0f}" if one.chance >= 0.1 else f"{100 * one.chance:.2g}", one.fate,
    )  # fmt: skip


def _samples(text: str) -> int:
    if not text.isdecimal() or not 19 <= int(text) <= 9999:
        raise argparse.ArgumentTypeError(f"found {text}; write a whole number from 19 to 9999")
    return int(text)


def _picture(text: str) -> Path:
    if Path(text).suffix.lower() not in (".svg", ".png"):
        raise argparse.ArgumentTypeError(f"found {text}; name a file that ends in .svg or .png")
    return Path(text)
