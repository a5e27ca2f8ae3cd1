"""What breakdowns do to a machine, to a line without buffers, and to two machines with one buffer."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from linesim.theory.stations import availability
from linesim.theory.tandem import explore, long_run_shares


def availability_until(mean_up: float, mean_repair: float, end: float) -> float:
    """Return the mean share of ``[0, end]`` that a machine is up which is up at time 0.

    Up and repair times are exponential; all three arguments are in the same unit and > 0.
    """
    long_run = availability(mean_up, mean_repair)
    speed = (1 / mean_up + 1 / mean_repair) * end
    return long_run + (1 - long_run) * -math.expm1(-speed) / speed


def mean_completion(work: float, mean_up: float, mean_repair: float) -> float:
    """Return how long ``work`` takes on average if failures come while working and work resumes."""
    return work * (1 + mean_repair / mean_up)


@dataclass(frozen=True, slots=True)
class EffectiveTime:
    """Mean of the process time with its breakdowns, and its squared coefficient of variation."""

    mean: float
    cv2: float


def effective_time(
    mean: float, cv2: float, mean_up: float, mean_repair: float, *, repair_cv2: float = 1.0
) -> EffectiveTime:
    """Return mean and spread of a process time that includes breakdowns while working.

    Args:
        mean: Mean process time without breakdowns, > 0.
        cv2: Its squared coefficient of variation, >= 0.
        mean_up: Mean working time between failures (exponential), > 0.
        mean_repair: Mean repair time, >= 0.
        repair_cv2: Squared coefficient of variation of the repair time, >= 0.

    Notes:
        W. J. Hopp and M. L. Spearman, Factory Physics, chapter 8; equal to
        ``Var = Var(S) (1 + mr/mf)**2 + E[S] E[R**2] / mf``.

    Examples:
        Two machines of equal availability; rare long failures are far worse than short ones:

        >>> effective_time(15, 0.05, 744, 248).cv2, effective_time(15, 0.05, 114, 38).cv2
        (6.25, 1.0)
    """
    up = availability(mean_up, mean_repair)
    return EffectiveTime(mean / up, cv2 + (1 + repair_cv2) * up * (1 - up) * mean_repair / mean)


def stop_all_efficiency(mean_ups: Sequence[float], mean_repairs: Sequence[float]) -> float:
    """Return the share of time a line without buffers runs if a failure freezes all of it.

    Nobody else can fail meanwhile: ``1 / (1 + sum(repair / up))``.

    Notes:
        J. A. Buzacott, International Journal of Production Research (1967) 183-200.
    """
    return 1 / (1 + math.fsum(r / u for u, r in zip(mean_ups, mean_repairs, strict=True)))


def independent_efficiency(mean_ups: Sequence[float], mean_repairs: Sequence[float]) -> float:
    """Return the share of time that all machines are up if they fail by the calendar, independently."""
    return math.prod(availability(u, r) for u, r in zip(mean_ups, mean_repairs, strict=True))


def _down_survival(run: float, mean_up: float, mean_repair: float, at: np.ndarray) -> np.ndarray:
    """Return the chance that repairs during ``run`` of work last longer in all than each of ``at``."""
    expected = run / mean_up
    x = at / mean_repair
    above = np.zeros_like(x)
    poisson, gamma_tail, term = math.exp(-expected), np.zeros_like(x), np.exp(-x)
    for failures in range(1, 400):
        poisson *= expected / failures
        gamma_tail = gamma_tail + term  # P(Gamma(failures) > x), one more term each time
        term = term * x / failures
        above += poisson * gamma_tail
        if failures > expected and poisson < 1e-18:
            break
    return above


def common_cycle(run: float, mean_ups: Sequence[float], mean_repairs: Sequence[float]) -> float:
    """Return the mean cycle of a line without buffers whose machines each finish their own cycle.

    All machines start together; each works ``run`` and may fail in it, whatever the others do; the
    line moves on when the last is done: ``run + E[max downtime]``. Up and repair times exponential.
    Slightly better than stopping everybody, see ``stop_all_efficiency``.

    Args:
        run: Working time of every machine in a cycle, > 0.
        mean_ups: Mean working time between failures of each machine, > 0.
        mean_repairs: Mean repair time of each machine, > 0.
    """
    end = max(mean_repairs) * (40 + 10 * max(run / u for u in mean_ups))
    points, weights = np.polynomial.legendre.leggauss(16)
    edges = np.linspace(0.0, end, 241)
    half = np.diff(edges) / 2
    at = (edges[:-1, None] + half[:, None] * (1 + points)).ravel()
    all_done = np.ones_like(at)
    for up, repair in zip(mean_ups, mean_repairs, strict=True):
        all_done *= 1 - _down_survival(run, up, repair, at)
    return run + float(np.sum((half[:, None] * weights).ravel() * (1 - all_done)))


@dataclass(frozen=True, slots=True)
class TwoMachines:
    """Share of slots that bring a finished job, and the mean number in the buffer."""

    efficiency: float
    level: float


def slotted_pair(first: tuple[float, float], second: tuple[float, float], room: int) -> TwoMachines:
    """Return two machines with unit cycles and a buffer, failing and repaired slot by slot.

    At the start of a slot a working machine fails with chance ``p``, a failed one is repaired with
    ``r``. The first cannot fail while the buffer is full, the second while it is empty. Then the
    level gains one if the first is up and it was not full, loses one if the second is up and it
    was not empty, both judged on the level at the start of the slot.

    Args:
        first: ``(r, p)`` of the first machine, both between 0 and 1.
        second: ``(r, p)`` of the second machine.
        room: Most jobs in the buffer, >= 1.

    Notes:
        J. A. Buzacott, International Journal of Production Research (1967) 183-200; S. B. Gershwin
        and I. C. Schick, Operations Research 31 (1983) 354-380.
    """
    if room < 1:
        raise ValueError(f"room must be >= 1, got {room}")
    State = tuple[int, bool, bool]

    def turns(up: bool, rp: tuple[float, float], held: bool) -> list[tuple[float, bool]]:
        r, p = rp
        if not up:
            return [(r, True), (1 - r, False)]
        return [(1.0, True)] if held else [(1 - p, True), (p, False)]

    def moves(state: State) -> Iterator[tuple[float, State]]:
        level, up1, up2 = state
        for chance1, now1 in turns(up1, first, level == room):
            for chance2, now2 in turns(up2, second, level == 0):
                after = level + (now1 and level < room) - (now2 and level > 0)
                yield chance1 * chance2, (after, now1, now2)

    chain = explore((0, True, True), moves)
    shares = long_run_shares(chain)
    efficiency = sum(
        share * sum(c for c, now in turns(up2, second, False) if now)
        for share, (level, _, up2) in zip(shares.tolist(), chain.states, strict=True)
        if level > 0
    )
    return TwoMachines(float(efficiency), float(shares @ np.array([level for level, _, _ in chain.states])))


def flowing_pair(mean_up: float, mean_repair: float, room: float) -> float:
    """Return the efficiency of two identical machines of equal speed with a continuous buffer.

    Args:
        mean_up: Mean working time between failures, > 0.
        mean_repair: Mean repair time, > 0.
        room: Buffer capacity as time of flow, >= 0, in the same unit.

    Notes:
        ``r (C (r+p) + 2) / (C (r+p)**2 + 2 (r + 2p))``; model of S. B. Gershwin and I. C. Schick
        (1980). The limit of a line that moves many small jobs per repair time.
    """
    p, r = 1 / mean_up, 1 / mean_repair
    return r * (room * (r + p) + 2) / (room * (r + p) ** 2 + 2 * (r + 2 * p))


def bernoulli_pair(first: float, second: float, room: int) -> float:
    """Return jobs per slot of two machines that are up in each slot with a chance of their own.

    The first is blocked if the buffer, counted after the slot, is full and the second takes nothing.

    Args:
        first: Chance that the first machine is up, between 0 and 1.
        second: Chance that the second machine is up, between 0 and 1.
        room: Buffer capacity, >= 1.

    Notes:
        J. Li and S. M. Meerkov, Production Systems Engineering, chapter 4.
    """

    def moves(level: int) -> Iterator[tuple[float, int]]:
        for up1, c1 in ((1, first), (0, 1 - first)):
            for up2, c2 in ((1, second), (0, 1 - second)):
                left = level - (1 if up2 and level else 0)
                yield c1 * c2, min(room, left + up1)

    chain = explore(0, moves)
    shares = long_run_shares(chain)
    return second * float(shares @ np.array([level > 0 for level in chain.states]))
