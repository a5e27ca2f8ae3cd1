"""Which station holds a line back, as its own records say: by arrows, by turning point, by active periods."""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linesim.stats.comparisons import joint_confidence
from linesim.stats.intervals import mean_interval


@dataclass(frozen=True, slots=True)
class Arrows:
    """Result of the arrow rule.

    Attributes:
        directions: ``">"`` or ``"<"`` between each pair of neighbours.
        bottlenecks: Stations (from 0) with no arrow leading away.
        severity: Severity of each of them.
        worst: The one of largest severity; the first of equals.
    """

    directions: str
    bottlenecks: tuple[int, ...]
    severity: tuple[float, ...]
    worst: int


def arrow_rule(blocked: Sequence[float], starved: Sequence[float]) -> Arrows:
    """Return the bottleneck as seen from blocked and starved shares.

    If a station is blocked more than the next is starved, the arrow between them points on, else
    back. Defined for lines with a common slot; on lines that block after service it can point one
    station off near the ends.

    Args:
        blocked: Blocked share of each station.
        starved: Starved share of each station, as many.

    Notes:
        J. Li and S. M. Meerkov, Production Systems Engineering.

    Examples:
        >>> arrow_rule([0.2, 0.0], [0.0, 0.1]).worst
        1
    """
    n = len(blocked)
    if n == 0 or len(starved) != n:
        raise ValueError(f"need as many starved as blocked shares, got {n} and {len(starved)}")
    pointing = [">" if blocked[i] > starved[i + 1] else "<" for i in range(n - 1)]
    kept = tuple(
        i for i in range(n) if (i == n - 1 or pointing[i] == "<") and (i == 0 or pointing[i - 1] == ">")
    )

    def severity(i: int) -> float:
        before = abs(blocked[i - 1] - starved[i]) if i else 0.0
        after = abs(blocked[i] - starved[i + 1]) if i < n - 1 else 0.0
        return before + after

    sizes = tuple(severity(i) for i in kept)
    return Arrows("".join(pointing), kept, sizes, kept[sizes.index(max(sizes))])


def turning_point(blocked: Sequence[float], starved: Sequence[float]) -> int | None:
    """Return the station (from 0) where blocking turns into starving, ``None`` if there is no single one.

    Blocked more than starved everywhere before, less everywhere after, and the sum of both smaller
    than at its neighbours.

    Notes:
        L. Li, Q. Chang and J. Ni, International Journal of Production Research 47 (2009) 5019-5036.
    """
    lean = [b - s for b, s in zip(blocked, starved, strict=True)]
    idle = [b + s for b, s in zip(blocked, starved, strict=True)]
    found = [
        j
        for j in range(len(lean))
        if all(d > 0 for d in lean[:j])
        and all(d < 0 for d in lean[j + 1 :])
        and all(idle[j] < idle[k] for k in (j - 1, j + 1) if 0 <= k < len(lean))
    ]
    return found[0] if len(found) == 1 else None


@dataclass(frozen=True, slots=True)
class Pointed:
    """Where a rule points, as far as the replications tell.

    Attributes:
        place: The station (from 0); None if there surely is none, or if the data can't tell.
        could_be: Stations that nothing found rules out, in line order; empty if the rule surely names none.
    """

    place: int | None
    could_be: tuple[int, ...]


