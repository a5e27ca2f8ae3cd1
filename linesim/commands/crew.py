"""`linesim crew`: what does one more operator buy, and on which crew?"""

from __future__ import annotations

import argparse
from functools import partial
from typing import TYPE_CHECKING

from linesim.commands.options import add_scenario, amount
from linesim.commands.parser import add_command
from linesim.commands.studying import add_study_options, ask

if TYPE_CHECKING:
    from linesim.commands.page import Page
    from linesim.commands.parser import Commands
    from linesim.questions.crew import CrewAnswer
    from linesim.questions.crew.gains import Gain

FILES = ("gains.csv", "money.csv", "stops.csv", "barred.csv", "crew.json")  #: What ``--out`` writes
MOST_STOPS = 12  #: Places and causes that get a line.
ALL = "all"  #: Instead of a saving, where the difference is the same each time.


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "crew",
        "Say what one more operator buys on each crew, and what one fewer costs",
        examples=(
            (
                "linesim crew scenarios/tractor/line.toml",
                "one more, one fewer and a floater, crew by crew, in jobs and money a shift",
            ),
            (
                "linesim crew line.toml --only trim --only cab --no-fewer",
                "one more in two crews, and a floater for each",
            ),
            (
                "linesim crew line.toml --set 'cost.margin_per_job = 310' --json",
                "with another margin, for programs",
            ),
        ),
        more=(
            "Every change sees the same jobs and the same luck as the line as it is. Each is run a\n"
            "few times; only what is not clear then goes on. Prices stand in [cost] of the file:\n"
            "operator_per_shift, margin_per_job, stop_minute, currency."
        ),
    )
    add_scenario(parser)
    parser.add_argument(
        "--only",
        metavar="CREW",
        action="append",
        default=[],
        help="a crew to ask about; may be repeated (default: all)",
    )
    parser.add_argument("--no-fewer", action="store_true", help="do not ask about one fewer")
    parser.add_argument("--no-floater", action="store_true", help="do not ask about floaters")
    parser.add_argument(
        "--response",
        metavar="TIME",
        help="time from a call until a new floater comes, such as '30 s' (default: as floaters there do)",
    )
    parser.add_argument(
        "--matters",
        metavar="X",
        type=partial(amount, says="a number such as 0.5"),
        help="smallest difference that matters, in jobs (default: 0.5 %% of what the line makes)",
    )
    add_study_options(parser, precision=False)


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.questions.crew import crew
    from linesim.questions.crew.hands import FEWER, FLOATER, MORE
    from linesim.scenario import read

    reading = read(args.file, args.sets, add=args.add)
    kinds = [MORE, *([] if args.no_fewer else [FEWER]), *([] if args.no_floater else [FLOATER])]
    return ask(
        args,
        reading,
        FILES,
        lambda how: crew(
            reading.scenario,
            only=args.only,
            kinds=kinds,
            response=args.response,
            matters=args.matters,
            confidence=args.confidence,
            **how,
        ),
        _show,
        in_steps=True,
    )


def _show(page: Page, answer: CrewAnswer) -> None:
    for kind in dict.fromkeys(gain.hand.kind for gain in answer.gains):
        page.heading(f"{kind[0].upper()}{kind[1:]}: {answer.figure.label}")
        gains = [gain for gain in answer.gains if gain.hand.kind == kind]
        with_money = any(gain.hand.name in answer.pays for gain in gains)
        page.table(
            ("crew", "adds", "interval", "", *(("net money", "interval") if with_money else ()), "1 for"),
            [_line(answer, gain) for gain in gains],
        )
    constant = [gain for gain in answer.gains if _saving(gain) == ALL]
    page.say(
        "'1 for': one replication with common draws says as much as so many with independent ones"
        f"{'; all: the difference is the same each time' if constant else ''}.",
        indent=2,
    )
    if answer.stops and answer.best is not None:
        _stops(page, answer)


def _line(answer: CrewAnswer, gain: Gain) -> tuple[str, ...]:
    from linesim.measures.definitions import DEFINITIONS
    from linesim.questions.money import money
    from linesim.questions.verdicts import signed, signed_span, verdict

    row = gain.as_row(answer.figure, DEFINITIONS[answer.figure.measure].unit)
    cells = [gain.hand.crew, signed(row), signed_span(row), verdict(row)]
    if answer.pays:
        net, currency = answer.pays[gain.hand.name].net, str(answer.table("money").column("currency")[0])
        if net is None or net.low is None or net.high is None:
            cells += ["–", ""]
        else:
            low, mean, high = (
                money(value, net.half_width, currency, signed=True) for value in (net.low, net.mean, net.high)
            )
            cells += [mean, f"{_bare(low, currency)} to {_bare(high, currency)}"]
    return (*cells, _saving(gain))


def _saving(gain: Gain) -> str:
    saving = gain.found.variance_ratio
    return "–" if saving is None else f"{saving:.0f}" if saving < 1e6 else ALL


def _bare(amount: str, currency: str) -> str:
    return amount.replace(currency, "").replace(" ", "")


def _stops(page: Page, answer: CrewAnswer) -> None:
    from linesim.answers.wording import number
    from linesim.questions.run_sentences import cause_in_words
    from linesim.questions.verdicts import sign_of, signed, signed_span

    best = answer.best
    assert best is not None
    moved = [stop for stop in answer.stops if sign_of(stop.change)]
    page.heading(f"Which stops {best.hand.name} changes, minutes a shift")
    if not moved:
        page.say("None surely.", indent=2)
        return
    page.table(
        ("at", "because", "now", "changes by", "interval"),
        [
            (
                stop.where,
                cause_in_words(stop.cause),
                number(stop.before, 1),
                signed(stop.change),
                signed_span(stop.change),
            )
            for stop in moved[:MOST_STOPS]
        ],
        left=2,
    )
