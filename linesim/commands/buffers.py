"""`linesim buffers`: how many buffer places, and where?"""

from __future__ import annotations

import argparse
from functools import partial
from typing import TYPE_CHECKING

from linesim.commands.options import add_measure, add_scenario, amount, count, share
from linesim.commands.parser import add_command
from linesim.commands.studying import add_study_options, ask

if TYPE_CHECKING:
    from linesim.commands.page import Page
    from linesim.commands.parser import Commands
    from linesim.questions.buffers import BufferAnswer
    from linesim.questions.buffers.curve import PlaceStep

MOST_SPLITS = 12  #: Splits that get a line of the page.


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "buffers",
        "Say what buffer places bring, and where they belong",
        examples=(
            (
                "linesim buffers scenarios/tractor/line.toml",
                "each buffer from no place to endless ones, and what each place adds",
            ),
            (
                "linesim buffers line.toml --places 9",
                "nine places over all buffers: which split makes the most",
            ),
            (
                "linesim buffers line.toml --share 0.98 --only lane --only bank",
                "the fewest places at two buffers that reach 98 % of what endless ones give",
            ),
        ),
        more=(
            "Every variant sees the same jobs and the same luck, so few replications tell them\n"
            "apart. Splits are tried where blocking and starvation meet; the last choice is made\n"
            "with the promised confidence, as far as --min-effect goes."
        ),
    )
    add_scenario(parser)
    parser.add_argument("--places", metavar="N", type=_places, help="places to split in the best way")
    parser.add_argument(
        "--share",
        metavar="S",
        type=partial(share, says="a share such as 0.98 or 98%"),
        help="fewest places that reach this share of what endless buffers give: 0.98, or 98%%",
    )
    parser.add_argument(
        "--only",
        metavar="BUFFER",
        action="append",
        default=[],
        help="a buffer to ask about; may be repeated (default: all)",
    )
    add_measure(parser, rises=True)
    parser.add_argument(
        "--min-effect",
        metavar="X",
        type=partial(amount, says="a number such as 0.5", may_be_0=True),
        help="smallest difference that matters, in the unit of the measure (default: 0.5 %% of it)",
    )
    parser.add_argument(
        "--worth",
        metavar="X",
        type=partial(amount, says="a number such as 0.5", may_be_0=True),
        default=0.0,
        help="what a place must add to pay, in the unit of the measure (default: anything)",
    )
    parser.add_argument("--every", action="store_true", help="compare every split, however many there are")
    parser.add_argument(
        "--max-replications", metavar="N", type=count, help="most replications of a case (default: 60)"
    )
    add_study_options(parser, precision=False)


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.questions.buffers import buffers
    from linesim.scenario import read

    reading = read(args.file, args.sets, add=args.add)
    return ask(
        args,
        reading,
        files(args),
        lambda how: buffers(
            reading.scenario,
            places=args.places,
            share=args.share,
            only=args.only,
            measure=args.measure,
            min_effect=args.min_effect,
            worth=args.worth,
            every=args.every,
            max_replications=args.max_replications,
            confidence=args.confidence,
            **how,
        ),
        _show,
        in_steps=True,
    )


def files(args: argparse.Namespace) -> tuple[str, ...]:
    """Return the names of the files that ``--out`` writes."""
    names = ["where.csv"]
    if args.places is None and args.share is None:
        names += ["curve.csv", "steps.csv"]
    if args.places is not None:
        names += ["splits.csv", "best.csv"]
    if args.share is not None:
        names.append("fewest.csv")
    return (*names, "buffers.json")


def _show(page: Page, answer: BufferAnswer) -> None:
    if answer.curves is not None:
        _curves(page, answer)
    if answer.best is not None:
        _splits(page, answer)
    _where(page, answer)


def _curves(page: Page, answer: BufferAnswer) -> None:
    from linesim.questions.figures import estimate, span

    assert answer.curves is not None
    for gap in answer.gaps:
        page.heading(f"{gap.buffer}: {answer.figure.label} by places")
        points = [point for point in answer.curves.points if point.buffer == gap.buffer]
        into = {(step.start, step.end): step for step in answer.curves.steps if step.buffer == gap.buffer}
        rows = []
        for before, point in zip([None, *points], points, strict=False):
            step = into[before.places, point.places] if before else None
            now = " now" if point.places == str(gap.places) else ""
            rows.append((point.places + now, estimate(point.level), span(point.level), *_step(step)))
        page.table(("places", "makes", "interval", "a place adds", "interval", ""), rows)
    page.say(
        "'makes' holds for each line alone, what places add for all of them together. From the last "
        "number of places to endless ones the gain is that of all of them.",
        indent=2,
    )


def _step(step: PlaceStep | None) -> tuple[str, str, str]:
    from linesim.questions.verdicts import signed, signed_span

    if step is None:
        return "", "", ""
    return signed(step.each), signed_span(step.each), step.verdict


def _splits(page: Page, answer: BufferAnswer) -> None:
    rows = [
        (str(row["split"]), f"{row['mean']:.4g}", str(row["replications"]), str(row["fate"]))
        for row in answer.table("splits")
    ]
    page.heading(f"Splits compared, places in line order: {', '.join(gap.buffer for gap in answer.gaps)}")
    page.table(("split", answer.figure.label, "replications", ""), rows[:MOST_SPLITS])
    if len(rows) > MOST_SPLITS:
        page.say(f"and {len(rows) - MOST_SPLITS} more (--json has all).", indent=2)
    page.say(answer.table("splits").says, indent=2)


def _where(page: Page, answer: BufferAnswer) -> None:
    page.heading("Where would a place pay? Share of the time now, %")
    page.table(
        ("buffer", "places", "before it: no room", "after it: no job", "full", "empty"),
        [
            (
                str(row["buffer"]),
                str(row["places"]),
                f"{row['before']} {_percent(row['blocked_share'])}",
                f"{row['after']} {_percent(row['starved_share'])}",
                _percent(row["full_share"]),
                _percent(row["empty_share"]),
            )
            for row in answer.table("where")
        ],
    )
    page.say("A place pays where both happen: it keeps a job of the one moment for the other.", indent=2)


def _percent(share: object) -> str:
    return f"{100 * share:.1f}" if isinstance(share, float) else "–"


def _places(text: str) -> int:
    return 0 if text == "0" else count(text)
