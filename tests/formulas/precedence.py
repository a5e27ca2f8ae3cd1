"""What must come before what: longest chains, fewest stations, and several operators on one job."""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Network:
    """Tasks of one job, numbered from 1, and their direct precedence.

    Attributes:
        times: Time of each task, > 0.
        before: Pairs ``(a, b)``: task ``a`` must be finished before task ``b`` starts.

    Raises:
        ValueError: If a pair names no task or the pairs form a circle.
    """

    times: tuple[float, ...]
    before: tuple[tuple[int, int], ...]

    def __post_init__(self) -> None:
        """Check that the pairs name tasks and form no circle."""
        n = len(self.times)
        for a, b in self.before:
            if not (1 <= a <= n and 1 <= b <= n):
                raise ValueError(f"{a}-{b} names a task that is not among 1 to {n}")
        self.order()

    def needs(self) -> tuple[int, ...]:
        """Return for each task the set of its direct predecessors, as bits (task 1 is bit 0)."""
        sets = [0] * len(self.times)
        for a, b in self.before:
            sets[b - 1] |= 1 << (a - 1)
        return tuple(sets)

    def order(self) -> tuple[int, ...]:
        """Return the tasks (from 0) so that each comes after all it needs; lowest number first."""
        needs, done = self.needs(), 0
        order: list[int] = []
        while len(order) < len(needs):
            ready = [t for t in range(len(needs)) if not done >> t & 1 and needs[t] & ~done == 0]
            if not ready:
                circle = [t + 1 for t in range(len(needs)) if not done >> t & 1]
                raise ValueError(f"tasks {circle} wait for each other in a circle")
            done |= 1 << ready[0]
            order.append(ready[0])
        return tuple(order)


def tails(network: Network) -> tuple[float, ...]:
    """Return for each task its own time plus the longest chain of tasks after it."""
    longest = list(network.times)
    for t in reversed(network.order()):
        after = [longest[b - 1] for a, b in network.before if a - 1 == t]
        longest[t] = network.times[t] + max(after, default=0.0)
    return tuple(longest)


def critical_path(network: Network) -> float:
    """Return the length of the longest chain: no number of operators finishes a job sooner."""
    return max(tails(network))


def order_strength(network: Network) -> float:
    """Return the share of all pairs of tasks whose order is fixed, directly or through others."""
    n, needs = len(network.times), network.needs()
    all_before = [0] * n
    for t in network.order():
        for a in range(n):
            if needs[t] >> a & 1:
                all_before[t] |= 1 << a | all_before[a]
    return sum(s.bit_count() for s in all_before) / (n * (n - 1) / 2)


def fewest_stations(network: Network, takt: float) -> int:
    """Return the fewest stations that hold all tasks with at most ``takt`` of work each.

    Exact: over all sets of tasks that can be finished together, the least (stations, work in the
    last), extended task by task. The number of such sets grows fast in networks with little order.

    Args:
        network: Tasks and precedence.
        takt: Most work a station may have, >= the longest task.

    Raises:
        ValueError: If a task is longer than ``takt``.

    Notes:
        M. Held, R. M. Karp and R. Shareshian, Operations Research 11 (1963) 442-459.
    """
    if max(network.times) > takt:
        raise ValueError(f"the longest task takes {max(network.times)}, more than the takt {takt}")
    needs, n = network.needs(), len(network.times)
    layer: dict[int, tuple[int, float]] = {0: (1, 0.0)}
    for _ in range(n):
        following: dict[int, tuple[int, float]] = {}
        for done, (stations, load) in layer.items():
            for t in range(n):
                if done >> t & 1 or needs[t] & ~done:
                    continue
                work = load + network.times[t]
                reached = (stations, work) if work <= takt else (stations + 1, network.times[t])
                known = following.get(done | 1 << t)
                if known is None or reached < known:
                    following[done | 1 << t] = reached
        layer = following
    return layer[(1 << n) - 1][0]


def shortest_takt(network: Network, stations: int) -> float:
    """Return the smallest whole takt at which ``stations`` stations hold all tasks of whole times."""
    takt = max(max(network.times), math.ceil(math.fsum(network.times) / stations))
    while fewest_stations(network, takt) > stations:
        takt += 1
    return takt


