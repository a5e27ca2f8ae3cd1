"""Jobs one after the other: when each leaves each station, and how far people drift past it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linesim.theory.tandem import explore, long_run_shares

Times = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class LineTimes:
    """Start, finish and departure of every job at every station, each of the shape of ``work`` [s]."""

    start: Times
    finish: Times
    leave: Times


def gap_places(places: int | Sequence[int], stations: int) -> tuple[int, ...]:
    """Return the buffer places of each gap; one number stands for all gaps.

    Raises:
        ValueError: If there is not one whole number >= 0 for each gap.
    """
    gaps = (places,) * (stations - 1) if isinstance(places, int) else tuple(places)
    if len(gaps) != stations - 1 or any(b != int(b) or b < 0 for b in gaps):
        raise ValueError(f"places must be {stations - 1} whole numbers >= 0, got {list(gaps)}")
    return tuple(int(b) for b in gaps)


def line_times(work: ArrayLike, *, takt: float = 0.0, places: int | Sequence[int] = 0) -> LineTimes:
    """Return when each job starts, finishes and leaves at each station.

    Job ``j`` is there from ``j * takt``. A station holds one job. A finished job goes on as soon as
    the next buffer or, without one, the next station has room; until then it blocks its station.

    Args:
        work: Working times [s], shape ``(jobs, stations)``, every entry finite and >= 0. Further
            axes in front are separate lines, computed side by side.
        takt: Time between releases [s], >= 0; 0 keeps a job always waiting.
        places: Buffer places behind each station but the last, >= 0; one number stands for all gaps.

    Raises:
        ValueError: If an argument is outside its limits.

    Notes:
        ``D[j,s] = max(max(D[j,s-1], D[j-1,s]) + work[j,s], D[j-1-places[s],s+1])``; E. J. Muth,
        Management Science 25 (1979) 152-158. One pass over jobs and stations.
    """
    times = np.asarray(work, dtype=np.float64)
    if times.ndim < 2 or times.size == 0:
        raise ValueError(f"work must have shape (jobs, stations), got {times.shape}")
    if (bad := np.argwhere(~(np.isfinite(times) & (times >= 0)))).size:
        where = tuple(bad[0].tolist())
        raise ValueError(f"work[{', '.join(map(str, where))}] must be >= 0 s, got {times[where]}")
    if not takt >= 0:
        raise ValueError(f"takt must be >= 0, got {takt}")
    jobs, stations = times.shape[-2:]
    gaps = gap_places(places, stations)

    start, finish, leave = np.zeros_like(times), np.zeros_like(times), np.zeros_like(times)
    for j in range(jobs):
        here: Times | float = j * takt
        for s in range(stations):
            begun = np.maximum(here, leave[..., j - 1, s]) if j else np.asarray(here)
            done = here = begun + times[..., j, s]
            if s + 1 < stations and j > gaps[s]:
                here = np.maximum(done, leave[..., j - 1 - gaps[s], s + 1])
            start[..., j, s], finish[..., j, s], leave[..., j, s] = begun, done, here
    for table in (start, finish, leave):
        table.flags.writeable = False
    return LineTimes(start, finish, leave)


def reversed_line(work: ArrayLike, places: int | Sequence[int] = 0) -> tuple[Times, tuple[int, ...]]:
    """Return the work table and buffer places of the line run backwards.

    Stations, gaps and jobs are all taken in the opposite order. With a job always waiting the last
    job leaves the reversed line exactly when it leaves this one.

    Notes:
        E. J. Muth, Management Science 25 (1979) 152-158; G. Yamazaki and H. Sakasegawa (1975).
    """
    times = np.asarray(work, dtype=np.float64)
    return times[..., ::-1, ::-1].copy(), gap_places(places, times.shape[-1])[::-1]


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
