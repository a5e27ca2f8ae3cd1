"""`linesim bottleneck`: which station holds the line back?"""

from __future__ import annotations

import argparse
from functools import partial
from typing import TYPE_CHECKING

from linesim.commands.options import add_measure, add_scenario, share
from linesim.commands.parser import add_command
from linesim.commands.studying import add_study_options, ask

if TYPE_CHECKING:
    from linesim.commands.page import Page
    from linesim.commands.parser import Commands
    from linesim.questions.bottleneck import Bottleneck
    from linesim.questions.bottleneck.evidence import Nomination, StationFigures
    from linesim.questions.bottleneck.one_more import OneMore
    from linesim.runs.rows import Row

FILES = (
    "methods.csv",
    "stations.csv",
    "resources.csv",
    "links.csv",
    "bottleneck.json",
)  #: What ``--out`` writes


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "bottleneck",
        "Say which station, crew or tool holds the line back, by the published methods side by side",
        examples=(
            (
                "linesim bottleneck scenarios/tractor/line.toml",
                "every station 5 % faster, one at a time, beside what the records say",
            ),
            (
                "linesim bottleneck line.toml --only T7 --only F5 --faster 10%",
                "what a tenth more speed at two stations would bring",
            ),
            (
                "linesim bottleneck line.toml --replications 20 --json",
                "more replications tell stations apart that fewer cannot; for programs",
            ),
        ),
        more=(
            "The gain from speed is the yardstick; the other methods read the records of the line\n"
            "as it is. Where they name another station the answer says so, and why."
        ),
    )
    add_scenario(parser)
    parser.add_argument(
        "--faster",
        metavar="SHARE",
        type=partial(share, says="a share such as 5% or 0.05"),
        default=0.05,
        help="by how much each station is made faster (default: 5%%)",
    )
    parser.add_argument(
        "--only",
        metavar="NAME",
        action="append",
        default=[],
        help="a station, or crew.NAME, tool.NAME, carrier.NAME, whose gain is asked for; may be repeated "
        "(default: all)",
    )
    add_measure(parser, rises=True)
    add_study_options(parser)


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.questions.bottleneck import bottleneck
    from linesim.scenario import read

    reading = read(args.file, args.sets, add=args.add)
    return ask(
        args,
        reading,
        FILES,
        lambda how: bottleneck(
            reading.scenario,
            faster=args.faster,
            only=args.only,
            on=args.measure,
            confidence=args.confidence,
            **how,
        ),
        _show,
    )


def _show(page: Page, answer: Bottleneck) -> None:
    page.heading("Method by method")
    page.table(
        ("method", "names", "could also be"), [_method(named, answer) for named in answer.methods], left=3
    )
    page.heading("Station by station")
    page.table(
        ("station", f"{answer.faster:g} % adds", "interval", "stop", "bottleneck", "alone", "no pause, s"),
        [_station(figures) for figures in answer.stations],
    )
    page.say(
        "'stop': minutes a shift of its section's stop that it caused itself. 'bottleneck': % of the time in "
        "which its period without a pause was the longest of all; 'alone': without another's beside it. The "
        "gains hold together, the other figures each for itself.",
        indent=2,
    )
    if answer.resources:
        page.heading("One more of each crew, tool and carrier")
        page.table(("one more", "adds", "interval"), [_resource(one) for one in answer.resources])
    if answer.method("arrows").stations:
        _links(page, answer)


def _method(named: Nomination, answer: Bottleneck) -> tuple[str, str, str]:
    from linesim.questions.bottleneck.evidence import GAIN, ONE_MORE
    from linesim.questions.bottleneck.sentences import some, tells

    if named.method == ONE_MORE and not named.stations and named.level:
        return named.method, "can't tell", ""
    if named.method == GAIN and not tells({figures.station: figures for figures in answer.stations}):
        return named.method, "can't tell", ""
    also = some([name for name in named.level if name not in named.stations])
    times = f" ({named.times} of {named.replications})" if named.times is not None and named.stations else ""
    return named.method, f"{named.place or '–'}{times}", also


def _station(figures: StationFigures) -> tuple[str, ...]:
    from linesim.questions.figures import give_or_take
    from linesim.questions.verdicts import signed, signed_span

    gain = ("", "") if figures.gain is None else (signed(figures.gain), signed_span(figures.gain))

    def cell(row: Row | None, scale: float = 1.0) -> str:
        return "" if row is None else give_or_take(row, scale=scale)

    return (
        figures.station, *gain, cell(figures.stop), cell(figures.share, 100), cell(figures.sole, 100),
        cell(figures.period),
    )  # fmt: skip


def _resource(one: OneMore) -> tuple[str, str, str]:
    from linesim.questions.verdicts import signed, signed_span

    return one.resource.label, signed(one.gain), signed_span(one.gain)


def _links(page: Page, answer: Bottleneck) -> None:
    page.heading("Blocked and starved, % of working hours")
    rows = []
    for row in answer.table("links"):
        blocked, starved = row["blocked_share"], row["starved_share"]
        assert isinstance(blocked, float) and isinstance(starved, float)
        signs = ("no arrow leads away", row["arrow_rule"]), ("turning point", row["turning_point"])
        said = ", ".join(
            sign if is_so == "yes" else f"{sign}: can't tell" for sign, is_so in signs if is_so != "no"
        )
        arrow = str(row["arrow_to_next"] or "")
        rows.append((str(row["link"]), f"{100 * blocked:.1f}", f"{100 * starved:.1f}", arrow, said))
    page.table(("place", "blocked", "starved", "arrow", ""), rows)
    page.say("A moving or indexed section counts as one place: its stations stop together.", indent=2)