def surely_worst(blocked: ArrayLike, starved: ArrayLike, confidence: float = 0.95) -> Pointed:
    """Return whom the arrow rule names where every arrow that it goes by is clear.

    An arrow is clear if the interval of blocked minus starved time lies on one side of 0. Of several
    bottlenecks one is named only if it is surely the most severe.

    Args:
        blocked: Blocked shares, shape ``(replications, stations)``.
        starved: Starved shares, likewise.
        confidence: With which no wrong station is named; all intervals hold together.

    Examples:
        >>> surely_worst([[0.2, 0.0], [0.3, 0.0]], [[0.0, 0.1], [0.0, 0.2]]).could_be
        (1,)
    """
    b, s = _tables(blocked, starved)
    n = b.shape[1]
    pulls = b[:, :-1] - s[:, 1:]
    is_above = _told(joint_confidence(confidence, n - 1 + n * (n - 1) // 2), len(b))
    onward = [is_above(pulls[:, i]) for i in range(n - 1)]
    stays: list[bool | None] = []
    for i in range(n):
        into = True if i == 0 else onward[i - 1]
        away = False if i == n - 1 else onward[i]
        stays.append(_all(into, None if away is None else not away))
    # Where arrows point to a station from both sides, no sign of its severity needs to be taken away.
    edge = np.zeros((len(b), 1))
    severity = np.hstack([edge, pulls]) - np.hstack([pulls, edge])
    kept = [i for i in range(n) if stays[i] is not False]
    worst = [i for i in kept if all(is_above(severity[:, i] - severity[:, k]) for k in kept if k != i)]
    beaten = {
        k for k in kept for i in kept if stays[i] and is_above(severity[:, i] - severity[:, k]) and i != k
    }
    could_be = tuple(k for k in kept if k not in beaten)
    return Pointed(worst[0] if worst and stays[worst[0]] else None, could_be)


def surely_turning(blocked: ArrayLike, starved: ArrayLike, confidence: float = 0.95) -> Pointed:
    """Return where blocking turns into starving, where every sign that this rests on is clear.

    The rule is that of `turning_point`; each of its conditions is met, not met, or open where its interval
    over replications holds 0.

    Args:
        blocked: Blocked shares, shape ``(replications, stations)``.
        starved: Starved shares, likewise.
        confidence: With which no wrong station is named; all intervals hold together.

    Examples:
        >>> surely_turning([[0.2, 0.0], [0.3, 0.0]], [[0.0, 0.1], [0.0, 0.1]]).could_be
        (0, 1)
    """
    b, s = _tables(blocked, starved)
    n = b.shape[1]
    is_above = _told(joint_confidence(confidence, 2 * n - 1), len(b))
    lean, idle = b - s, b + s
    met = [
        _all(
            *(is_above(lean[:, k]) for k in range(j)),
            *(is_above(-lean[:, k]) for k in range(j + 1, n)),
            *(is_above(idle[:, k] - idle[:, j]) for k in (j - 1, j + 1) if 0 <= k < n),
        )
        for j in range(n)
    ]
    could_be = tuple(j for j in range(n) if met[j] is not False)
    return Pointed(could_be[0] if len(could_be) == 1 and met[could_be[0]] else None, could_be)


def _tables(blocked: ArrayLike, starved: ArrayLike) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    b, s = (np.asarray(table, dtype=np.float64) for table in (blocked, starved))
    if b.ndim != 2 or b.shape != s.shape or b.size == 0:
        raise ValueError(f"need two tables of one shape, got {b.shape} and {s.shape}")
    return b, s


def _told(confidence: float, replications: int) -> Callable[[NDArray[np.float64]], bool | None]:
    """Return what says whether a figure's mean is above 0; None where its interval leaves that open."""

    def is_above(values: NDArray[np.float64]) -> bool | None:
        if replications < 2:
            return None
        found = mean_interval(values, confidence)
        assert found.low is not None and found.high is not None
        return True if found.low > 0 else False if found.high <= 0 else None

    return is_above


def _all(*conditions: bool | None) -> bool | None:
    """Return whether all conditions hold; None if that is open."""
    if any(each is False for each in conditions):
        return False
    return None if any(each is None for each in conditions) else True


Span = tuple[float, float]
Period = tuple[int, float, float]  #: Station, begin, end.


@dataclass(frozen=True, slots=True)
class ActivePeriods:
    """Momentary bottlenecks by active periods.

    Attributes:
        average: Mean length of the active periods of each station.
        periods: ``(station, begin, end)`` of each momentary bottleneck, in order of time.
        sole: Time each station was the only bottleneck.
        shifting: Time it shared the role with the one before or after it in time.
    """

    average: tuple[float, ...]
    periods: tuple[Period, ...]
    sole: tuple[float, ...]
    shifting: tuple[float, ...]


def active_periods(active: Sequence[Sequence[Span]], *, window: Span | None = None) -> ActivePeriods:
    """Return the average active period and the shifting bottleneck.

    At every instant the station whose present uninterrupted active period is the longest, counted in
    full length, is the bottleneck; a chosen period counts from its own begin to its own end, and where
    two chosen ones overlap both are shifting.

    Args:
        active: For each station its active spans ``(begin, end)``: working, under repair or set up;
            not starved, not blocked. In order, apart from each other, none of no length.
        window: Count sole and shifting time only between these two instants, and average only the
            spans that reach into it; lengths stay those of the full spans. None means everything.

    Notes:
        C. Roser, M. Nakano and M. Tanaka, Winter Simulation Conference 2001, 949-953, and 2002, 1079-1086.
        Equal lengths go to the period that began first, then to the first station. One sweep over the
        spans with the present ones in a heap, O(n log n).

    Examples:
        >>> found = active_periods([[(0, 10)], [(6, 20)]])
        >>> found.average, found.sole, found.shifting
        ((10.0, 14.0), (6.0, 10.0), (4.0, 4.0))
    """
    first, last = (-math.inf, math.inf) if window is None else window
    lengths = [[e - b for b, e in spans if e > first and b < last] for spans in active]
    average = tuple(math.fsum(each) / len(each) if each else 0.0 for each in lengths)
    chosen = _longest([(s, b, e) for s, spans in enumerate(active) for b, e in spans])
    sole, shifting = _shared(chosen, len(active), first, last)
    inside = tuple(period for period in chosen if period[2] > first and period[1] < last)
    return ActivePeriods(average, inside, sole, shifting)


def _longest(every: Sequence[Period]) -> list[Period]:
    """Return the spans that are the longest present one at some instant, by begin, end and station."""
    coming = sorted(every, key=lambda p: p[1])
    borders = sorted({t for _, b, e in every for t in (b, e)})
    present: list[tuple[float, float, int, float]] = []  # (-length, begin, station, end)
    chosen: set[Period] = set()
    at = 0
    for now in borders[:-1]:
        while at < len(coming) and coming[at][1] <= now:
            station, begin, end = coming[at]
            heapq.heappush(present, (begin - end, begin, station, end))
            at += 1
        while present and present[0][3] <= now:
            heapq.heappop(present)
        if present:
            _, begin, station, end = present[0]
            chosen.add((station, begin, end))
    return sorted(chosen, key=lambda p: (p[1], p[2], p[0]))


def _shared(
    chosen: Sequence[Period], stations: int, first: float, last: float
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return how long each station was the bottleneck alone, and together with another."""
    sole, shifting = [0.0] * stations, [0.0] * stations
    borders = sorted(
        {t for _, b, e in chosen for t in (b, e)} | {t for t in (first, last) if math.isfinite(t)}
    )
    present: list[Period] = []
    at = 0
    for begin, end in itertools.pairwise(borders):
        while at < len(chosen) and chosen[at][1] <= begin:
            present.append(chosen[at])
            at += 1
        present = [period for period in present if period[2] > begin]
        if first <= begin and end <= last:
            for station, _, _ in present:
                (sole if len(present) == 1 else shifting)[station] += end - begin
    return tuple(sole), tuple(shifting)
