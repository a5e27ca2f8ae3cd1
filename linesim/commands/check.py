"""`linesim check`: is the file right, and does the work fit?"""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from linesim.commands.options import add_scenario
from linesim.commands.parser import add_command
from linesim.commands.status import DONE

if TYPE_CHECKING:
    from linesim.capacity.loads import Loads, ShareLoad
    from linesim.commands.page import Page
    from linesim.commands.parser import Commands
    from linesim.plan.plan import Plan

MOST_LIMITS = 6  #: Limits that are listed besides the tightest.


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "check",
        "Check a scenario, and whether its work fits the takt",
        examples=(
            (
                "linesim check scenarios/tractor/line.toml",
                "problems, loads per station and crew, the ceiling",
            ),
            (
                "linesim check line.toml --set 'takt = \"90 s\"'",
                "would the work still fit a shorter takt?",
            ),
            ("linesim check line.toml > /dev/null && echo right", "only whether the file is right"),
        ),
        more="Nothing is simulated. Problems go to stderr, all at once, each with its place "
        "and the mend; the exit status is then 2.",
    )
    add_scenario(parser)


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.answers.wording import count_of
    from linesim.capacity.loads import Loads
    from linesim.commands.page import Page
    from linesim.plan.build import build
    from linesim.scenario import read

    reading = read(args.file, args.sets, add=args.add)
    for warning in reading.warnings:
        print(warning.rendered(), file=sys.stderr)
    plan = build(reading.scenario)
    loads = Loads(plan)
    page = Page()
    page.title(plan.title or args.file)
    said = count_of(len(reading.warnings), "warning") if reading.warnings else "no warnings"
    page.say(f"No errors, {said}. {_size(plan, len(loads.shares))}", indent=2)
    for part in (_stations, _by_model, _people_and_machines, _ceiling):
        part(page, plan, loads)
    return DONE


def _size(plan: Plan, n_variants: int) -> str:
    from linesim.answers.wording import count_of

    names = plan.names
    parts = (
        count_of(len(names.section), "section"),
        count_of(len(names.station), "station"),
        count_of(len(names.task), "task"),
        count_of(int(plan.crews.people.sum()), "person", "people"),
        count_of(len(names.robot), "robot"),
        count_of(n_variants, "variant"),
    )
    return f"{', '.join(parts)} that can be built."


def _stations(page: Page, plan: Plan, loads: Loads) -> None:
    from linesim.commands.bars import bar, legend

    page.heading("Does the work fit the takt? Shortest time at each station, in line order")
    for section in plan.names.section:
        mine = [load for load in loads.stations if load.section == section]
        page.table(
            (section, f"takt {mine[0].takt_s:g} s" if mine else "", "s", "%"),
            [
                (
                    load.station,
                    bar(load.share_of_takt, load.worst_s / load.places / load.takt_s),
                    f"{load.cycle_s:.1f}",
                    f"{100 * load.share_of_takt:.0f}",
                )
                for load in mine
            ],
            left=2,
        )
    page.say(legend("the takt", with_worst=len(loads.shares) > 1), indent=2)
    over = [load for load in loads.stations if load.worst_s / load.places > load.takt_s * (1 + 1e-9)]
    for load in over:
        page.say(
            f"{load.station}: {load.worst} takes {load.worst_s:.1f} s, {load.worst_s - load.takt_s:.1f} s "
            "more than the takt.",
            indent=2,
        )


def _by_model(page: Page, plan: Plan, loads: Loads) -> None:
    names = plan.orders.model_names
    if len(names) < 2:
        return
    page.heading("By model: shortest time at each station [s], and its work content")
    page.table(
        ("station", *names, "heaviest", "work, person-s"),
        [
            (
                load.station,
                *(_model_time(load.by_model, name) for name in names),
                f"{load.worst_s:.1f}",
                f"{load.work_s:.1f}",
            )
            for load in loads.stations
        ],
    )


def _model_time(by_model: tuple[tuple[str, float, float], ...], name: str) -> str:
    return next((f"{cycle:.1f}" for model, _, cycle in by_model if model == name), "–")


def _people_and_machines(page: Page, plan: Plan, loads: Loads) -> None:
    from linesim.commands.bars import bar, legend

    def lines(found: tuple[ShareLoad, ...], what: str) -> None:
        if found:
            page.table(
                (what, "", "", "s a job", "%"),
                [
                    (
                        load.name,
                        str(load.count),
                        bar(load.share_of_takt),
                        f"{load.work_s:.1f}",
                        f"{100 * load.share_of_takt:.0f}" if load.count or not load.work_s else "none there",
                    )
                    for load in found
                ],
                left=3,
            )

    page.heading("Are there enough people, robots and tools?")
    lines(loads.crews, "crew")
    lines(loads.robots, "robot")
    lines(loads.tools, "tool")
    page.say(legend("all of them busy for the whole takt", with_worst=False), indent=2)
    page.say("Walking, waiting, failures and help are not in these loads.", indent=2)


def _ceiling(page: Page, plan: Plan, loads: Loads) -> None:
    from linesim.capacity.ceiling import limits
    from linesim.measures.clock import TICKS_PER_HOUR, shift_ticks

    found = limits(loads)
    page.heading("What is the most it could make?")
    if not found:
        page.say("Nothing in this scenario limits output.", indent=2)
        return
    first, hours = found[0], shift_ticks(plan) / TICKS_PER_HOUR
    page.say(
        f"At most {first.jobs_per_hour:.1f} jobs an hour, {first.jobs_per_hour * hours:.0f} a shift, set by "
        f"{first.label}: {first.because}.",
        indent=2,
    )
    if plan.target is not None:
        enough = "within" if plan.target <= first.jobs_per_hour * hours else "beyond"
        page.say(f"The plan asks for {plan.target:g} a shift, which is {enough} this ceiling.", indent=2)
    for limit in found[1 : 1 + MOST_LIMITS]:
        page.say(f"{limit.jobs_per_hour:6.1f}  {limit.label}: {limit.because}", indent=4, hang=8)
    page.say(
        "A ceiling from mean times, as if nothing ever waited for anything. What the line really makes is "
        "lower: linesim run says by how much, and why.",
        indent=2,
    )
