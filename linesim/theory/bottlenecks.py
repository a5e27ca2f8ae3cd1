"""Which station holds the line back: by sensitivity, by arrows, by turning point, by active periods."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from linesim.theory.tandem import line_throughput


def speed_gains(
    mean_times: Sequence[float], places: int | Sequence[int], *, step: float = 1e-3
) -> tuple[float, ...]:
    """Return for each station of an exponential line how throughput rises with its speed.

    ``d throughput / d ln(speed)`` by central differences, extrapolated from two step widths. The
    station with the largest is the bottleneck, by definition.

    Notes:
        C.-T. Kuo, J.-T. Lim and S. M. Meerkov, Mathematical Problems in Engineering 2 (1996) 233-276.
    """

    def slope(station: int, width: float) -> float:
        rates = []
        for sign in (1, -1):
            changed = list(mean_times)
            changed[station] *= math.exp(-sign * width)
            rates.append(line_throughput(changed, places))
        return (rates[0] - rates[1]) / (2 * width)

    return tuple((4 * slope(s, step / 2) - slope(s, step)) / 3 for s in range(len(mean_times)))


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


Span = tuple[float, float]


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
    periods: tuple[tuple[int, float, float], ...]
    sole: tuple[float, ...]
    shifting: tuple[float, ...]


def active_periods(active: Sequence[Sequence[Span]]) -> ActivePeriods:
    """Return the average active period and the shifting bottleneck.

    At every instant the station whose present uninterrupted active period is the longest, counted in
    full length, is the bottleneck; a chosen period counts from its own begin to its own end, and where
    two chosen ones overlap both are shifting.

    Args:
        active: For each station its active spans ``(begin, end)``: working, under repair or set up;
            not starved, not blocked. In order, apart from each other.

    Notes:
        C. Roser, M. Nakano and M. Tanaka, Winter Simulation Conference 2001, 949-953, and 2002, 1079-1086.
        Equal lengths go to the period that began first, then to the first station.
    """
    average = tuple(math.fsum(e - b for b, e in spans) / len(spans) if spans else 0.0 for spans in active)
    every = [(s, b, e) for s, spans in enumerate(active) for b, e in spans]
    borders = sorted({t for _, b, e in every for t in (b, e)})
    chosen: list[tuple[int, float, float]] = []
    for begin, end in itertools.pairwise(borders):
        present = [p for p in every if p[1] <= begin and end <= p[2]]
        if present:
            longest = max(present, key=lambda p: (p[2] - p[1], -p[1], -p[0]))
            if longest not in chosen:
                chosen.append(longest)
    chosen.sort(key=lambda p: (p[1], p[2], p[0]))
    sole, shifting = [0.0] * len(active), [0.0] * len(active)
    for begin, end in itertools.pairwise(borders):
        present = [p for p in chosen if p[1] <= begin and end <= p[2]]
        for station, _, _ in present:
            (sole if len(present) == 1 else shifting)[station] += end - begin
    return ActivePeriods(average, tuple(chosen), tuple(sole), tuple(shifting))
