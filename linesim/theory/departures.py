"""When each job leaves each station of a free-running line: an exact recursion, no events."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Times = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class LineTimes:
    """Start, finish and departure of every job at every station, each of the shape of ``work`` [s]."""

    start: Times
    finish: Times
    leave: Times

    @property
    def busy_s(self) -> Times:
        """Time each station works [s], shape ``(..., stations)``."""
        return np.asarray((self.finish - self.start).sum(axis=-2))

    @property
    def blocked_s(self) -> Times:
        """Time each station holds a finished job [s], shape ``(..., stations)``."""
        return np.asarray((self.leave - self.finish).sum(axis=-2))

    @property
    def starved_s(self) -> Times:
        """Time each station waits for its jobs [s], the wait for the first job included."""
        freed = np.concatenate([np.zeros_like(self.leave[..., :1, :]), self.leave[..., :-1, :]], axis=-2)
        return np.asarray((self.start - freed).sum(axis=-2))


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
