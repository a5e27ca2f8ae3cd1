"""How far a crew drifts along a moving line: closed stations, and many orders side by side."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linesim.theory.chain import explore, long_run_shares


@dataclass(frozen=True, slots=True)
class ClosedStation:
    """Mean start after the border and mean work left at the far border, per job."""

    displacement: float
    overload: float


def closed_station(contents: Sequence[tuple[float, float]], takt: float, length: float) -> ClosedStation:
    """Return the long run of a station with two borders and a few different work contents.

    What is left at the far border is done by others; walking back takes no time.

    Args:
        contents: ``(work, chance)`` of each kind of job; chances add up to 1, kinds come independently.
        takt: Time between jobs.
        length: Station length as time of conveyor travel, >= takt.

    Notes:
        C. A. Yano and R. Rachamadugu, Management Science 37 (1991) 572-586.
    """
    if not math.isclose(math.fsum(q for _, q in contents), 1.0) or length < takt:
        raise ValueError(f"chances must add up to 1 and length be >= takt, got {contents}, {takt}, {length}")
    kinds = [(Fraction(work).limit_denominator(10**6), q) for work, q in contents]
    pitch, far = Fraction(takt).limit_denominator(10**6), Fraction(length).limit_denominator(10**6)

    def moves(start: Fraction) -> Iterator[tuple[float, Fraction]]:
        for work, chance in kinds:
            yield chance, max(Fraction(0), min(start + work, far) - pitch)

    chain = explore(Fraction(0), moves)
    shares = long_run_shares(chain).tolist()
    return ClosedStation(
        math.fsum(p * float(s) for p, s in zip(shares, chain.states, strict=True)),
        math.fsum(
            p * q * float(max(Fraction(0), s + w - far))
            for p, s in zip(shares, chain.states, strict=True)
            for w, q in kinds
        ),
    )


def line_stop_pitches(work: Sequence[Sequence[float]], takt: float) -> tuple[float, ...]:
    """Return the pitches of a line of stations one pitch long that stops until all are finished.

    Args:
        work: Work content, one row per job, one column per station.
        takt: Time between jobs without stops.

    Returns:
        The ``jobs + stations - 1`` pitches, filling and emptying included.
    """
    jobs, stations = len(work), len(work[0])
    return tuple(
        max([takt, *(work[step - s][s] for s in range(stations) if 0 <= step - s < jobs)])
        for step in range(jobs + stations - 1)
    )


def drift_overloads(
    work: ArrayLike, takt: float, length: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return total overload and total drift of many sequences at once, walking back in no time.

    What ends past the length is left over; the next job starts where this work ends, one takt on.

    Args:
        work: Work content of each job, shape ``(sequences, jobs)``.
        takt: Time between jobs, > 0.
        length: Station length as time of conveyor travel, >= takt; ``inf`` has no far border.

    Returns:
        Work left at the far border, and starts of the next job after the border, over all jobs, each of
        shape ``(sequences,)``.

    Examples:
        >>> over, drift = drift_overloads([[70, 70, 70], [70, 52, 70]], takt=60, length=80)
        >>> over, drift
        (array([10.,  0.]), array([50., 24.]))
    """
    if not (takt > 0 and length >= takt):
        raise ValueError(f"need takt > 0 and length >= takt, got {takt}, {length}")
    table = np.asarray(work, dtype=np.float64)
    start, over, drift = (np.zeros(len(table)) for _ in range(3))
    for content in table.T:
        end = start + content
        over += np.maximum(0.0, end - length)
        start = np.maximum(0.0, np.minimum(end, length) - takt)
        drift += start
    return over, drift
