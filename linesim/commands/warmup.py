"""`linesim warmup`: when does the start of a run stop mattering?"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from linesim.commands.options import add_scenario, count
from linesim.commands.parser import add_command
from linesim.commands.studying import add_study_options, ask

if TYPE_CHECKING:
    from linesim.commands.page import Page
    from linesim.commands.parser import Commands
    from linesim.questions.warmup import WarmUp

FILES = ("cuts.csv", "bias.csv", "moving_average.csv", "warmup.json")  #: What ``--out`` writes
LINES = 24  #: Lines of the moving average on the page.


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "warmup",
        "Say how much of the start of a run to leave out, and whether the file's own warm-up is enough",
        examples=(
            (
                "linesim warmup scenarios/tractor/line.toml",
                "finished jobs, jobs inside and stops, with a suggestion",
            ),
            (
                "linesim warmup line.toml --set 'run.start = \"empty\"' --set 'run.length = \"10 shifts\"'",
                "an empty line at first, and a longer look",
            ),
            (
                "linesim warmup line.toml --replications 40 --out results/start",
                "a smoother curve, and every interval as a table",
            ),
        ),
        more=(
            "Welch's moving average over replications, and MSER-5. Exit status 1 if a cut would\n"
            "fall in the last half of the run."
        ),
    )
    add_scenario(parser)
    parser.add_argument(
        "--window",
        metavar="N",
        type=count,
        help="intervals on each side of the moving average (default: a twentieth of the run)",
    )
    add_study_options(parser, precision=False, intervals=False)


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.questions.warmup import warmup
    from linesim.scenario import read

    reading = read(args.file, args.sets, add=args.add)
    return ask(
        args,
        reading,
        FILES,
        lambda how: warmup(
            reading.scenario,
            window=args.window,
            **how,
        ),
        _show,
        failed=lambda answer: answer.is_refused,
    )


def _show(page: Page, answer: WarmUp) -> None:
    from linesim.answers.wording import count_of, number

    page.heading("Where each series has settled, hours of working time")
    page.table(
        ("series", "MSER-5", "replications alone", "refused alone", "mean, all", "mean, kept"),
        [
            (
                str(row["series"]) if row["decides"] == "yes" else f"({row['series']})",
                "refused" if row["cut_h"] is None else _hours(row["cut_h"]),
                "–"
                if row["alone_low_h"] is None
                else f"{_hours(row['alone_low_h'])} to {_hours(row['alone_high_h'])}",
                str(row["alone_refused"]),
                _mean(row["whole_mean"]),
                _mean(row["kept_mean"]),
            )
            for row in answer.table("cuts")
        ],
    )
    page.say("In brackets: shown, but too restless to decide.", indent=2)
    page.heading(
        f"Welch's moving average, {count_of(answer.window, 'interval')} of {answer.interval_s / 60:g} min to "
        "each side"
    )
    smooth: dict[str, list[tuple[float, float]]] = {}
    for row in answer.table("moving_average"):
        if row["smoothed"] is not None:
            smooth.setdefault(str(row["series"]), []).append(
                (float(row["start_h"] or 0), float(row["smoothed"]))
            )
    names = list(smooth)
    n = len(smooth[names[0]])
    shown = sorted({round(k * (n - 1) / (LINES - 1)) for k in range(LINES)})
    lines = []
    for k in shown:
        hour = smooth[names[0]][k][0]
        settled = answer.settled_s is not None and hour * 3600 >= answer.settled_s - 1e-6
        cells = [number(smooth[name][k][1], 3 if name == "stopped" else 2) for name in names]
        lines.append((f"{hour:.2f}", *cells, "kept" if settled else "left out" if answer.settled_s else ""))
    bars = [smooth["inside"][k][1] for k in shown]
    page.table(("from hour", "finished/h", "inside", "stopped", ""), lines, bars=bars)
    page.say("The bars show the jobs inside.", indent=2)


def _hours(value: object) -> str:
    return f"{float(str(value)):.2f}"


def _mean(value: object) -> str:
    return "–" if value is None else f"{float(str(value)):.4g}"
