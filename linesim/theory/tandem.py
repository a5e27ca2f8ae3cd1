"""Free-running lines and loops solved exactly: states, throughput, and where every machine's time goes.

A saturated line of machines with exponential (or Erlang) times, places between them, blocking
after service, and if wanted breakdowns while working. No simulation, no approximation.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

State = TypeVar("State", bound=Hashable)


@dataclass(frozen=True)
class Chain(Generic[State]):
    """The states reached from a start, and the moves between them.

    Attributes:
        states: All states that can be reached, in order of discovery.
        came_from: For each move, the index of the state it leaves.
        goes_to: For each move, the index of the state it enters.
        rate: For each move, its rate (continuous time) or chance (slotted time).
    """

    states: tuple[State, ...]
    came_from: NDArray[np.int64]
    goes_to: NDArray[np.int64]
    rate: NDArray[np.float64]


def explore(
    start: State,
    moves: Callable[[State], Iterable[tuple[float, State]]],
    *,
    limit: int = 500_000,
) -> Chain[State]:
    """Return the chain of all states that can be reached from ``start``.

    Args:
        start: Any state, hashable.
        moves: Gives for a state the pairs (rate or chance, next state); several pairs to the same
            state add up.
        limit: Most states to look at; a model with more is refused, not cut.

    Raises:
        ValueError: If there are more than ``limit`` states.
    """
    states, index = [start], {start: 0}
    came, goes, rates = [], [], []
    seen = 0
    while seen < len(states):
        for rate, state in moves(states[seen]):
            if rate <= 0:
                continue
            at = index.setdefault(state, len(states))
            if at == len(states):
                if at >= limit:
                    raise ValueError(f"the line has more than {limit} states; make it or its buffers smaller")
                states.append(state)
            came.append(seen)
            goes.append(at)
            rates.append(rate)
        seen += 1
    return Chain(
        tuple(states), np.array(came, np.int64), np.array(goes, np.int64), np.array(rates, np.float64)
    )


def long_run_shares(chain: Chain[State]) -> NDArray[np.float64]:
    """Return the share of time (or of slots) that the chain spends in each state.

    The balance equations are solved directly. The same equations hold for rates and for chances,
    because a move from a state to itself cancels.

    Args:
        chain: A chain with one closed class of states; states outside it get a share of 0.

    Returns:
        Shares in the order of ``chain.states``, shape ``(states,)``, summing to 1.

    Raises:
        ValueError: If the chain can end in more than one closed class.
    """
    from scipy import sparse
    from scipy.sparse.csgraph import connected_components
    from scipy.sparse.linalg import splu

    n = len(chain.states)
    moving = chain.came_from != chain.goes_to
    came, goes, rate = chain.came_from[moving], chain.goes_to[moving], chain.rate[moving]
    flow = sparse.csc_matrix((rate, (goes, came)), shape=(n, n))
    parts, part = connected_components(flow.T, directed=True, connection="strong")
    left = np.zeros(parts, dtype=bool)
    left[part[came[part[came] != part[goes]]]] = True
    closed = np.flatnonzero(~left)
    if closed.size != 1:
        raise ValueError(f"the chain has {closed.size} closed parts, so no single long run")
    kept = np.flatnonzero(part == closed[0])
    shares = np.zeros(n)
    shares[kept[0]] = 1.0
    if kept.size > 1:
        inner = flow[kept][:, kept]
        balance = sparse.csc_matrix(inner - sparse.diags(np.asarray(inner.sum(axis=0)).ravel()))
        # One equation is redundant: set the first share to 1, solve for the others, scale. Columns
        # are diagonally dominant, so elimination needs no pivots and may keep the symmetric order.
        factors = splu(
            sparse.csc_matrix(balance[1:, 1:]),
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        )
        shares[kept[1:]] = factors.solve(-balance[1:, [0]].toarray().ravel())
    shares = np.clip(shares, 0.0, None)  # rounding may leave -1e-17
    return np.asarray(shares / shares.sum(), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class LineShares:
    """What a line does in the long run.

    Attributes:
        throughput: Jobs per unit of time.
        working: Share of time that each machine works, shape ``(machines,)``.
        blocked: Share that it holds a finished job that finds no place.
        starved: Share that it has no job.
        down: Share that it is under repair.
        content: Mean number of jobs between each pair of neighbours (finished by the first, not yet
            finished by the second), shape ``(machines - 1,)``.
    """

    throughput: float
    working: tuple[float, ...]
    blocked: tuple[float, ...]
    starved: tuple[float, ...]
    down: tuple[float, ...]
    content: tuple[float, ...]


#: Contents of the gaps, then the mode of each machine: 2 * stages done + (1 if under repair).
_State = tuple[tuple[int, ...], tuple[int, ...]]


@dataclass(frozen=True)
class _Line:
    rates: tuple[float, ...]
    places: tuple[int, ...]
    stages: int
    failure: tuple[float, ...]
    repair: tuple[float, ...]

    def blocked(self, gaps: tuple[int, ...]) -> list[bool]:
        """Return which machines are blocked.

        A gap counts the jobs that its upstream machine has finished and its downstream machine has
        not. It holds at most ``places`` waiting, one on the upstream machine (then blocked) and one in work
        downstream; none is in work there if the downstream machine is itself blocked.
        """
        held = [False] * len(self.rates)
        for i in range(len(gaps) - 1, -1, -1):
            held[i] = gaps[i] == self.places[i] + 2 - held[i + 1]
        return held

    def at_work(self, gaps: tuple[int, ...]) -> list[bool]:
        """Return which machines have an unfinished job in place."""
        held = self.blocked(gaps)
        return [not held[i] and (i == 0 or gaps[i - 1] > 0) for i in range(len(held))]

    def moves(self, state: _State) -> Iterator[tuple[float, _State]]:
        """Yield every next state with its rate."""
        gaps, modes = state
        for i, busy in enumerate(self.at_work(gaps)):
            if not busy:
                continue
            mode = modes[i]
            if mode % 2:
                yield self.repair[i], (gaps, (*modes[:i], mode - 1, *modes[i + 1 :]))
                continue
            yield self.failure[i], (gaps, (*modes[:i], mode + 1, *modes[i + 1 :]))
            rate = self.rates[i] * self.stages
            if mode // 2 + 1 < self.stages:
                yield rate, (gaps, (*modes[:i], mode + 2, *modes[i + 1 :]))
                continue
            after = list(gaps)
            if i:
                after[i - 1] -= 1
            if i < len(after):
                after[i] += 1
            yield rate, (tuple(after), (*modes[:i], 0, *modes[i + 1 :]))


def solve_line(
    mean_times: Sequence[float],
    places: int | Sequence[int] = 0,
    *,
    stages: int = 1,
    mean_up: Sequence[float] | None = None,
    mean_repair: Sequence[float] | None = None,
) -> LineShares:
    """Return the exact long-run behaviour of a saturated line with blocking after service.

    The first machine always finds a job, the last always finds room. Times are Erlang with ``stages``
    stages (1: exponential). A machine fails only while it works; work resumes where it stopped; up
    and repair times are exponential.

    Args:
        mean_times: Mean working time of each machine, > 0, any unit.
        places: Buffer places between neighbours, not counting the place on the machine; one number
            for all gaps or one per gap, each >= 0.
        stages: Number of stages of the working time, >= 1; its cv is ``1 / sqrt(stages)``.
        mean_up: Mean working time between failures of each machine, > 0; ``inf`` for a machine that
            never fails; ``None`` if none does.
        mean_repair: Mean repair time of each machine, > 0; needed with ``mean_up``.

    Returns:
        Throughput and shares of time; working + blocked + starved + down = 1 for each machine.

    Raises:
        ValueError: If an argument is outside its limits, or the line has too many states.

    Notes:
        F. S. Hillier and R. W. Boling, Operations Research 15 (1967) 286-303; with breakdowns
        S. B. Gershwin and O. Berman, AIIE Transactions 13 (1981) 2-11.

    Examples:
        Two equal machines without a place between them are both busy two thirds of the time:

        >>> round(solve_line([1, 1]).throughput, 6)
        0.666667
    """
    n = len(mean_times)
    gaps = (places,) * (n - 1) if isinstance(places, int) else tuple(int(b) for b in places)
    if n == 0 or not all(0 < t < np.inf for t in mean_times):
        raise ValueError(f"mean_times must be finite times > 0, got {list(mean_times)}")
    if len(gaps) != n - 1 or any(b < 0 for b in gaps):
        raise ValueError(f"places must be {n - 1} whole numbers >= 0, got {list(gaps)}")
    if stages < 1:
        raise ValueError(f"stages must be >= 1, got {stages}")
    if (mean_up is None) != (mean_repair is None):
        raise ValueError("mean_up and mean_repair belong together; give both or neither")
    up = (np.inf,) * n if mean_up is None else tuple(mean_up)
    repair = (1.0,) * n if mean_repair is None else tuple(mean_repair)
    if len(up) != n or len(repair) != n or not all(t > 0 for t in (*up, *repair)):
        raise ValueError(f"mean_up and mean_repair must be {n} times > 0 each")

    line = _Line(
        tuple(1 / t for t in mean_times), gaps, stages, tuple(1 / t for t in up), tuple(1 / t for t in repair)
    )
    chain = explore(((0,) * (n - 1), (0,) * n), line.moves)
    shares = long_run_shares(chain)
    held = np.array([line.blocked(g) for g, _ in chain.states], dtype=bool)
    busy = np.array([line.at_work(g) for g, _ in chain.states], dtype=bool)
    failed = np.array([m for _, m in chain.states]) % 2 == 1
    content = np.array([g for g, _ in chain.states], dtype=float).reshape(len(chain.states), n - 1)
    working = shares @ (busy & ~failed)
    return LineShares(
        throughput=float(working[-1] / mean_times[-1]),
        working=tuple(working.tolist()),
        blocked=tuple((shares @ held).tolist()),
        starved=tuple((shares @ (~held & ~busy)).tolist()),
        down=tuple((shares @ (busy & failed)).tolist()),
        content=tuple((shares @ content).tolist()),
    )


def line_throughput(
    mean_times: Sequence[float], places: int | Sequence[int] = 0, *, stages: int = 1
) -> float:
    """Return jobs per unit of time of a saturated line without breakdowns; see ``solve_line``."""
    return solve_line(mean_times, places, stages=stages).throughput


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

    _Assembly = tuple[tuple[int, int], bool]

    def moves(state: _Assembly) -> Iterator[tuple[float, _Assembly]]:
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
