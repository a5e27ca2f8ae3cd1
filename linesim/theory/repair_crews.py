"""Machines that wait for a repair crew, or operators for a tool: few customers, few helpers."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from linesim.theory.chain import Chain, long_run_shares


@dataclass(frozen=True, slots=True)
class RepairCrews:
    """Long-run figures of machines and their repair crews.

    Attributes:
        availability: Mean share of machines that are up.
        waiting: Mean number of machines that wait for a crew.
        crew_use: Mean share of crews at work.
        repairs_rate: Repairs per unit of time, all machines together.
        wait: Mean wait of a failed machine for a crew.
    """

    availability: float
    waiting: float
    crew_use: float
    repairs_rate: float
    wait: float


def repair_crews(machines: int, crews: int, mean_up: float, mean_repair: float) -> RepairCrews:
    """Return machines with exponential up and repair times, and too few crews to repair all at once.

    The same sums hold for operators who share tools: up is their own work, repair the use of the tool.

    Args:
        machines: How many machines, >= 1.
        crews: How many crews, >= 1; each repairs one machine at a time.
        mean_up: Mean time between repair and next failure, > 0.
        mean_repair: Mean repair time, > 0.

    Notes:
        Finite-source queue, C. Palm (1947).

    Examples:
        Two operators, 40 s of own work, 20 s at one tool; the tool is busy 60 % of the time:

        >>> round(repair_crews(2, 1, 40, 20).crew_use, 6)
        0.6
    """
    if machines < 1 or crews < 1 or not (mean_up > 0 and mean_repair > 0):
        raise ValueError(
            f"need machines, crews >= 1 and times > 0, got {machines}, {crews}, {mean_up}, {mean_repair}"
        )
    weights = [1.0]
    for down in range(1, machines + 1):
        weights.append(weights[-1] * (machines - down + 1) / min(down, crews) * mean_repair / mean_up)
    shares = [w / math.fsum(weights) for w in weights]
    up = math.fsum((machines - d) * p for d, p in enumerate(shares))
    waiting = math.fsum(max(0, d - crews) * p for d, p in enumerate(shares))
    at_work = math.fsum(min(d, crews) * p for d, p in enumerate(shares))
    rate = up / mean_up
    return RepairCrews(up / machines, waiting, at_work / crews, rate, waiting / rate)


def constant_repairs(machines: int, mean_up: float, repair: float) -> RepairCrews:
    """Return machines with exponential up times, one crew and repairs that always last ``repair``.

    Notes:
        Chain of the number down just after each repair; while one lasts, each machine that is up
        fails with chance ``1 - exp(-repair / mean_up)``.
    """
    if machines < 1 or not (mean_up > 0 and repair > 0):
        raise ValueError(f"need machines >= 1 and times > 0, got {machines}, {mean_up}, {repair}")
    fails = -math.expm1(-repair / mean_up)
    came, goes, chance = [], [], []
    for down in range(machines):
        begin = max(down, 1)  # with none down, the crew waits for the first failure
        for more in range(machines - begin + 1):
            came.append(down)
            goes.append(begin + more - 1)
            chance.append(
                math.comb(machines - begin, more) * fails**more * (1 - fails) ** (machines - begin - more)
            )
    chain = Chain(tuple(range(machines)), np.array(came), np.array(goes), np.array(chance))
    idle = float(long_run_shares(chain)[0]) * mean_up / machines
    rate = 1 / (repair + idle)
    up = rate * mean_up
    waiting = machines - up - rate * repair
    return RepairCrews(up / machines, waiting, rate * repair, rate, waiting / rate)
