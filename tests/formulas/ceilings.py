"""What a line can never exceed: bounds on jobs per hour that hold for every run."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from linesim.theory.stations import availability


@dataclass(frozen=True, slots=True)
class Ceiling:
    """An upper bound on long-run jobs per hour and what sets it."""

    what: str
    jobs_per_hour: float


def pace_ceiling(section: str, takt: float, *, on_time: float = 1.0) -> Ceiling:
    """Return the bound set by the takt [s] of a section that runs a share ``on_time`` of the clock."""
    if not (takt > 0 and 0 < on_time <= 1):
        raise ValueError(f"takt must be > 0 and on_time in (0, 1], got {takt} and {on_time}")
    return Ceiling(f"takt of {section}", 3600 * on_time / takt)


def station_ceiling(
    station: str, shortest: float, *, places: int = 1, mean_up: float = math.inf, mean_repair: float = 0.0
) -> Ceiling:
    """Return the bound set by a station whose every job occupies it at least ``shortest`` [s].

    Args:
        station: Its name.
        shortest: Mean of the least time that a job occupies a place: the longest chain of tasks, or
            their sum if one operator does all.
        places: Jobs worked on at the same time, >= 1.
        mean_up: Mean working time between failures that stop it [s]; ``inf``: none.
        mean_repair: Mean repair time [s].
    """
    if not (shortest > 0 and places >= 1):
        raise ValueError(f"shortest must be > 0 and places >= 1, got {shortest} and {places}")
    return Ceiling(f"work at {station}", 3600 * places * availability(mean_up, mean_repair) / shortest)


def crew_ceiling(crew: str, work_per_job: float, people: int, *, on_time: float = 1.0) -> Ceiling:
    """Return the bound set by a crew: its people's time over its mean work per job [s]."""
    if not (work_per_job > 0 and people >= 1):
        raise ValueError(f"work_per_job must be > 0 and people >= 1, got {work_per_job} and {people}")
    return Ceiling(f"people of {crew}", 3600 * people * on_time / work_per_job)


def carrier_ceiling(carrier: str, count: int, shortest_round: float) -> Ceiling:
    """Return the bound set by carriers: their number over the shortest round trip [s]."""
    if not (shortest_round > 0 and count >= 1):
        raise ValueError(f"shortest_round must be > 0 and count >= 1, got {shortest_round} and {count}")
    return Ceiling(f"carriers {carrier}", 3600 * count / shortest_round)


def tightest(ceilings: Sequence[Ceiling]) -> Ceiling:
    """Return the lowest of the bounds; the first of equals."""
    return min(ceilings, key=lambda c: c.jobs_per_hour)
