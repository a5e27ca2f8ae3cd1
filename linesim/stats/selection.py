"""Finding the best of several alternatives with a promised chance.

Promised whenever the best is better than the next by at least the difference that matters. The constants
of sample sizes are solved by quadrature; printed tables mix them up: a much used table of h for P = 0.95 and
20 first replications is that of Dudewicz and Dalal, not of Rinott; they agree for two alternatives only.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from linesim.stats.intervals import require_share


@dataclass(frozen=True, slots=True)
class Boundary:
    """Constants of the elimination: ``eta`` and ``h2 = 2 * eta * (first - 1)``."""

    eta: float
    h2: float


def elimination_boundary(alternatives: int, first: int, error: float) -> Boundary:
    """Return the constants for so many alternatives, first replications and chance of error.

    Notes:
        S.-H. Kim and B. L. Nelson, ACM TOMACS 11 (2001) 251-273, with c = 1.
    """
    require_share("error", error)
    if alternatives < 2 or first < 2:
        raise ValueError(
            f"need at least 2 alternatives and 2 first replications, got {alternatives}, {first}"
        )
    eta = ((2 * error / (alternatives - 1)) ** (-2 / (first - 1)) - 1) / 2
    return Boundary(eta, 2 * eta * (first - 1))


def last_look(variance: float, difference: float, boundary: Boundary) -> int:
    """Return after how many replications two alternatives are no longer kept apart by the boundary.

    Args:
        variance: Variance of their paired differences over the first replications.
        difference: The smallest difference that matters, > 0.
        boundary: Constants of the elimination.
    """
    return math.floor(boundary.h2 * variance / difference**2)


def _rule(low: float, high: float, panels: int = 24) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return points and weights of a panelled Gauss-Legendre rule."""
    points, weights = np.polynomial.legendre.leggauss(10)
    edges = np.linspace(low, high, panels + 1)
    half = np.diff(edges)[:, None] / 2
    return (edges[:-1, None] + half * (1 + points)).ravel(), (half * weights).ravel()


def _root(chance: Callable[[float], float], promised: float) -> float:
    """Return where a rising ``chance`` reaches ``promised``, from 0 up."""
    low, high = 0.0, 1.0
    while chance(high) < promised:
        high *= 2
        if high > 1e6:
            raise ValueError("no constant up to a million keeps the promise; use more first replications")
    for _ in range(60):
        middle = (low + high) / 2
        if chance(middle) < promised:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _check(alternatives: int, promised: float, first: int = 2) -> None:
    if alternatives < 2 or first < 2:
        raise ValueError(
            f"need at least 2 alternatives and 2 first replications, got {alternatives}, {first}"
        )
    if not 1 / alternatives < require_share("promised", promised):
        raise ValueError(f"a promise of {promised} is no more than chance among {alternatives}")


def bechhofer_constant(alternatives: int, promised: float) -> float:
    """Return h for a known common variance: ``n = ceil((h * sigma / difference)**2)`` each.

    Notes:
        R. E. Bechhofer, Annals of Mathematical Statistics 25 (1954) 16-39.
    """
    _check(alternatives, promised)
    z, weight = _rule(-9.0, 9.0)
    weight = weight * np.exp(-(z**2) / 2) / math.sqrt(2 * math.pi)
    return _root(lambda h: float(weight @ special.ndtr(z + h) ** (alternatives - 1)), promised)


def rinott_constant(alternatives: int, promised: float, first: int) -> float:
    """Return h of Rinott for unknown, unequal variances and plain means.

    Args:
        alternatives: How many, >= 2.
        promised: Chance of choosing the best, above ``1 / alternatives``.
        first: First replications of each alternative, >= 2.

    Notes:
        Y. Rinott, Communications in Statistics A7 (1978) 799-811.
    """
    _check(alternatives, promised, first)
    df = first - 1
    low, high = 2 * special.gammaincinv(df / 2, 1e-13), 2 * special.gammainccinv(df / 2, 1e-13)
    # In the logarithm the density is smooth and short-tailed for every number of degrees of freedom.
    log_x, weight = _rule(math.log(low), math.log(high))
    x = np.exp(log_x)
    weight = weight * np.exp(df / 2 * log_x - x / 2 - df / 2 * math.log(2) - special.gammaln(df / 2))
    spread = np.sqrt(df * (1 / x[:, None] + 1 / x[None, :]))
    return _root(
        lambda h: float(weight @ (special.ndtr(h / spread) @ weight) ** (alternatives - 1)), promised
    )
