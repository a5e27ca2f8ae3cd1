"""Machines that wait for a repair crew, or operators for a tool: few customers, few helpers."""

from __future__ import annotations

import math

import numpy as np

from linesim.theory.stations import RepairCrews
from linesim.theory.tandem import Chain, long_run_shares


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
