"""Which station holds the line back: the one whose speed counts most, exactly."""

from __future__ import annotations

import math
from collections.abc import Sequence

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
