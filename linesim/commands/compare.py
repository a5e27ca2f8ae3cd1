"""`linesim compare`: what does a change do?"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from linesim.commands.alternatives import add_tries, alternative_of
from linesim.commands.options import add_changes, add_figure
from linesim.commands.parser import add_command
from linesim.commands.studying import add_study_options, ask

if TYPE_CHECKING:
    from linesim.commands.page import Page
    from linesim.commands.parser import Commands
    from linesim.studies.comparison import Comparison
    from linesim.studies.comparison.rows import DifferenceRow

FILES = ("differences.csv", "levels.csv", "changes.csv", "compare.json")  #: What ``--out`` writes
MOST_CASES = 4  #: With more cases each gets one line instead of a table.
#: Shares that say once more what others on the page say.
NOT_SHOWN = frozenset({"operator_state", "robot_state", "buffer_at", "buffer_full", "buffer_empty"})
MOST_MOVED = 10  #: Other figures that get a line.


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "compare",
        "Compare a line with changed ones: what the change does, and whether the data can tell",
        examples=(
            (
                "linesim compare scenarios/tractor/line.toml --try 'crew.trim.people = 7'",
                "one more operator in trim against the line as it is",
            ),
            (
                "linesim compare line.toml --try 'wide: buffer.lane.capacity = 6' --try 'takt = \"90 s\"' "
                "--set 'run.length = \"2 shifts\"'",
                "two what-ifs, each by itself, held to a joint confidence; shorter runs in every case",
            ),
            (
                "linesim compare today.toml tomorrow.toml --on line_stop:trim --json",
                "two files, decided by the stop minutes of one section, for programs",
            ),
        ),
        more=(
            "Every case sees the same jobs and the same luck, so differences need few replications.\n"
            "Each --try is a what-if of its own; lines that belong together stand in one:\n"
            "--try 'trim for final: crew.trim.people = 7; crew.final.people = 4'."
        ),
    )
    parser.add_argument("file", metavar="BASE", help="scenario to compare with, a TOML file")
    parser.add_argument("others", metavar="OTHER", nargs="*", help="scenarios to compare")
    add_tries(parser, "one more case, BASE with changes")
    add_changes(parser)
    add_figure(parser)
    add_study_options(parser)


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.scenario import read
    from linesim.studies.cases import Case
    from linesim.studies.comparison import compare

    reading = read(args.file, args.sets, add=args.add)
    name = Path(args.file).name
    others = [
        Case(_named(other, args.file), read(other, args.sets, add=args.add).scenario) for other in args.others
    ]
    others += [alternative_of(text).case(reading.scenario) for text in args.tries]

    return ask(
        args,
        reading,
        FILES,
        lambda how: compare(
            reading.scenario,
            others,
            on=args.on,
            confidence=args.confidence,
            base_name=name,
            **how,
        ),
        _show,
    )


def _named(other: str, base: str) -> str:
    """Return the name of a file, without its folders where that is enough to tell it from the base."""
    return other if Path(other).name == Path(base).name else Path(other).name


def _show(page: Page, answer: Comparison) -> None:
    cases = [name for name, _ in answer.changes]
    if len(cases) > MOST_CASES:
        page.heading(f"{answer.figure.label}, case by case")
        rows = [answer.difference(name) for name in cases]
        page.table(
            ("case", answer.base, "case", "difference", "interval", ""), [_line(r, r.case) for r in rows]
        )
    else:
        for name in cases:
            _case(page, answer, name)
    page.heading("What differs in the input")
    for name, changes in answer.changes:
        if not changes:
            page.say(f"{name}: nothing.", indent=2)
        for change in changes:
            page.say(f"{change}" if len(cases) == 1 else f"{name}: {change}", indent=2)


def _case(page: Page, answer: Comparison, name: str) -> None:
    from linesim.studies.verdicts import sign_of

    page.heading(f"{name} against {answer.base}")
    mine = [row for row in answer.differences if row.case == name]
    others = max(row.comparisons for row in mine)
    first = [row for row in mine if row.comparisons < others or row.figure == answer.figure]
    page.table(
        ("", "base", "case", "difference", "interval", ""), [_line(row, row.figure.label) for row in first]
    )
    rest = [row for row in mine if row not in first]
    moved = [row for row in rest if sign_of(row.as_row) and row.measure not in NOT_SHOWN]
    moved.sort(key=lambda row: -abs(row.difference) / (row.half_width or 1e-300))
    if moved:
        page.gap()
        page.say(f"What else surely moved, of {len(rest)} more figures held to a joint confidence:", indent=2)
        page.table(
            ("", "base", "case", "difference", "interval", ""),
            [_line(row, row.figure.label) for row in moved[:MOST_MOVED]],
        )
        if len(moved) > MOST_MOVED:
            page.say(f"and {len(moved) - MOST_MOVED} more (--json has all).", indent=2)


def _line(row: DifferenceRow, label: str) -> tuple[str, ...]:
    from linesim.studies.figures import decimals, number
    from linesim.studies.verdicts import signed, signed_span

    scale = row.figure.scale
    half = None if row.low is None or row.high is None else (row.high - row.low) / 2 * scale
    places = decimals(row.base_mean * scale, half)
    return (
        label,
        number(row.base_mean * scale, places),
        number(row.case_mean * scale, places),
        signed(row.as_row, scale=scale),
        signed_span(row.as_row, scale=scale),
        row.verdict,
    )
