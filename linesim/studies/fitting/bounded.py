"""Most likely parameters of shapes between two ends: triangular and beta-PERT."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from scipy import special

from linesim.plan.arrays import FloatArray
from linesim.studies.fitting.closed import Params

Vector = np.ndarray[tuple[int], np.dtype[np.float64]]

_FAR = 20.0  #: An end is looked for up to so many ranges of the data away.


def triangular(times: FloatArray) -> Params:
    """Return low, mode and high [s] of the most likely triangle.

    For given ends the most likely mode is one of the times: between two of them the likelihood has no
    maximum. So only the ends are searched: J. R. van Dorp and S. Kotz, Beyond Beta (2004), from memory.
    """
    x = np.sort(times)
    rank = np.arange(1, x.size + 1)

    def by_mode(low: float, high: float) -> FloatArray:
        left, right = np.log(x - low), np.log(high - x)
        below = np.cumsum(left) - rank * left
        above = (right.sum() - np.cumsum(right)) - (x.size - rank) * right
        return np.asarray(below + above - x.size * math.log((high - low) / 2))

    low, high = _ends(x, lambda a, b: float(by_mode(a, b).max()))
    return low, float(x[int(np.argmax(by_mode(low, high)))]), high


def pert(times: FloatArray) -> Params:
    """Return low, mode and high [s] of the most likely beta-PERT.

    For given ends the likelihood is concave in the place of the mode, whose best value solves an
    equation of digamma functions; so only the ends are searched.
    """
    x = np.sort(times)

    def place(low: float, high: float) -> float:
        gap = float((np.log(x - low) - np.log(high - x)).mean())
        return _mode_share(gap)

    def likelihood(low: float, high: float) -> float:
        m = place(low, high)
        before, behind = float(np.log(x - low).sum()), float(np.log(high - x).sum())
        whole = 5 * math.log(high - low) + float(special.betaln(1 + 4 * m, 5 - 4 * m))
        return 4 * m * before + 4 * (1 - m) * behind - x.size * whole

    low, high = _ends(x, likelihood)
    return low, low + place(low, high) * (high - low), high


def _mode_share(gap: float) -> float:
    """Return the m in [0, 1] with ``digamma(1 + 4 m) - digamma(5 - 4 m) = gap``, by bisection."""
    low, high = 0.0, 1.0
    for _ in range(50):
        m = (low + high) / 2
        if float(special.digamma(1 + 4 * m)) - float(special.digamma(5 - 4 * m)) < gap:
            low = m
        else:
            high = m
    return (low + high) / 2


def _ends(x: FloatArray, likelihood: Callable[[float, float], float]) -> tuple[float, float]:
    """Return the most likely ends below and above all times, the lower one not below 0.

    Searched as the logarithms of the distances from the outermost times, by the method of Nelder and
    Mead.
    """
    from scipy.optimize import minimize

    span = float(x[-1] - x[0])
    most_below = float(min(x[0], _FAR * span))

    def ends(at: Vector) -> tuple[float, float]:
        below = most_below / (1 + math.exp(-min(max(float(at[0]), -30.0), 30.0)))
        above = span * math.exp(min(max(float(at[1]), -20.0), math.log(_FAR)))
        return float(x[0]) - below, float(x[-1]) + above

    start = min(0.5, 0.1 * span / most_below)

    def loss(at: Vector) -> float:
        return -likelihood(*ends(at))

    begin = [math.log(start / (1 - start)), math.log(0.1)]
    found = minimize(loss, begin, method="Nelder-Mead", tol=1e-4)
    return ends(found.x)
