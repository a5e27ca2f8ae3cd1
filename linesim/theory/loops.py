"""Networks of stations: flows in series with endless room, and closed loops of carriers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from linesim.theory.chain import explore, long_run_shares
from linesim.theory.queues import Queue, many_stations


def stations_in_series(arrival_rate: float, service_rates: Sequence[float]) -> tuple[Queue, ...]:
    """Return each M/M/1 station of a line with Poisson arrivals and endless buffers.

    Notes:
        J. R. Jackson, Operations Research 5 (1957) 518-521: each behaves as if it stood alone.
    """
    return tuple(many_stations(arrival_rate, rate) for rate in service_rates)


def loop_throughput(mean_times: Sequence[float], carriers: int) -> float:
    """Return jobs per unit of time of a loop of exponential stations with endless room.

    Args:
        mean_times: Mean working time of each station, > 0.
        carriers: Carriers (pallets) that go round, >= 1.

    Notes:
        Mean value analysis, M. Reiser and S. S. Lavenberg, Journal of the ACM 27 (1980) 313-322.

    Examples:
        >>> round(loop_throughput([1, 1, 1, 1], 4), 6)
        0.571429
    """
    if carriers < 1 or not all(t > 0 for t in mean_times):
        raise ValueError(f"carriers must be >= 1 and mean_times > 0, got {carriers} and {list(mean_times)}")
    times = np.asarray(mean_times, dtype=np.float64)
    content, rate = np.zeros_like(times), 0.0
    for n in range(1, carriers + 1):
        stay = times * (1 + content)
        rate = n / float(stay.sum())
        content = rate * stay
    return rate


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


def assembly_throughput(mean_first: float, mean_second: float, mean_assembly: float, places: int) -> float:
    """Return sets per unit of time of two saturated feeders into one assembly station.

    All times are exponential. The assembly takes one part of each kind at the same moment; a part
    without its partner waits outside the station.

    Args:
        mean_first: Mean time of the first feeder, > 0.
        mean_second: Mean time of the second feeder, > 0.
        mean_assembly: Mean time of the assembly, > 0.
        places: Places for each kind between feeder and assembly, >= 0.
    """
    rates = (1 / mean_first, 1 / mean_second)

    def settled(parts: tuple[int, int], at_work: bool) -> tuple[tuple[int, int], bool]:
        if not at_work and min(parts) > 0:
            return (parts[0] - 1, parts[1] - 1), True
        return parts, at_work

    State = tuple[tuple[int, int], bool]

    def moves(state: State) -> Iterator[tuple[float, State]]:
        parts, at_work = state
        for kind in (0, 1):
            if parts[kind] <= places:  # places + 1 finished parts: the last is still on the feeder
                more = (parts[0] + (kind == 0), parts[1] + (kind == 1))
                yield rates[kind], settled(more, at_work)
        if at_work:
            yield 1 / mean_assembly, settled(parts, False)

    chain = explore(((0, 0), False), moves)
    shares = long_run_shares(chain)
    return float(shares @ np.array([busy for _, busy in chain.states])) / mean_assembly
