"""Where buffers stand, how few places each may have, and where a place more is likely to pay."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from linesim.errors import WrongQuestionError
from linesim.runs.cases import CaseRuns
from linesim.scenario.origins import Place

if TYPE_CHECKING:
    from linesim.scenario import Scenario

ENDLESS = 100_000  #: Places of a buffer that is never full; `buffers` checks that it never was.


@dataclass(frozen=True, slots=True)
class BufferGap:
    """A buffer and its neighbours.

    Attributes:
        buffer: Its name.
        places: Places it has now.
        least: Fewest places it may have: 1 where jobs rejoin the line, else 0.
        before: Station from which jobs come; blocked when the buffer is full.
        after: Station to which they go, starved when it is empty; empty for a feeder's last buffer.
    """

    buffer: str
    places: int
    least: int
    before: str
    after: str


def gaps_of(scenario: Scenario, only: Sequence[str] = ()) -> tuple[BufferGap, ...]:
    """Return the buffers of a scenario in line order, the main line first.

    Args:
        scenario: The line.
        only: Names of the buffers asked about; empty means all.

    Raises:
        WrongQuestionError: If there is no buffer, or none of a name asked for.
    """
    if not scenario.buffer:
        raise WrongQuestionError(
            "the scenario has no buffer to ask about; add one to `flow`, with `capacity = 0` if it has no "
            "place yet"
        )
    if unknown := [name for name in only if name not in scenario.buffer]:
        raise WrongQuestionError(
            f"{unknown[0]!r} is not a buffer of this scenario; it has {', '.join(scenario.buffer)}"
        )
    rejoined = {bay.rejoin for bay in scenario.bay.values()}
    found = []
    for flow in (scenario.flow, *(feeder.flow for feeder in scenario.feeder.values())):
        for before, name, after in zip(flow, flow[1:], (*flow[2:], ""), strict=False):
            if name in scenario.buffer and (not only or name in only):
                found.append(
                    BufferGap(
                        buffer=name,
                        places=min(scenario.buffer[name].capacity, ENDLESS),
                        least=1 if name in rejoined else 0,
                        before=scenario.section[before].stations[-1],
                        after=scenario.section[after].stations[0] if after else "",
                    )
                )
    return tuple(found)


def capacity(scenario: Scenario, buffer: str, places: int) -> dict[Place, int]:
    """Return the changes that give a buffer so many places and change nothing else.

    A line that starts full begins with as many jobs in it as now, as far as there is room: otherwise the
    lines would see the same luck at other moments.
    """
    now = scenario.buffer[buffer]
    changes: dict[Place, int] = {("buffer", buffer, "capacity"): places}
    level = now.capacity // 2 if now.level is None else now.level
    if now.level is not None or scenario.run.start == "full":
        changes["buffer", buffer, "level"] = min(level, places)
    return changes


def price_of(scenario: Scenario, buffer: str) -> float | None:
    """Return what a place of a buffer costs a shift; None if nobody says."""
    return scenario.cost.equipment.get(buffer, scenario.cost.buffer_place_per_shift)


def price_kept(scenario: Scenario, buffer: str) -> dict[Place, float]:
    """Return the price of a place at which an endless buffer costs what the present one does; empty without.

    Nobody builds endless places: what they bring in money is what any number could bring if it were free.
    """
    each = price_of(scenario, buffer)
    if each is None:
        return {}
    return {("cost", "equipment", buffer): each * scenario.buffer[buffer].capacity / ENDLESS}


@dataclass(frozen=True, slots=True)
class Promise:
    """How much a buffer is in the way.

    Attributes:
        blocked: Share of time in which the station before it has no room.
        starved: Share of time in which the station after it has no job.
    """

    blocked: float
    starved: float

    @property
    def of_a_place(self) -> float:
        """How much a place more is likely to pay, in no unit: only the order of buffers counts.

        A place helps if it holds a job of a moment in which the station before had no room for a moment
        in which the station after has none. For two exponential machines of equal speed with b places
        the gain of one more is exactly the product of both shares: 1/(b+3) * 1/(b+4), to first order.
        """
        return self.blocked * self.starved


def promises(runs: CaseRuns, case: str, gaps: Sequence[BufferGap]) -> tuple[Promise, ...]:
    """Return how much each buffer of a case is in the way, on average over its replications."""
    numbers = runs.numbers_of(case)

    def mean(station: str, state: str) -> float:
        if not station:
            return 0.0
        return float(np.nanmean(runs.values(case, "station_state", station, state, numbers=numbers)))

    return tuple(Promise(mean(gap.before, "blocked"), mean(gap.after, "starved")) for gap in gaps)
