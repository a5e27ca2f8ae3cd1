"""Networks of stations: flows in series with endless room, and closed loops of carriers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from linesim.theory.stations import Queue, many_stations
from linesim.theory.tandem import explore, long_run_shares


def stations_in_series(arrival_rate: float, service_rates: Sequence[float]) -> tuple[Queue, ...]:
    """Return each M/M/1 station of a line with Poisson arrivals and endless buffers.

    Notes:
        J. R. Jackson, Operations Research 5 (1957) 518-521: each behaves as if it stood alone.
    """
    return tuple(many_stations(arrival_rate, rate) for rate in service_rates)


def tight_loop_throughput(mean_times: Sequence[float], places: Sequence[int], carriers: int) -> float:
    """Return jobs per unit of time of a loop of exponential stations with few places between them.

    Blocking after service all round the loop.

    Args:
        mean_times: Mean working time of each station, > 0.
        places: Buffer places behind each station, >= 0, the last one leading back to the first.
        carriers: Carriers in the loop, >= 1 and fewer than all places, else nothing can move.

    Raises:
        ValueError: If the lengths differ or there are too many carriers.
    """
    n = len(mean_times)
    if len(places) != n or not 1 <= carriers < n + sum(places):
        raise ValueError(f"{n} stations need {n} gaps and between 1 and {n + sum(places) - 1} carriers")

    def blocked(gaps: tuple[int, ...]) -> list[bool]:
        held = [False] * n
        for _ in range(n):  # blocking passes upstream, at most once round
            held = [gaps[i] >= places[i] + 2 - held[(i + 1) % n] for i in range(n)]
        return held

    def moves(gaps: tuple[int, ...]) -> Iterator[tuple[float, tuple[int, ...]]]:
        held = blocked(gaps)
        for i in range(n):
            if held[i] or gaps[i - 1] == 0:
                continue
            after = list(gaps)
            after[i - 1] -= 1
            after[i] += 1
            yield 1 / mean_times[i], tuple(after)

    # A first state that can occur: fill one gap after the other up to its places and the job in work.
    start, left = [0] * n, carriers
    for i in range(n - 1, -1, -1):
        start[i] = min(left, places[i] + 1)
        left -= start[i]
    chain = explore(tuple(start), moves)
    shares = long_run_shares(chain)
    busy = np.array([gaps[n - 1] > 0 and not blocked(gaps)[0] for gaps in chain.states])
    return float(shares @ busy) / mean_times[0]
