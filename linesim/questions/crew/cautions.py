"""What to look into before a crew is changed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from linesim.answers.wording import listed
from linesim.questions.cautions import cautions_on
from linesim.questions.crew.gains import Gain
from linesim.questions.crew.hands import FLOATER
from linesim.questions.crew.pay import Prices

if TYPE_CHECKING:
    from linesim.scenario import Scenario


def cautions(scenario: Scenario, gains: Sequence[Gain], prices: Prices | None) -> tuple[str, ...]:
    """Return what a reader should know before acting on the answer."""
    said = list(cautions_on(("crew", gain.hand.crew, "people") for gain in gains))
    said.append(
        "Nobody was taught anything and no task was moved: a person more shares the work of the crew as the "
        "file has it. A new balance of the tasks may bring more, or the same with nobody more."
    )
    if new := [gain.hand for gain in gains if gain.hand.kind == FLOATER]:
        example = listed([line.split(" = ")[-1] for line in new[0].case.changes if "call_at" in line][:1])
        called = f" and stations call at {example} of their window" if example else ""
        response = scenario_response(new[0].case.scenario, new[0].crew)
        said.append(
            f"Floaters are assumed to come {response} after a call{called}; an answer about them is as good "
            "as that."
        )
    if prices is not None and prices.stop_minute:
        said.append(
            "Money counts jobs and minutes of stop side by side: leave stop_minute out of [cost] if its "
            "price already stands for jobs that are not made."
        )
    if prices is not None:
        said.append("More jobs are worth their margin only as long as somebody buys them.")
    return tuple(said)


def scenario_response(scenario: Scenario, crew: str) -> str:
    """Return after which time the floater made for a crew comes."""
    new = [name for name in scenario.crew if name.startswith(f"{crew}-floater"[:60])]
    return str(scenario.crew[new[-1]].response)
