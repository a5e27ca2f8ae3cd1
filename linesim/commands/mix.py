"""`linesim mix`: what does a new option mix do to the line, and where does it hurt?"""

from __future__ import annotations

import argparse
import os
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from linesim.commands.alternatives import add_tries, the_alternative
from linesim.commands.options import add_scenario, amount
from linesim.commands.parser import add_command
from linesim.commands.studying import add_study_options, ask

if TYPE_CHECKING:
    from linesim.commands.page import Page
    from linesim.commands.parser import Commands
    from linesim.questions.mix import OptionMix
    from linesim.runs.rows import Row

#: What ``--out`` writes
FILES = (
    "mixes.csv", "drivers.csv", "overload.csv", "spacing.csv", "built.csv", "loads.csv", "changes.csv",
    "mix.json",
)  # fmt: skip
MOST_STATIONS = 4  #: Stations of the grid that get a column.
MOST_LOADS = 6  #: Stations and crews whose load is shown.
MOST_LETTERS = 20  #: Of the name of a job.
SHARES = ("as_it_is_share", "load_share", "p95_share", "heaviest_share")


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "mix",
        "Say what an option mix does to the line, which option drives it, and what spacing gives back",
        examples=(
            (
                "linesim mix scenarios/tractor/line.toml --vary 'option.loader.take = [0.3, 0.5, 0.7]'",
                "output and stops against the take rate, and the highest that still makes the plan",
            ),
            (
                "linesim mix line.toml --try 'model.field.share = 50%; option.roof.take = 35%'",
                "a new mix against the line as it is",
            ),
            (
                "linesim mix line.toml --orders may.csv --rule 'roof 1 in 3' --out results/may",
                "a list of orders (in the scenario's folder), and one rule of the sequence; tables out",
            ),
        ),
        more=(
            "An option's part is the difference between the line with it and the same line, with\n"
            "the same jobs and luck, without it: one more case for each option."
        ),
    )
    add_scenario(parser)
    add_tries(parser, "the new mix")
    parser.add_argument(
        "--orders", metavar="TABLE", help="orders with columns model and options (joined by ;)"
    )
    parser.add_argument(
        "--vary",
        metavar="LINE",
        help="a share or take rate and its values, such as 'option.roof.take = [0.2, 0.3, 0.4]'",
    )
    parser.add_argument(
        "--target",
        metavar="JOBS",
        type=partial(amount, says="jobs a shift, such as 120"),
        help="jobs a shift to reach (default: what the file says)",
    )
    parser.add_argument(
        "--rule",
        dest="rules",
        metavar="RULE",
        action="append",
        default=[],
        help="a spacing rule to try, such as 'roof 1 in 3' (default: one for what hurts most)",
    )
    which = parser.add_mutually_exclusive_group()
    which.add_argument(
        "--option",
        dest="options",
        metavar="NAME",
        action="append",
        help="work out the part of this option only; may be repeated (default: all)",
    )
    which.add_argument("--no-options", action="store_true", help="do not work out what each option costs")
    add_study_options(parser, measure=True)


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.questions.mix import mix, rule_of
    from linesim.questions.varying import factor_of
    from linesim.scenario import read

    reading = read(args.file, args.sets, add=args.add)
    new = reading.scenario
    if orders := _orders(args):
        new = read(args.file, [*args.sets, *orders], add=args.add).scenario
    if tried := the_alternative(args):
        new = tried.case(new).scenario
    rules = [rule_of(text) for text in args.rules]
    return ask(
        args,
        reading,
        FILES,
        lambda how: mix(
            reading.scenario,
            new,
            vary=factor_of(args.vary) if args.vary else None,
            target=args.target,
            options=() if args.no_options else args.options,
            rules=rules,
            confidence=args.confidence,
            **how,
        ),
        _show,
    )


def _orders(args: argparse.Namespace) -> tuple[str, ...]:
    """Return the lines that put a list of orders into the scenario."""
    from linesim.errors import WrongQuestionError
    from linesim.scenario.toml import toml_line

    if not args.orders:
        return ()
    home = os.path.dirname(os.path.abspath(args.file))
    name = os.path.relpath(os.path.abspath(args.orders), home)
    if name.startswith(os.pardir):
        raise WrongQuestionError(
            f"--orders: {args.orders} lies outside the scenario's folder; put it there or below."
        )
    return (
        toml_line(("orders", "file"), Path(name).as_posix()),
        toml_line(("orders", "sequence"), "listed"),
    )