def station_loads(network: Network, stations: Sequence[Iterable[int]]) -> tuple[float, ...]:
    """Return the work of each station of an assignment of tasks (numbers from 1).

    Raises:
        ValueError: If a task is missing or double, or comes in an earlier station than one it needs.
    """
    place = {task: s for s, tasks in enumerate(stations) for task in tasks}
    listed = sorted(task for tasks in stations for task in tasks)
    if listed != list(range(1, len(network.times) + 1)):
        raise ValueError(f"every task must stand in one station, got {listed}")
    if wrong := [(a, b) for a, b in network.before if place[a] > place[b]]:
        raise ValueError(f"task {wrong[0][1]} stands before task {wrong[0][0]}, which it needs")
    return tuple(math.fsum(network.times[t - 1] for t in tasks) for tasks in stations)


def list_starts(network: Network, operators: int) -> tuple[float, ...]:
    """Return when each task of one job starts if operators take the most urgent ready task.

    Most urgent: the largest own time plus longest following chain; ties to the lowest number.
    Nobody waits while a task is ready. Not always the shortest job, see ``shortest_job``.

    Args:
        network: Tasks and precedence.
        operators: People at the job, >= 1; each task needs one.

    Examples:
        >>> list_starts(Network((3, 2, 2), ((1, 3),)), 2)
        (0.0, 0.0, 3.0)
    """
    if operators < 1:
        raise ValueError(f"operators must be >= 1, got {operators}")
    urgency, needs = tails(network), network.needs()
    starts: list[float] = [math.nan] * len(network.times)
    begun = done = 0
    running: list[tuple[float, int]] = []
    now = 0.0
    while done.bit_count() < len(starts):
        ready = [t for t in range(len(starts)) if not begun >> t & 1 and needs[t] & ~done == 0]
        for t in sorted(ready, key=lambda t: (-urgency[t], t))[: operators - len(running)]:
            starts[t], begun = now, begun | 1 << t
            heapq.heappush(running, (now + network.times[t], t))
        now = running[0][0]
        while running and running[0][0] == now:
            done |= 1 << heapq.heappop(running)[1]
    return tuple(starts)


def list_length(network: Network, operators: int) -> float:
    """Return how long a job takes by the rule of ``list_starts``."""
    starts = list_starts(network, operators)
    return max(s + t for s, t in zip(starts, network.times, strict=True))


def shortest_job(network: Network, operators: int) -> float:
    """Return the shortest time in which ``operators`` people can finish one job, exactly.

    Waiting on purpose is allowed. Searches all schedules, soonest first: for a dozen tasks.
    """
    needs, n = network.needs(), len(network.times)
    State = tuple[int, tuple[tuple[float, int], ...]]

    def choices(ready: list[int], room: int) -> Iterator[tuple[int, ...]]:
        yield ()
        for k, t in enumerate(ready):
            if room:
                for more in choices(ready[k + 1 :], room - 1):
                    yield (t, *more)

    first: State = (0, ())
    best: dict[State, float] = {first: 0.0}
    heap: list[tuple[float, int, State]] = [(0.0, 0, first)]
    pushed = 0
    while heap:
        now, _, state = heapq.heappop(heap)
        done, running = state
        if done.bit_count() == n:
            return now
        if now > best[state]:
            continue
        busy = sum(1 << t for _, t in running)
        ready = [t for t in range(n) if not (done | busy) >> t & 1 and needs[t] & ~done == 0]
        for chosen in choices(ready, operators - len(running)):
            at_work = sorted([*running, *((network.times[t], t) for t in chosen)])
            if not at_work:
                continue
            step = at_work[0][0]
            after = done | sum(1 << t for left, t in at_work if left == step)
            nxt: State = (after, tuple((left - step, t) for left, t in at_work if left > step))
            if now + step < best.get(nxt, math.inf):
                best[nxt] = now + step
                pushed += 1
                heapq.heappush(heap, (now + step, pushed, nxt))
    raise AssertionError("a network without a circle can always be finished")
