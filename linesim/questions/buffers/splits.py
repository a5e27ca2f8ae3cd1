"""Where buffers stand, how few places each may have, and the ways to spread a number of places over them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations

import numpy as np

from linesim.errors import WrongQuestionError
from linesim.runs.cases import CaseRuns
from linesim.scenario import Scenario
from linesim.scenario.origins import Place

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


Split = tuple[int, ...]  #: Places of each buffer, in line order.


def all_splits(total: int, least: Split) -> Iterator[Split]:
    """Yield every way to spread ``total`` places over the buffers, each with at least ``least``.

    Examples:
        >>> list(all_splits(2, (0, 1)))
        [(0, 2), (1, 1)]
    """
    spare = total - sum(least)
    if spare < 0:
        return
    if len(least) == 1:
        yield (total,)
        return
    for first in range(spare + 1):
        for rest in all_splits(total - least[0] - first, least[1:]):
            yield (least[0] + first, *rest)


def count_splits(total: int, least: Split) -> int:
    """Return how many splits there are, without making them.

    Examples:
        >>> count_splits(9, (0, 0, 0)), count_splits(1, (1, 1))
        (55, 0)
    """
    spare = total - sum(least)
    return math.comb(spare + len(least) - 1, len(least) - 1) if spare >= 0 else 0


def moves(split: Split, least: Split, pays: Sequence[float], step: int = 1) -> tuple[Split, ...]:
    """Return the splits that ``step`` places taken from one buffer and given to another lead to.

    Args:
        split: Where to start.
        least: Fewest places of each buffer; one that has not so many above them gives none.
        pays: How much a place more is likely to pay at each buffer; the most promising moves come first,
            equals in line order.
        step: Places to move, >= 1.

    Examples:
        >>> moves((2, 2, 0), (0, 0, 0), (0.1, 0.3, 0.2))
        ((1, 3, 0), (1, 2, 1), (2, 1, 1), (3, 1, 0))
    """
    pairs = [(a, b) for a, b in permutations(range(len(split)), 2) if split[a] - step >= least[a]]
    pairs.sort(key=lambda pair: pays[pair[0]] - pays[pair[1]])
    return tuple(given(given(split, giver, -step), taker, step) for giver, taker in pairs)


def given(split: Split, taker: int, step: int = 1) -> Split:
    """Return a split with ``step`` places more at one buffer, or fewer if negative."""
    return tuple(places + (step if b == taker else 0) for b, places in enumerate(split))


def even_split(total: int, least: Split) -> Split:
    """Return the split that spreads ``total`` places as evenly as it goes, the middle of the line first.

    On a balanced line the middle needs most: F. S. Hillier, K. C. So and R. W. Boling, "Notes: toward
    characterizing the optimal allocation of storage space in production line systems with variable
    processing times", Management Science 39 (1993) 126-133.

    Raises:
        ValueError: If there are fewer places than the buffers must have.
    """
    if total < sum(least):
        raise ValueError(f"total must be >= {sum(least)}, got {total}")
    split, middle = list(least), (len(least) - 1) / 2
    for _ in range(total - sum(least)):
        taker = min(range(len(least)), key=lambda b: (split[b], abs(b - middle), b))
        split[taker] += 1
    return tuple(split)
