"""What to know before a bottleneck is acted on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from linesim.answers.wording import listed
from linesim.questions.bottleneck.chain import Link
from linesim.questions.bottleneck.evidence import ARROW, Nomination, StationFigures
from linesim.questions.precision_text import FEW
from linesim.scenario.line import placed_tasks

if TYPE_CHECKING:
    from linesim.scenario import Scenario


def cautions(
    scenario: Scenario,
    figures: Sequence[StationFigures],
    methods: Sequence[Nomination],
    links: Sequence[Link],
    faster: float,
    replications: int,
) -> tuple[str, ...]:
    """Return what a reader should look into before acting on the answer."""
    by_people, by_robots = _who_works(scenario, [f.station for f in figures if f.gain is not None])
    said = []
    if 1 < replications < FEW:
        said.append(
            f"{replications} replications are few where so many comparisons hold together: their intervals "
            f"are wide for that reason alone, and {FEW} or more tell much more."
        )
    if by_people:
        said.append(
            f"{faster:g} % faster is a question put to the line, not an order to its people: a faster pace "
            "raises how often loads are handled and how long postures are held (ISO 11228-3, EN 1005-5, "
            "ISO 11226, ISO 6385, ISO 10075). A better method or less work at the station shortens its time "
            "as well. No figure here says that a pace is safe."
        )
    if by_robots:
        said.append(
            f"A faster robot (here at {listed(by_robots[:4])}{' and more' if len(by_robots) > 4 else ''}) "
            "moves with more force and takes longer to stop: its risks and safeguards are to be looked into "
            "anew (ISO 12100, ISO 10218-1 and -2, ISO 13849-1, ISO 13855)."
        )
    if any(m.method == ARROW and m.stations for m in methods) and any(not link.is_paced for link in links):
        said.append(
            "The arrow rule was made for lines whose machines start together; where a finished job blocks "
            "its machine, as in free sections here, it can point one place off near the ends of the line."
        )
    if scenario.feeder:
        said.append(
            "Arrow rule and turning point look at the main line only, not at "
            f"{listed(list(scenario.feeder))}."
        )
    return tuple(said)


def _who_works(scenario: Scenario, stations: Sequence[str]) -> tuple[bool, list[str]]:
    """Return whether people work at any of the stations, and at which of them robots do."""
    tasks = [(one.at, one.task) for one in placed_tasks(scenario.station) if one.at in stations]
    robots = list(dict.fromkeys(name for name, task in tasks if task.robot))
    return any(task.people for _, task in tasks), robots