def _show(page: Page, answer: OptionMix) -> None:
    _levels(page, answer)
    if answer.drivers:
        _grid(page, answer)
    _loads(page, answer)
    _changes(page, answer)


def _changes(page: Page, answer: OptionMix) -> None:
    """Say what differs: in the new mix all of it, in a range only what the varied input was."""
    changes = answer.table("changes").rows
    if not changes:
        return
    page.heading("What differs in the input")
    values = {level.case: level.value for level in answer.levels}
    last = next((case for case, *_ in reversed(changes)), "")
    for case, name, before, after in changes:
        if not values.get(str(case)) or case == last:
            page.say(f"{case}: {name}: {before or 'new'} → {after or 'gone'}", indent=2)


def _levels(page: Page, answer: OptionMix) -> None:
    from linesim.questions.figures import estimate, plus_minus

    page.heading("Output, stops and overload against the mix")
    shares = {str(row["case"]): row["built_share"] for row in answer.table("mixes")}
    has_plan = any(level.plan_met is not None for level in answer.levels)
    columns = ["mix", "built, %", "jobs a shift", "against", "stops, min", "overload, s"]
    rows = []
    for level in answer.levels:
        share = shares[level.case]
        rows.append(
            [
                level.value or level.case,
                "" if share is None else f"{100 * float(share):.0f}",
                plus_minus(level.output),
                "" if level.more_output is None else _change(level.more_output),
                estimate(level.stops),
                estimate(level.overload),
                *([f"{100 * (level.plan_met or 0):.0f}"] if has_plan else []),
            ]
        )
    page.table([*columns, *(["plan, %"] if has_plan else [])], rows)
    page.say(
        "Stops: minutes a shift that begin on the line itself, over all sections. Overload: work "
        "left when a job reaches a station's limit, per job. Plan: shifts that make it.",
        indent=2,
    )


def _grid(page: Page, answer: OptionMix) -> None:
    from linesim.answers.wording import number

    page.heading(f"Overload by option, s per job, in {answer.focus!r}")
    worth: dict[str, float] = {}
    for driver in answer.drivers:
        for row in driver.by_station:
            worth[row.where] = max(worth.get(row.where, 0.0), abs(row.mean or 0.0))
    stations = sorted(sorted(worth, key=lambda name: -worth[name])[:MOST_STATIONS])
    rows = []
    for driver in answer.drivers:
        cells = {row.where: row for row in driver.by_station}
        rows.append(
            [
                driver.option,
                f"{100 * driver.share:.0f}",
                _change(driver.overload),
                "–" if driver.overload_each is None else number(driver.overload_each, 1),
                *(_cell(cells.get(name)) for name in stations),
                _change(driver.output),
            ]
        )
    page.table(("option", "built, %", "all", "each", *stations, "jobs"), rows)
    page.say(
        "all: over all stations, per job of all jobs; each: per job that has the option; jobs: what the "
        "line would make more or less a shift if nobody took it. In brackets: can't be told from 0.",
        indent=2,
    )


def _cell(row: Row | None) -> str:
    return "·" if row is None else _change(row)


def _change(row: Row) -> str:
    """Return a difference in few letters; in brackets where the data can't tell it from 0."""
    from linesim.questions.verdicts import sign_of, signed

    text = signed(row)
    return text if sign_of(row) or row.low is None or row.low == row.high else f"({text})"


def _loads(page: Page, answer: OptionMix) -> None:
    rows = sorted(answer.table("loads"), key=lambda row: -_share(row["p95_share"]))
    page.heading("The fullest stations and crews, % of their takt by mean times")
    page.table(
        ("", "", "as it is", "mix", "P95", "heaviest", "over", "which job"),
        [
            (
                str(row["kind"]),
                str(row["name"]),
                *(f"{100 * _share(row[name]):.0f}" for name in SHARES),
                f"{100 * _share(row['over_takt_share']):.0f}",
                _shortened(str(row["heaviest"]))
                if _share(row["heaviest_share"]) > _share(row["load_share"]) + 1e-9
                else "",
            )
            for row in rows[:MOST_LOADS]
        ],
        left=2,
    )
    page.say("P95: nineteen jobs in twenty need no more. Over: % of the jobs above the takt.", indent=2)


def _shortened(name: str) -> str:
    return name if len(name) <= MOST_LETTERS else f"{name[: MOST_LETTERS - 1]}…"


def _share(cell: object) -> float:
    return float(str(cell))
