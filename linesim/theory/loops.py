"""Networks of stations: flows in series with endless room, and closed loops of carriers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from linesim.theory.chain import explore, long_run_shares


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
