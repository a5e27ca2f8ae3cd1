"""The line as a chain of what moves by itself: where blocked and starved shares can be compared."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from linesim.studies.cases import CaseRuns, FloatArray

if TYPE_CHECKING:
    from linesim.scenario import Scenario


@dataclass(frozen=True, slots=True)
class Link:
    """What moves by itself: a station of a free section, or a moving or indexed section as a whole.

    The stations of a paced section stop together. Between them nothing is ever blocked or starved that
    would say anything of their speed; the section as a whole is, at its end and at its beginning.

    Attributes:
        name: Name of the station or section.
        stations: Its stations, in line order.
        is_paced: Whether it is a moving or indexed section.
    """

    name: str
    stations: tuple[str, ...]
    is_paced: bool


def links_of(scenario: Scenario) -> tuple[Link, ...]:
    """Return the links of the main line in its order; feeders are not part of it."""
    found: list[Link] = []
    for name in scenario.flow:
        section = scenario.section.get(name)
        if section is None:
            continue
        if section.pacing == "free":
            found += [Link(station, (station,), False) for station in section.stations]
        else:
            found.append(Link(name, tuple(section.stations), True))
    return tuple(found)


def idle_shares(runs: CaseRuns, case: str, links: tuple[Link, ...]) -> tuple[FloatArray, FloatArray]:
    """Return how long each link is blocked and starved, as shares of its working hours.

    A paced section is blocked as its last station is, and starved as its first.

    Returns:
        Blocked and starved, each of shape ``(replications, links)``.
    """

    def shares(station: str, state: str) -> FloatArray:
        return np.nan_to_num(runs.values(case, "station_state", station, state))

    blocked = np.column_stack([shares(link.stations[-1], "blocked") for link in links])
    starved = np.column_stack([shares(link.stations[0], "starved") for link in links])
    return blocked, starved
