"""The line as a chain of what moves by itself: where blocked and starved shares can be compared."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from linesim.plan.arrays import FloatArray
from linesim.plan.plan import Plan
from linesim.plan.tables import FREE, SECTION


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


def links_of(plan: Plan) -> tuple[Link, ...]:
    """Return the links of the main line in its order; feeders are not part of it."""
    found: list[Link] = []
    for kind, section in zip(plan.flow.kind.tolist(), plan.flow.index.tolist(), strict=True):
        if kind != SECTION:
            continue
        stations = tuple(plan.names.station[s] for s in plan.sections.stations[section].tolist())
        if plan.sections.pacing[section] == FREE:
            found += [Link(station, (station,), False) for station in stations]
        else:
            found.append(Link(plan.names.section[section], stations, True))
    return tuple(found)


def idle_shares(
    values: Callable[[str, str, str], Sequence[float | None] | FloatArray], links: Sequence[Link]
) -> tuple[FloatArray, FloatArray]:
    """Return how long each link is blocked and starved, as shares of its working hours.

    A paced section is blocked as its last station is, and starved as its first.

    Args:
        values: Gives a figure in each replication, by measure, place and cause.
        links: The links of the line.

    Returns:
        Blocked and starved, each of shape ``(replications, links)``.
    """

    def shares(station: str, state: str) -> FloatArray:
        return np.nan_to_num(np.array(values("station_state", station, state), dtype=np.float64))

    blocked = np.column_stack([shares(link.stations[-1], "blocked") for link in links])
    starved = np.column_stack([shares(link.stations[0], "starved") for link in links])
    return blocked, starved
